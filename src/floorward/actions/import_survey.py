"""A first look at somebody's table: its columns, how it writes days and numbers, whom and which lifts it names.

What can be guessed is guessed for a person to confirm; what cannot is asked.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import BinaryIO

from floorward.core import headings
from floorward.core.cells import LONGEST, Evidence, Wrong, number_of
from floorward.core.past_sets import Matching, cell
from floorward.errors import Refused
from floorward.reports.wording import lift_choices
from floorward.storage.models import Gym
from floorward.storage.sheets import Limits, lines_of

NAMES_MOST = 2000


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """A name in the table, how many lines it has, and what it may be.

    Attributes:
        key: the lifter's number or the lift's key, as text; empty where nothing fits.
        same: whether it is the same word for word.
    """

    name: str
    lines: int
    key: str
    same: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """What a table looks like.

    Attributes:
        columns: guessed unless they were given.
        unit: of masses that name none, `length` of lengths that name none; empty where nothing tells.
        over: the units that headings name, by column.
        people, lifts: names in it; of iron, `lifts` are the kinds of piece.
    """

    kind: str
    headings: tuple[str, ...]
    columns: Mapping[str, int]
    missing: tuple[str, ...]
    first: tuple[tuple[str, ...], ...]
    lines: int
    unit: str
    length: str
    over: Mapping[str, str]
    units_mixed: bool
    evidence: Evidence
    people: tuple[Named, ...]
    lifts: tuple[Named, ...]


def survey(
    gym: Gym, kind: str, file: BinaryIO, limits: Limits, columns: Mapping[str, int] | None = None
) -> Survey:
    """Read a table once, keeping only what is needed to ask.

    Raises:
        Refused: `file-…` where it cannot be read; `import-names` where it names more people or lifts than a gym has.
    """
    with lines_of(file, limits) as lines:
        heads = tuple(text.strip()[:LONGEST] for text in next(lines, (0, []))[1])
        matched = dict(headings.guess(kind, heads) if columns is None else columns)
        over = _over(heads, matched)
        seen = _Seen(Matching(columns=matched), headings.telling(kind), over)
        for _, cells in lines:
            seen.take(cells)
    units = seen.evidence.units
    return Survey(
        kind=kind,
        headings=heads,
        columns=matched,
        missing=tuple(name for name in headings.needed(kind) if name not in matched),
        first=tuple(seen.first),
        lines=seen.lines,
        unit=over.get("load", "") or over.get("mass", "") or (next(iter(units)) if len(units) == 1 else ""),
        length=_length_unit(kind, seen.evidence, over),
        over=over,
        units_mixed=len(units) > 1 or "unit" in matched,
        evidence=seen.evidence,
        people=_named(seen.people, {row.name: str(row.pk) for row in gym.lifters.all()}),
        lifts=_named(seen.lifts, headings.pieces() if kind == "iron" else _lifts()),
    )


def _lifts() -> dict[str, str]:
    return {**{key: key for key, _ in lift_choices()}, **{name: key for key, name in lift_choices()}}


def _over(heads: tuple[str, ...], columns: Mapping[str, int]) -> dict[str, str]:
    """The unit that the heading of each measured column names."""
    named = {"length": headings.length_unit_over, "mass": headings.unit_over}
    found = {
        name: unit_of(heads[columns[name]])
        for what, unit_of in named.items()
        for name in headings.measured(what)
        if name in columns
    }
    return {name: unit for name, unit in found.items() if unit}


def _length_unit(kind: str, evidence: Evidence, over: Mapping[str, str]) -> str:
    read = [number_of(text, evidence.decimal_comma or False) for text in evidence.numbers]
    numbers = [number for number in read if not isinstance(number, Wrong)]
    return over.get(headings.telling(kind), "") or headings.length_unit_like(kind, numbers)


class _Seen:
    """What was seen so far."""

    def __init__(self, matching: Matching, telling: str, over: Mapping[str, str]) -> None:
        self.matching, self.telling = matching, telling
        lengths = headings.measured("length")
        numbers = ("rpe", *headings.measured("mass"), *lengths)
        self.measured = [name for name in numbers if name in matching.columns]
        self.evidence = Evidence()
        self.people: Counter[str] = Counter()
        self.lifts: Counter[str] = Counter()
        self.first: list[tuple[str, ...]] = []
        self.lines = 0
        self.lengths = [name for name in lengths if name in matching.columns and name not in over]

    def take(self, cells: list[str]) -> None:
        self.lines += 1
        if len(self.first) < 3:
            self.first.append(tuple(text[:40] for text in cells))
        said = {name: cell(cells, self.matching, name)[:LONGEST] for name in self.matching.columns}
        self.evidence.see_day(said.get("day", ""))
        for name in self.measured:
            self.evidence.see_number(said[name])
        for name in self.lengths:
            self.evidence.see_length(said[name], tells=name == self.telling)
        for names, text in (
            (self.people, said.get("lifter")),
            (self.lifts, said.get("lift") or said.get("piece")),
        ):
            if text:
                names[text] += 1
                if len(names) > NAMES_MOST:
                    raise Refused("import-names", most=NAMES_MOST)


def _named(found: Counter[str], known: Mapping[str, str]) -> tuple[Named, ...]:
    matches = headings.match_names(list(found), known)
    return tuple(
        Named(name=name, lines=lines, key=matches[name][0], same=matches[name][1])
        for name, lines in found.most_common()
    )
