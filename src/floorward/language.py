"""Which language somebody is spoken to in, and which unit they think in: one place for pages, sentences and printed sheets.

The English text is the key of the catalogue; what a language has no text for stays English. Loads and heights are put into the unit
that somebody thinks in where they are read, never where they are stored or typed; iron keeps the unit stamped on it. Language and
unit hold for one task (a request, a sheet) and end with it.
"""

import gettext
import io
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from decimal import Decimal
from functools import cache
from importlib import resources

from floorward.units import Mass, Unit, mm_to_inches, plain

ENGLISH = "en"
NAMES = {
    ENGLISH: "English",
    "es": "Español",
}  # every language that there is a catalogue for, as its speakers call it
OFFERED = (ENGLISH, "es")  # those that are whole

_FINEST = {
    Unit.KG: Decimal("0.5"),
    Unit.LB: Decimal(1),
}  # of a load that was turned into another unit than it was loaded in
_TENTH = Decimal("0.1")

_spoken: ContextVar[str] = ContextVar("spoken", default=ENGLISH)
_unit: ContextVar[str] = ContextVar("unit", default="")


@contextmanager
def speaking(code: str, unit: str = "") -> Iterator[None]:
    """Speak the language `code` within this block, English where it is not offered, with loads in `unit`.

    Args:
        code: of the language.
        unit: kg (heights in cm then) or lb (heights in inches); empty: every load in the unit it was loaded in.
    """
    language, thought = _spoken.set(code if code in OFFERED else ENGLISH), _unit.set(unit)
    try:
        yield
    finally:
        _spoken.reset(language)
        _unit.reset(thought)


def spoken() -> str:
    """The code of the language that is spoken now."""
    return _spoken.get()


def translated(text: str, context: str = "") -> str:
    """`text` in the language that is spoken now.

    Args:
        text: in English.
        context: which meaning of it, where one English word has several.
    """
    if spoken() == ENGLISH or not text:
        return text
    book = catalogue(spoken())
    return book.pgettext(context, text) if context else book.gettext(text)


def number(text: str) -> str:
    """A plain decimal with the mark of the language that is spoken now: 142.5 is 142,5 in Spanish."""
    return text.replace(".", translated(".", "decimal mark"))


def clock(seconds: int) -> str:
    """Minutes and seconds, as a clock on the wall has them: 2:05."""
    return f"{seconds // 60}:{seconds % 60:02}"


def unbroken(text: str, most: int = -1) -> str:
    """Words that stay on one line, such as a number with its unit; with `most` only at so many spaces from the end."""
    return "\N{NO-BREAK SPACE}".join(text.rsplit(" ", most))


def unit_shown(unit: str) -> str:
    """The unit in which a load is read that was loaded in `unit`."""
    return _unit.get() or unit


def amount(value: Decimal, unit: str) -> str:
    """A load in the unit that is thought in, without naming it; exact in its own, else to 1 lb or 0.5 kg."""
    shown = Unit(unit_shown(unit))
    if shown == unit:
        return number(plain(value))
    finest = _FINEST[shown]
    return number(plain(round(Mass(value, Unit(unit)).to(shown).value / finest) * finest))


def weight(value: Decimal, unit: str) -> str:
    """A load and its unit, as it is read: 142.5 kg, or 314 lb."""
    return f"{amount(value, unit)} {unit_shown(unit)}"


def thinks_in_inches() -> bool:
    """Whether heights and lengths are read in inches."""
    return _unit.get() == Unit.LB


def height(height_mm: Decimal) -> str:
    """A height or length as it is read: 26.5 cm, or 10.4 in; to a tenth."""
    if thinks_in_inches():
        return f"{number(plain(mm_to_inches(height_mm).quantize(_TENTH)))} in"
    return f"{number(plain((height_mm / 10).quantize(_TENTH)))} cm"


def block() -> tuple[float, int, str]:
    """The step in which heights are drawn: 50 mm, which is 5 cm, or 50.8 mm, which is 2 in."""
    return (50.8, 2, "in") if thinks_in_inches() else (50.0, 5, "cm")


@cache
def catalogue(code: str) -> gettext.GNUTranslations:
    """All texts of a language, read once."""
    import polib

    file = resources.files("floorward").joinpath("locale", code, "LC_MESSAGES", "django.po")
    return gettext.GNUTranslations(io.BytesIO(polib.pofile(file.read_text(encoding="utf-8")).to_binary()))
