"""Sets of the past as somebody's table has them: one line read, or what is wrong with it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import lru_cache

from floorward.core.cells import Wrong, day_of, number_of, odd_cell, split_unit, wrong_cell
from floorward.core.findings import Finding
from floorward.units import Mass, Unit, kg

HEAVIEST_KG = 1000
MOST_REPS, MOST_SETS = 200, 50
BODYWEIGHT = ("bw", "bodyweight")


@dataclass(frozen=True, slots=True, kw_only=True)
class Matching:
    """What the columns of a table are, and how it writes things.

    Attributes:
        columns: the number of each column.
        unit: of loads that name none; empty where nobody has said.
        day_first, decimal_comma: None where nobody has said.
        people: the lifter's number for each name; None leaves that name's lines out, 0 is somebody new.
        lifts: the lift (of iron: the kind of piece) for each name; empty leaves its lines out.
        length: the unit of lengths that name none; empty where nobody has said.
        over: the unit that a column's heading names, which goes before the table's.
        today: no set lies after it.
    """

    columns: Mapping[str, int]
    unit: str = ""
    length: str = ""
    over: Mapping[str, str] = field(default_factory=dict)
    day_first: bool | None = None
    decimal_comma: bool | None = None
    people: Mapping[str, int | None] = field(default_factory=dict)
    lifts: Mapping[str, str] = field(default_factory=dict)
    today: date = date.max


@dataclass(frozen=True, slots=True, kw_only=True)
class PastSet:
    """One line of a training log: `sets` sets alike. `number`: the set's own number that day, 0 where the table has none."""

    lifter: int
    lift: str
    day: date
    load: Decimal
    unit: str
    reps: int
    rpe: Decimal | None
    sets: int
    number: int


def cell(cells: Sequence[str], matching: Matching, column: str) -> str:
    """What a line says in a column; empty where the column or the line ends before it."""
    place = matching.columns.get(column)
    return cells[place].strip() if place is not None and place < len(cells) else ""


def read_set(cells: Sequence[str], matching: Matching) -> PastSet | Finding | None:
    """The set of a line, what is wrong with it, or None where its lifter or lift is left out.

    Rows that hold nothing are left out too.
    """
    said = {name: cell(cells, matching, name) for name in matching.columns}
    if not any(said.values()):
        return None
    if odd := odd_cell(said):
        return odd
    for name in ("lifter", "lift"):
        if not said[name]:
            return wrong_cell("cell-empty", name, "")
    lifter, lift = matching.people.get(said["lifter"]), matching.lifts.get(said["lift"], "")
    if lifter is None or not lift:
        return None
    return _read(said, lifter, lift, matching)


def _read(said: Mapping[str, str], lifter: int, lift: str, matching: Matching) -> PastSet | Finding:
    day = day_of(said["day"], matching.day_first)
    if isinstance(day, Wrong):
        return wrong_cell(day.code, "day", said["day"])
    if day > matching.today:
        return wrong_cell("cell-day-ahead", "day", said["day"])
    load = read_load(said["load"], said.get("unit", ""), matching)
    if isinstance(load, Wrong):
        return wrong_cell(load.code, "load", said["load"])
    counts = {
        "reps": _whole(said["reps"], 1, MOST_REPS),
        "sets": _whole(said.get("sets", "") or "1", 1, MOST_SETS),
        "number": _whole(said.get("number", "") or "0", 0, 999),
    }
    for name, count in counts.items():
        if isinstance(count, Wrong):
            return wrong_cell(count.code, name, said[name])
    rpe = _rpe(said.get("rpe", ""), matching)
    if isinstance(rpe, Wrong):
        return wrong_cell(rpe.code, "rpe", said["rpe"])
    return PastSet(
        lifter=lifter,
        lift=lift,
        day=day,
        load=load.value,
        unit=str(load.unit),
        rpe=rpe,
        **{name: count for name, count in counts.items() if not isinstance(count, Wrong)},
    )


def read_load(text: str, unit_cell: str, matching: Matching) -> Mass | Wrong:
    """A load with its unit: the cell's own, else that of the line, else the table's; "BW" is no load."""
    return _load(text, unit_cell, matching.unit, matching.decimal_comma)


@lru_cache(maxsize=20_000)  # a log says the same few hundred loads over and over
def _load(text: str, unit_cell: str, usual: str, decimal_comma: bool | None) -> Mass | Wrong:  # noqa: FBT001 - a fact about the file
    bare, unit = split_unit(text)
    if bare.casefold() in BODYWEIGHT:
        return kg(0)
    if unit_cell and not unit:
        unit = split_unit(f"0 {unit_cell}")[1]
        if not unit:
            return Wrong("cell-no-unit")
    unit = unit or usual
    if not unit:
        return Wrong("cell-unit-unsaid")
    value = number_of(bare, decimal_comma)
    if isinstance(value, Wrong):
        return value
    mass = Mass(value, Unit(unit))
    if mass > kg(HEAVIEST_KG):
        return Wrong("cell-too-heavy")
    return mass if value == value.quantize(Decimal("0.0001")) else Wrong("cell-no-number")


def _whole(text: str, least: int, most: int) -> int | Wrong:
    bare = text.removesuffix(".0")
    if not (bare.isascii() and bare.isdigit() and len(bare) < 6):
        return Wrong("cell-no-whole-number")
    return int(bare) if least <= int(bare) <= most else Wrong("cell-out-of-range")


def _rpe(text: str, matching: Matching) -> Decimal | Wrong | None:
    if not text:
        return None
    value = number_of(text, matching.decimal_comma)
    if isinstance(value, Wrong):
        return value
    if not 1 <= value <= 10:
        return Wrong("cell-out-of-range")
    return value.quantize(Decimal("0.1"))
