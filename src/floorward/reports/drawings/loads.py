"""Loads written into a drawing, in the unit that whoever looks thinks in; the drawing itself stays in the unit of the iron."""

from collections.abc import Iterator
from decimal import Decimal

from floorward.language import amount, unit_shown
from floorward.reports.drawings.map_scale import round_step
from floorward.units import Mass, Unit


def load_words(load: float, unit: Unit) -> str:
    """A load without its unit, rounded once.

    What plates make up (two decimals at most) stands as it is, a load that was reckoned to a whole one; where another unit is
    read, `amount` rounds in that one.
    """
    made_up = load == round(load, 2)
    if made_up or unit_shown(unit) != unit:
        return amount(Decimal(str(load)), unit)
    return amount(Decimal(round(load)), unit)


def round_loads(
    most: float, unit: Unit, least_parts_px: float, length_px: float
) -> Iterator[tuple[float, str]]:
    """Loads in `unit` up to `most` that are round in the unit that is read, from nothing on, each with its number.

    Two of them stand at least `least_parts_px` apart where `most` is `length_px` long.
    """
    one = float(Mass(Decimal(1), Unit(unit_shown(unit))).to(unit).value)
    step = round_step(most / one, least_parts_px, length_px)
    return ((i * step * one, f"{i * step:g}") for i in range(int(most / one // step) + 1))
