"""Kilograms and pounds, millimetres and inches: conversion at the border, exact where plates meet.

A `Mass` keeps the unit stamped on the iron and its exact decimal. Mechanics want floats in SI: `to_kg`.
1 lb = 0.45359237 kg and 1 in = 25.4 mm, both exactly (international yard and pound, 1959).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from functools import total_ordering

KG_PER_LB = Decimal("0.45359237")
MM_PER_INCH = Decimal("25.4")


class Unit(StrEnum):
    """The unit stamped on a bar or plate."""

    KG = "kg"
    LB = "lb"


@total_ordering
@dataclass(frozen=True, slots=True)
class Mass:
    """An exact mass in the unit it is stamped with. Masses of both units compare by what they weigh."""

    value: Decimal
    unit: Unit = Unit.KG

    def __add__(self, other: Mass) -> Mass:
        return Mass(self.value + other.to(self.unit).value, self.unit)

    def __sub__(self, other: Mass) -> Mass:
        return Mass(self.value - other.to(self.unit).value, self.unit)

    def __mul__(self, factor: Decimal | int) -> Mass:
        return Mass(self.value * factor, self.unit)

    def __lt__(self, other: Mass) -> bool:
        return exact_kg(self) < exact_kg(other)

    def __eq__(self, other: object) -> bool:
        if isinstance(other, Mass) and other.unit == self.unit:
            return self.value == other.value
        return isinstance(other, Mass) and exact_kg(self) == exact_kg(other)

    def __hash__(self) -> int:
        return hash(exact_kg(self))

    def __str__(self) -> str:
        return f"{plain(self.value)} {self.unit}"

    def to(self, unit: Unit) -> Mass:
        """The same mass in `unit`; exact where the decimal ends, else to 28 digits."""
        if unit == self.unit:
            return self
        return Mass(self.value * KG_PER_LB if unit == Unit.KG else self.value / KG_PER_LB, unit)


def kg(value: Decimal | int | str) -> Mass:
    """A mass in kilograms."""
    return Mass(Decimal(value), Unit.KG)


def lb(value: Decimal | int | str) -> Mass:
    """A mass in pounds."""
    return Mass(Decimal(value), Unit.LB)


def exact_kg(mass: Mass) -> Fraction:
    """The mass in kilograms as an exact fraction."""
    return Fraction(mass.value) if mass.unit == Unit.KG else Fraction(mass.value) * Fraction(KG_PER_LB)


def to_kg(mass: Mass) -> float:
    """The mass in kilograms for mechanics."""
    return float(exact_kg(mass))


def plain(value: Decimal) -> str:
    """A decimal as a person writes it: no exponent, no trailing zeros."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def inches_to_mm(inches: Decimal) -> Decimal:
    """Inches to millimetres, exactly."""
    return inches * MM_PER_INCH


def mm_to_inches(millimetres: Decimal) -> Decimal:
    """Millimetres to inches."""
    return millimetres / MM_PER_INCH


_LENGTH = re.compile(
    r"""^\s*(?:(?P<feet>\d+(?:[.,]\d+)?)\s*(?:'|ft|feet|foot)\s*)?(?:(?P<number>\d+(?:[.,]\d+)?)\s*(?P<unit>mm|cm|m|in|inches|"|'')?)?\s*$""",
    re.IGNORECASE,
)
_MASS = re.compile(
    r"^\s*(?P<number>\d+(?:[.,]\d+)?)\s*(?P<unit>kg|kgs|kilos?|lb|lbs|pounds?)?\s*$", re.IGNORECASE
)
_MM_PER = {
    "mm": Decimal(1),
    "cm": Decimal(10),
    "m": Decimal(1000),
    "in": MM_PER_INCH,
    "inches": MM_PER_INCH,
    '"': MM_PER_INCH,
    "''": MM_PER_INCH,
}


def parse_length_mm(text: str, usual: str = "cm") -> Decimal | None:
    """A length as a person types it: `176`, `176 cm`, `1.76 m`, `69 in`, `5'9"`, `5 ft 9`; None if it is none of these.

    Args:
        text: what was typed.
        usual: the unit of a bare number.
    """
    found = _LENGTH.match(text)
    if not found or not (found["feet"] or found["number"]):
        return None
    feet = _number(found["feet"] or "0") * 12 * MM_PER_INCH
    unit = (found["unit"] or ("in" if found["feet"] else usual)).lower()
    return feet + _number(found["number"] or "0") * _MM_PER[unit]


def parse_mass(text: str, usual: Unit) -> Mass | None:
    """A mass as a person types it: `85`, `85 kg`, `187.5 lb`; None if it is none of these.

    Args:
        text: what was typed.
        usual: the unit of a bare number.
    """
    found = _MASS.match(text)
    if not found:
        return None
    unit = (found["unit"] or usual).lower()
    return Mass(_number(found["number"]), Unit.LB if unit[0] in "lp" else Unit.KG)


def _number(text: str) -> Decimal:
    return Decimal(text.replace(",", "."))
