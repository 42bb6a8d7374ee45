"""Which column of somebody's table is which, guessed from the words over it; and what the guess leaves to be asked."""

import re
import unicodedata
from collections.abc import Collection, Mapping, Sequence
from decimal import Decimal
from difflib import get_close_matches
from typing import Any

from floorward.tables import load

METRES = {"mm": 0.001, "cm": 0.01, "m": 1.0, "in": 0.0254}


def columns_of(kind: str) -> tuple[str, ...]:
    """The columns that a table of `kind` (sets, bodies, iron) may have."""
    return tuple(load("headings")[kind])


def needed(kind: str) -> tuple[str, ...]:
    """The columns that it cannot do without."""
    return tuple(name for name, row in load("headings")[kind].items() if row.get("need"))


def guess(kind: str, headings: Sequence[str]) -> dict[str, int]:
    """The number of the heading of each column that can be guessed; no heading is taken twice.

    A heading that is one of a column's words goes before one that only begins with it.
    """
    plain = [folded(heading) for heading in headings]
    words = {name: row["value"] for name, row in load("headings")[kind].items()}
    found: dict[str, int] = {}
    for fits in (_is, _begins):
        for name, known in words.items():
            free = [n for n, text in enumerate(plain) if text and n not in found.values()]
            if (
                name not in found
                and (hit := next((n for n in free if fits(plain[n], known)), None)) is not None
            ):
                found[name] = hit
    return found


def unit_over(heading: str) -> str:
    """The unit that a heading names: "Load (lb)" says lb; empty for none."""
    words = folded(heading).split()
    if {"lb", "lbs", "pounds"} & set(words):
        return "lb"
    return "kg" if {"kg", "kgs", "kilos", "kilograms"} & set(words) else ""


def length_unit_over(heading: str) -> str:
    """The unit of lengths that a heading names: "Height (cm)" says cm; empty for none."""
    words = set(folded(heading).split())
    known = {"mm": "mm", "cm": "cm", "m": "m", "metres": "m", "meters": "m", "in": "in", "inches": "in"}
    return next((unit for word, unit in known.items() if word in words), "")


def measured(what: str) -> tuple[str, ...]:
    """The columns, of any kind of table, that hold a `mass` or a `length`."""
    return tuple(load("headings")["measured"][what]["value"])


def telling(kind: str) -> str:
    """The column whose numbers tell the unit of all lengths of a table; empty where none does."""
    return str(_telling(kind).get("column", ""))


def length_unit_like(kind: str, numbers: Collection[Decimal]) -> str:
    """The only unit in which all `numbers` of the telling column are likely lengths; empty where none is, or several are."""
    bounds = _telling(kind)
    fits = [
        unit
        for unit, metres in METRES.items()
        if numbers
        and bounds
        and all(bounds["least_m"] <= float(number) * metres <= bounds["most_m"] for number in numbers)
    ]
    return fits[0] if len(fits) == 1 else ""


def _telling(kind: str) -> Mapping[str, Any]:
    row: Mapping[str, Any] = load("headings")["telling"].get(kind, {})
    return row.get("value", {}) if row else {}


def sex_of(text: str) -> str:
    """The sex that a cell names; undeclared for any other word."""
    known = load("headings")["sex"].items()
    return next((sex for sex, row in known if folded(text) in row["value"]), "undeclared")


def pieces() -> dict[str, str]:
    """The kind of piece of equipment that each word for one means: a kind of bar, plates, collars, blocks or boxes."""
    return {word: kind for kind, row in load("headings")["piece"].items() for word in row["value"]}


def folded(text: str) -> str:
    """Lower case, no signs and accents, single spaces: how names and headings are compared."""
    bare = unicodedata.normalize("NFKD", text).casefold()
    kept = "".join(c for c in bare if not unicodedata.combining(c))
    return " ".join(re.sub(r"[^\w]+", " ", kept.replace("_", " ")).split())


def match_names(found: Sequence[str], known: Mapping[str, str]) -> dict[str, tuple[str, bool]]:
    """For each name found the key of the known one it may be, and whether it is the same word for word; empty for none.

    Args:
        found: names as they stand in the file.
        known: the key of each known name.
    """
    by_folded: dict[str, list[str]] = {}
    for name, key in known.items():
        keys = by_folded.setdefault(folded(name), [])
        if key not in keys:
            keys.append(key)
    return {name: _match(folded(name), by_folded) for name in found}


def _match(name: str, known: Mapping[str, Sequence[str]]) -> tuple[str, bool]:
    if name in known:
        return (known[name][0], True) if len(known[name]) == 1 else ("", False)
    near = get_close_matches(name, known, n=1, cutoff=0.8)
    return (known[near[0]][0], False) if near and len(known[near[0]]) == 1 else ("", False)


def _is(text: str, words: Sequence[str]) -> bool:
    return text in words


def _begins(text: str, words: Sequence[str]) -> bool:
    return any(text.startswith(f"{word} ") for word in words)
