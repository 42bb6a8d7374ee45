"""What a cell of somebody's table says: a day, a number, a load. What can be read in two ways is told, never guessed.

Numbers may have a decimal comma or point; days may be written the year first, the day first or the month first, or with the month's
name. Which way a file means is a fact about the whole file (`Evidence`); where it does not show, a person is asked.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import lru_cache

from floorward.core.findings import Finding, Weight
from floorward.units import Unit, plain

LONGEST = 200  # characters that a cell may hold
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_ISO = re.compile(r"^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ][\d:.+Z-]*)?$", re.ASCII)
_TWO_WAYS = re.compile(
    r"^(\d{1,2})([-/.])(\d{1,2})\2(\d{4}|\d{2})(?: [\d:]+(?: ?[ap]m)?)?$", re.IGNORECASE | re.ASCII
)
_NAMED = re.compile(
    r"^(?:[a-z]+,? )?(?:(?P<day>\d{1,2})(?:st|nd|rd|th)?[ -.]+(?P<month>[a-z]{3,9})|(?P<month2>[a-z]{3,9})[ .]+(?P<day2>\d{1,2})(?:st|nd|rd|th)?)"
    r"[ ,.-]+(?P<year>\d{4})$",
    re.IGNORECASE | re.ASCII,
)
_NUMBER = re.compile(r"^[+]?\d{1,9}(?:[.,]\d{1,9})*$", re.ASCII)
_UNIT = re.compile(r"(?i)(?<![a-z])(kgs?|kilos?|kilograms?|lbs?|pounds?)\b\.?")
_LENGTH = re.compile(r"^([\d.,+]+)\s*(mm|cm|m|in|inch|inches|\"|'')\.?$", re.IGNORECASE | re.ASCII)
_FEET = re.compile(r"^\d+(?:[.,]\d+)?\s*(?:'|ft|feet|foot)", re.IGNORECASE | re.ASCII)
_THOUSANDS = re.compile(r"^\d{1,3}([.,])\d{3}$", re.ASCII)


@dataclass(frozen=True, slots=True)
class Wrong:
    """A cell that does not say what it should; `code` finds the sentence."""

    code: str


@dataclass(slots=True)
class Evidence:
    """What a file's own cells show about how it writes days, numbers and units.

    Attributes:
        day_first, month_first: cells that can only be read so; `either`: cells that can be read both ways.
        comma, point: cells whose decimal mark is plain; `mark_open`: cells such as 1,250 that may be either.
        units: the units written in cells.
        bare_lengths: lengths that name no unit; `numbers`: some of them, of the column that tells it.
    """

    day_first: int = 0
    month_first: int = 0
    either: int = 0
    comma: int = 0
    point: int = 0
    mark_open: int = 0
    units: frozenset[str] = frozenset()
    bare_lengths: int = 0
    numbers: frozenset[str] = frozenset()

    def see_day(self, text: str) -> None:
        """Take note of a cell with a day."""
        found = _TWO_WAYS.match(text)
        if not found:
            return
        one, two = int(found[1]), int(found[3])
        if one > 12 >= two:
            self.day_first += 1
        elif two > 12 >= one:
            self.month_first += 1
        elif one != two:
            self.either += 1

    def see_number(self, text: str) -> None:
        """Take note of a cell with a number, and of a unit beside it."""
        bare, unit = split_unit(text)
        if unit and unit not in self.units:
            self.units |= {unit}
        if "," not in bare and "." not in bare:
            return
        mark = max(bare.rfind(","), bare.rfind("."))
        if _THOUSANDS.match(bare):
            self.mark_open += 1
        elif bare[mark] == ",":
            self.comma += 1
        else:
            self.point += 1

    def see_length(self, text: str, *, tells: bool) -> None:
        """Take note of a length that names no unit; `tells` where its column is the one whose numbers tell it."""
        if text and _NUMBER.match(text):
            self.bare_lengths += 1
            if tells and len(self.numbers) < 2000:
                self.numbers |= {text}

    @property
    def order(self) -> bool | None:
        """Whether days are written day first; None where that must be asked."""
        if self.day_first and not self.month_first:
            return True
        if self.month_first and not self.day_first:
            return False
        return None if self.either or self.day_first else True

    @property
    def decimal_comma(self) -> bool | None:
        """Whether the decimal mark is a comma; None where that must be asked."""
        if self.comma and not self.point:
            return True
        if self.point and not self.comma:
            return False
        return None if self.mark_open or self.comma else False


@lru_cache(maxsize=20_000)
def day_of(text: str, day_first: bool | None) -> date | Wrong:  # noqa: FBT001 - a fact about the file
    """The day that a cell says; `day_first` None where nobody has said how the file writes them."""
    if found := _ISO.match(text):
        return _date(int(found[1]), int(found[2]), int(found[3]))
    if found := _TWO_WAYS.match(text):
        return _two_ways(int(found[1]), int(found[3]), int(found[4]), day_first)
    if found := _NAMED.match(text):
        month = (found["month"] or found["month2"])[:3].lower()
        if month in _MONTHS:
            return _date(int(found["year"]), _MONTHS.index(month) + 1, int(found["day"] or found["day2"]))
    return Wrong("cell-no-day")


def _two_ways(one: int, two: int, year: int, day_first: bool | None) -> date | Wrong:  # noqa: FBT001
    whole = year + 2000 if year < 100 else year
    if day_first is None:
        if one != two and max(one, two) <= 12:
            return Wrong("cell-day-two-ways")
        day_first = one > 12
    return _date(whole, two, one) if day_first else _date(whole, one, two)


def _date(year: int, month: int, day: int) -> date | Wrong:
    try:
        found = date(year, month, day)
    except ValueError:
        return Wrong("cell-no-day")
    return found if found.year >= 1950 else Wrong("cell-no-day")


def split_unit(text: str) -> tuple[str, str]:
    """A cell without its unit, and the unit (kg, lb or empty): "225 lbs" is ("225", "lb")."""
    found = _UNIT.search(text) if text and not text[-1].isdigit() else None
    if not found:
        return text.replace("\u00a0", "").replace(" ", ""), ""
    unit = Unit.LB if found[1][0] in "lLpP" else Unit.KG
    return (text[: found.start()] + text[found.end() :]).replace(" ", ""), str(unit)


@lru_cache(maxsize=20_000)
def number_of(text: str, decimal_comma: bool | None) -> Decimal | Wrong:  # noqa: FBT001 - a fact about the file
    """The number that a cell says, without a unit; `decimal_comma` None where nobody has said which mark the file uses."""
    if not _NUMBER.match(text):
        return Wrong("cell-no-number")
    if "," not in text and "." not in text:
        return Decimal(text)
    last = max(text.rfind(","), text.rfind("."))
    mark, other = text[last], "." if text[last] == "," else ","
    if _THOUSANDS.match(text):
        if decimal_comma is None:
            return Wrong("cell-number-two-ways")
        if decimal_comma != (mark == ","):
            return Decimal(text.replace(mark, ""))
    elif text.count(mark) > 1 or (decimal_comma is not None and decimal_comma != (mark == ",")):
        return Wrong("cell-no-number")
    return Decimal(text.replace(other, "").replace(mark, "."))


def mass_text(text: str, unit: str, decimal_comma: bool | None) -> str | Wrong:  # noqa: FBT001 - a fact about the file
    """A mass with a point and its unit ("102,5" is "102.5 kg"); `unit` is that of a cell which names none, "" where nobody said."""
    bare, own = split_unit(text)
    value = number_of(bare, decimal_comma)
    if isinstance(value, Wrong):
        return value
    return f"{plain(value)} {own or unit}" if own or unit else Wrong("cell-unit-unsaid")


def length_text(text: str, unit: str, decimal_comma: bool | None) -> str | Wrong:  # noqa: FBT001 - a fact about the file
    """A length with a point and its unit ("1,76 m" is "1.76 m"); feet and inches stay as they are written."""
    if _FEET.match(text):
        return text
    found = _LENGTH.match(text)
    value = number_of(found[1] if found else text, decimal_comma)
    if isinstance(value, Wrong):
        return value
    own = {"inch": "in", '"': "in", "''": "in"}.get(found[2].lower(), found[2].lower()) if found else unit
    return f"{plain(value)} {own}" if own else Wrong("cell-length-unsaid")


def odd_cell(said: Mapping[str, str]) -> Finding | None:
    """What is wrong with the first cell of a line that is far too long, or holds what is no text."""
    for name, text in said.items():
        if len(text) > LONGEST or "\0" in text or "\ufffd" in text:
            return wrong_cell("cell-too-long" if len(text) > LONGEST else "cell-unreadable", name, text)
    return None


def wrong_cell(code: str, column: str, text: str) -> Finding:
    """A finding about a cell, with the start of what it says."""
    shown = text if len(text) <= 40 else f"{text[:40]}…"
    return Finding(code=code, field=column, weight=Weight.REFUSE, numbers={"cell": shown, "column": column})
