"""Where the lines of a long table wait until all of them were read: a file on disk, so that memory does not grow with the table.

The file has no name: it is gone when the staging ends, whatever happens.
"""

import sqlite3
from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import NamedTuple, Self

from floorward.core.past_sets import PastSet

AT_A_TIME = 5000
_CACHE_KIB = 16_000

_MAKE = """CREATE TABLE staged (
    lifter INTEGER, day TEXT, lift TEXT, load TEXT, unit TEXT, reps INTEGER, rpe TEXT, sets INTEGER, number INTEGER, line INTEGER)"""
_PUT = "INSERT INTO staged VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
_ALIKE = "lifter, day, lift, load, unit, reps"
# a set that a table numbers twice was written down twice; sets without a number are as many as there are lines
_ONCE = f"""SELECT {_ALIKE}, MAX(rpe) AS rpe, MAX(sets) AS sets, MIN(line) AS line, COUNT(*) AS lines
    FROM staged GROUP BY {_ALIKE}, number"""  # noqa: S608 - no word of anybody's
_GROUPED = f"""SELECT {_ALIKE}, MAX(rpe), SUM(sets), MIN(line), SUM(lines - 1)
    FROM ({_ONCE}) GROUP BY {_ALIKE} ORDER BY lifter, day, MIN(line)"""  # noqa: S608


class Alike(NamedTuple):
    """Sets alike of one lifter on one day. `again`: lines that repeat a set of the same number."""

    lifter: int
    day: str
    lift: str
    load: Decimal
    unit: str
    reps: int
    rpe: Decimal | None
    sets: int
    line: int
    again: int


class Staging:
    """Lines on their way into the database."""

    def __init__(self) -> None:
        self._made = sqlite3.connect("")  # a private file that the engine deletes
        self._made.execute(f"PRAGMA cache_size = -{_CACHE_KIB}")
        self._made.execute("PRAGMA temp_store = FILE")
        self._made.execute(_MAKE)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_about: object) -> None:
        self._made.close()

    def put(self, lines: Iterable[tuple[int, PastSet]]) -> Iterator[int]:
        """Take lines as they come; yields how many were taken so far, now and then and at the end."""
        waiting: list[tuple[object, ...]] = []
        taken = 0
        for number, one in lines:
            waiting.append(_row(number, one))
            taken += 1
            if len(waiting) >= AT_A_TIME:
                self._made.executemany(_PUT, waiting)
                waiting.clear()
                yield taken
        self._made.executemany(_PUT, waiting)
        yield taken

    def alike(self) -> Iterator[Alike]:
        """Sets alike, lifter by lifter and day by day."""
        for lifter, day, lift, load, unit, reps, rpe, *counts in self._made.execute(_GROUPED):
            sets, line, again = counts
            effort = None if rpe is None else Decimal(rpe)
            yield Alike(lifter, day, lift, Decimal(load), unit, reps, effort, sets, line, again)


def _row(number: int, one: PastSet) -> tuple[object, ...]:
    return (
        one.lifter,
        one.day.isoformat(),
        one.lift,
        f"{one.load:.4f}",
        one.unit,
        one.reps,
        None if one.rpe is None else f"{one.rpe:04.1f}",
        one.sets,
        one.number or -number,
        number,
    )
