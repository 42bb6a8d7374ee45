"""How numbers and drawings get onto a page. Nothing here computes; it only writes."""

from decimal import Decimal
from typing import Any

from django import template
from django.template import defaultfilters
from django.utils.safestring import SafeString, mark_safe

from floorward import language
from floorward.core.findings import Finding
from floorward.language import number, translated
from floorward.reports import reasons, wording
from floorward.storage.models import Lifter
from floorward.units import Mass, Unit, plain

register = template.Library()


register.filter("unbroken", language.unbroken)


@register.filter
def load(value: Decimal | None) -> str:
    """A load without trailing zeros, as the language that is spoken writes it."""
    return "–" if value is None else number(plain(value))


@register.filter
def weight(value: Decimal | None, unit: str) -> str:
    """A load with its unit, in the one that the visitor thinks in: {{ set.load|weight:set.unit }}."""
    return "–" if value is None else language.weight(value, unit)


@register.filter
def amount(value: Decimal | None, unit: str) -> str:
    """The number of `weight`, where its unit stands elsewhere: after {{ unit|unit_shown }}."""
    return "–" if value is None else language.amount(value, unit)


@register.filter
def about(value: float, unit: str) -> str:
    """An estimated load in whole kilograms or pounds."""
    return language.amount(Decimal(round(value)), unit)


@register.filter
def unit_shown(unit: str) -> str:
    """The unit that the visitor reads a load in which was loaded in `unit`."""
    return language.unit_shown(unit)


@register.filter
def height(height_mm: Any) -> str:
    """Millimetres as centimetres or inches, with the unit."""
    return language.height(Decimal(height_mm))


@register.filter
def body_length(length_m: float) -> str:
    """A body measure with its unit: whole centimetres, or inches to a tenth."""
    return language.height(Decimal(round(length_m * 100)) * 10)


@register.filter
def tape(length_m: float) -> str:
    """A length taken by tape, with its unit, to a tenth."""
    return language.height(Decimal(str(round(length_m * 1000, 1))))


@register.filter
def body_mass(lifter: Lifter) -> str:
    """What a lifter weighs, in the unit that the visitor thinks in, else in their own."""
    shown = Unit(language.unit_shown(lifter.unit))
    return f"{number(plain(round(Mass(Decimal(str(lifter.mass_kg))).to(shown).value, 1)))} {shown}"


@register.filter
def typed(value: Decimal | None) -> str:
    """A load as it stands in a field: as `load`, but read the same by every machine."""
    return "" if value is None else plain(value)


@register.filter
def date(value: Any, form: str) -> str:
    """A day or a time in the order that the language that is spoken puts it in."""
    return str(defaultfilters.date(value, translated(form, "date")))


@register.filter
def drawing(svg: str) -> SafeString:
    """A drawing made by reports, which escapes what it writes."""
    return mark_safe(svg)  # noqa: S308 - our own drawing


@register.filter
def sentence(finding: Finding) -> str:
    """The sentence of a finding."""
    return wording.sentence(finding)


@register.filter
def added(decision: Any) -> str:
    """The set-up with its load that a decision added; empty where it added none."""
    return reasons.added(decision.numbers)


@register.filter
def words(code: str, table: str) -> str:
    """The word for `code` in a named group of the wording, such as {{ region|words:"region" }}."""
    return wording.word(table, code)


@register.filter
def held(table: str) -> str:
    """What a lifter would call the rows of a table; its own name where no word is known."""
    return wording.words("held").get(table, table)


@register.filter
def lift(key: str) -> str:
    """What coaches call a lift."""
    return wording.lift_name(key)


@register.filter
def metres(length_m: float) -> str:
    """The number of `body_length`."""
    return body_length(length_m).partition(" ")[0]


@register.filter
def short(value: Any, most: int = 120) -> str:
    """A value as text, cut where it would fill the page."""
    text = ", ".join(map(str, value)) if isinstance(value, list) else str(value)
    return text if len(text) <= most else f"{text[:most]} …"
