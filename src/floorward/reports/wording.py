"""The only place where sentences are made: a code and its numbers in, plain words out.

Sentences live in the files `wording*.toml` beside this module. `[sentences]` maps a finding's code to a sentence with {numbers};
`[words.GROUP]` maps the codes of one group (regions, changes, outcomes) to a word or two. Both are put into the language that is
spoken before anything is filled in; a word's group is its context there.
"""

import re
import string
import tomllib
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from functools import cache
from importlib import resources
from typing import Any

from floorward.core.findings import Finding
from floorward.errors import ContractError
from floorward.language import amount, height, number, thinks_in_inches, translated, unit_shown, weight

_WEIGHT = re.compile(r"(\d+(?:\.\d+)?) (kg|lb)")
_WITH_UNIT = (
    "load",
    "ruled_load",
    "next_load",
    "below",
    "above",
    "most",
    "near",
    "usual_load",
)  # loads beside a {unit}
_LENGTH = re.compile(r"\{(\w+)(?::g)?\} cm")
_NUMBERS = re.compile(
    r"[\d.,\s·×+–−-]*\d\.\d[\d.,\s·×+–−-]*(kg|lb|cm|mm)?"
)  # a string that is nothing but numbers


def sentence(finding: Finding) -> str:
    """The sentence of a finding, its numbers filled in."""
    return sentence_for(finding.code, finding.numbers)


def sentence_for(code: str, numbers: Mapping[str, Any]) -> str:
    """The sentence of `code`.

    Raises:
        ContractError: if the code has no sentence, or the sentence needs a number that is not given.
    """
    try:
        text = str(_texts()["sentences"][code])
        read = _as_read(text, numbers)
        said, read = _lengths(translated(text), read)
        return _Filled().format(said, **read)
    except KeyError as error:
        raise ContractError(f"no sentence for {code!r}, or no number {error}") from error


def word(group: str, code: str) -> str:
    """The word for `code` in `group`.

    Raises:
        ContractError: if there is none.
    """
    try:
        return translated(str(_texts()["words"][group][code]), group)
    except KeyError as error:
        raise ContractError(f"no word for {code!r} among {group!r}") from error


def words(group: str) -> dict[str, str]:
    """All codes of a group with their words, in the order of the file."""
    return {code: translated(text, group) for code, text in _texts()["words"][group].items()}


def sentences() -> dict[str, str]:
    """Every code with its sentence, in English."""
    return dict(_texts()["sentences"])


def groups() -> dict[str, dict[str, str]]:
    """Every group with its codes and words, in English."""
    return {group: dict(entries) for group, entries in _texts()["words"].items()}


def lift_name(key: str) -> str:
    """What coaches call the lift `key`, of the catalogue or beside it."""
    return str(
        {**words("lift"), **words("other-lift"), **words("offered-lift")}.get(key, key.replace("-", " "))
    )


def lift_choices() -> list[tuple[str, str]]:
    """Every lift that may be written down, with its name."""
    return [*words("lift").items(), *words("other-lift").items()]


def weekday_and_day(day: date) -> str:
    """A day as it is said: "Tuesday 10 November"."""
    weekday = list(words("weekday").values())[day.weekday()]
    return sentence_for("weekday-and-day", {"weekday": weekday, "day": day_and_month(day)})


def day_and_month(day: date) -> str:
    """A day without its year: "10 November"."""
    month = list(words("month").values())[day.month - 1]
    return sentence_for("day-and-month", {"day": day.day, "month": month})


def whole_day(day: date) -> str:
    """A day with its year: "10 November 2026"."""
    return sentence_for("day-and-year", {"day": day_and_month(day), "year": day.year})


def _as_read(text: str, numbers: Mapping[str, Any]) -> Mapping[str, Any]:
    """Loads beside a {unit}, in the unit that is thought in."""
    unit = numbers.get("unit")
    loads = {name: numbers[name] for name in _WITH_UNIT if numbers.get(name) not in {None, ""}}
    if "{unit}" not in text or not loads or not unit or unit_shown(unit) == unit:
        return numbers
    read = {name: amount(Decimal(str(value)), unit) for name, value in loads.items()}
    return {**numbers, **read, "unit": unit_shown(unit)}


def _lengths(text: str, numbers: Mapping[str, Any]) -> tuple[str, Mapping[str, Any]]:
    """Centimetres in the unit that is thought in."""
    if not thinks_in_inches():
        return text, numbers
    found = {name: numbers[name] for name in _LENGTH.findall(text) if name in numbers}
    read = {name: height(Decimal(str(value)) * 10) for name, value in found.items()}
    return _LENGTH.sub(r"{\1}", text), {**numbers, **read}


class _Filled(string.Formatter):
    """Fills numbers in as the language that is spoken writes them."""

    def format_field(self, value: Any, format_spec: str) -> str:
        """A day in words, a load in the unit that is thought in, a number with the decimal mark of the language, anything else as it is."""
        if isinstance(value, date):
            return whole_day(value)
        text = str(super().format_field(value, format_spec))
        if found := _WEIGHT.fullmatch(text):
            return weight(Decimal(found[1]), found[2])
        is_number = isinstance(value, int | float | Decimal) or _NUMBERS.fullmatch(text)
        return number(text) if is_number else text


@cache
def _texts() -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = {"sentences": {}, "words": {}}
    files = (
        f
        for f in resources.files(__package__).iterdir()
        if f.name.startswith("wording") and f.name.endswith(".toml")
    )
    for file in sorted(files, key=lambda f: f.name):
        text = tomllib.loads(file.read_text(encoding="utf-8"))
        found["sentences"].update(text.get("sentences", {}))
        for group, entries in text.get("words", {}).items():
            found["words"].setdefault(group, {}).update(entries)
    return found
