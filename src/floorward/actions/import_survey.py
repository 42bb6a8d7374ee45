"""A first look at somebody's table: its columns, how it writes days and numbers, whom and which lifts it names.

What can be guessed is guessed for a person to confirm; what cannot is asked.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import BinaryIO

from floorward.core import headings
from floorward.core.cells import LONGEST, Evidence
from floorward.core.past_sets import Matching, cell
from floorward.errors import Refused
from floorward.reports.wording import lift_choices
from floorward.storage.models import Gym
from floorward.storage.sheets import Limits, lines_of

NAMES_MOST = 2000
NUMBERS = ("load", "rpe")


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
    """What a table looks like. `columns` are guessed unless they were given; `unit` is empty where nothing tells."""

    headings: tuple[str, ...]
    columns: Mapping[str, int]
    missing: tuple[str, ...]
    first: tuple[tuple[str, ...], ...]
    lines: int
    unit: str
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
        seen = _Seen(Matching(columns=matched))
        for _, cells in lines:
            seen.take(cells)
    over = headings.unit_over(heads[matched["load"]]) if "load" in matched else ""
    units = seen.evidence.units
    return Survey(
        headings=heads,
        columns=matched,
        missing=tuple(name for name in headings.needed(kind) if name not in matched),
        first=tuple(seen.first),
        lines=seen.lines,
        unit=over or (next(iter(units)) if len(units) == 1 else ""),
        units_mixed=len(units) > 1 or "unit" in matched,
        evidence=seen.evidence,
        people=_named(seen.people, {row.name: str(row.pk) for row in gym.lifters.all()}),
        lifts=_named(
            seen.lifts, {**{key: key for key, _ in lift_choices()}, **{n: k for k, n in lift_choices()}}
        ),
    )


class _Seen:
    """What was seen so far."""

    def __init__(self, matching: Matching) -> None:
        self.matching = matching
        self.evidence = Evidence()
        self.people: Counter[str] = Counter()
        self.lifts: Counter[str] = Counter()
        self.first: list[tuple[str, ...]] = []
        self.lines = 0

    def take(self, cells: list[str]) -> None:
        self.lines += 1
        if len(self.first) < 3:
            self.first.append(tuple(text[:40] for text in cells))
        said = {name: cell(cells, self.matching, name)[:LONGEST] for name in self.matching.columns}
        self.evidence.see_day(said.get("day", ""))
        for name in NUMBERS:
            self.evidence.see_number(said.get(name, ""))
        for names, text in ((self.people, said.get("lifter")), (self.lifts, said.get("lift"))):
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
