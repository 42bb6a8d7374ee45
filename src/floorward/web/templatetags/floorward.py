"""How numbers and drawings get onto a page. Nothing here computes; it only writes."""

from decimal import Decimal
from typing import Any

from django import template
from django.template import defaultfilters
from django.utils.safestring import SafeString, mark_safe

from floorward.core.findings import Finding
from floorward.language import number, translated
from floorward.reports import wording
from floorward.units import plain

register = template.Library()


@register.filter
def load(value: Decimal | None) -> str:
    """A load without trailing zeros, as the language that is spoken writes it."""
    return "–" if value is None else number(plain(value))


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
def cm(height_mm: Any) -> str:
    """Millimetres as centimetres, a half centimetre at most."""
    return number(plain((Decimal(height_mm) / 10).quantize(Decimal("0.1"))))


@register.filter
def metres(length_m: float) -> str:
    """Metres as whole centimetres, the last digit that a body measure can have."""
    return f"{length_m * 100:.0f}"


@register.filter
def short(value: Any, most: int = 120) -> str:
    """A value as text, cut where it would fill the page."""
    text = ", ".join(map(str, value)) if isinstance(value, list) else str(value)
    return text if len(text) <= most else f"{text[:most]} …"
