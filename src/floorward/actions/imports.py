"""Bringing a training log in: looked at first, taken whole or not at all, and undone whole.

A set counts as there already when the same lifter has done it: same day, lift, load and repetitions, as often as it stands in the log
or in earlier imports. A file taken twice brings nothing the second time.
"""

import base64
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from itertools import groupby, islice
from typing import Any, BinaryIO

from django.db import connections

from floorward.actions.import_best import add_best_of
from floorward.actions.import_rows import put_back
from floorward.actions.import_survey import survey
from floorward.actions.mornings import gym_day
from floorward.core.findings import Finding
from floorward.core.past_sets import Matching, read_set
from floorward.errors import Refused
from floorward.storage import place
from floorward.storage.models import DoneSet, Gym, Import, Lifter, PastSet, Staff
from floorward.storage.place import atomic
from floorward.storage.sheets import Limits, lines_of
from floorward.storage.staging import Alike, Staging

PROBLEMS_SHOWN = 100
AT_A_TIME = 2000
FORGOTTEN = timedelta(days=1)  # a file that waits longer is deleted when the next one comes

Told = Callable[[str, int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """A line that cannot be read, and why."""

    line: int
    finding: Finding


@dataclass(slots=True, kw_only=True)
class Person:
    """What the table brings for one lifter."""

    name: str
    sets: int = 0
    days: int = 0
    first: date | None = None
    last: date | None = None


@dataclass(slots=True, kw_only=True)
class Look:
    """What taking a table in would do.

    Attributes:
        lines: lines read, without the headings; `left_out` of them belong to nobody who was matched.
        problems: the first of them; `wrong` counts all.
        sets: sets that are new; `known` are there already; `again` are lines that repeat a set of the same number.
    """

    lines: int = 0
    left_out: int = 0
    problems: list[Problem] = field(default_factory=list)
    wrong: int = 0
    sets: int = 0
    known: int = 0
    again: int = 0
    people: list[Person] = field(default_factory=list)


def quiet(_what: str, _count: int) -> None:
    """Tell nobody how far it is."""


def wait_with(
    gym: Gym,
    name: str,
    file: BinaryIO,
    limits: Limits,
    *,
    by: Staff | None,
    now: datetime,
    kind: str = "sets",
) -> Import:
    """Keep a file until somebody has said what it means; files that nobody came back to are forgotten.

    Raises:
        Refused: `file-…` where it cannot be read, or holds no line under its headings.
    """
    if not survey(gym, kind, file, limits).lines:
        raise Refused("file-empty")
    file.seek(0)
    kept = base64.b64encode(file.read()).decode()
    with atomic():
        gym.imports.filter(state=Import.State.OPEN, at__lt=now - FORGOTTEN).delete()
        return Import.objects.create(gym=gym, kind=kind, name=name[:120], kept=kept, by=by, at=now)


def look(gym: Gym, file: BinaryIO, matching: Matching, limits: Limits, told: Told = quiet) -> Look:
    """What taking the table in would do; nothing is written."""
    found = Look()
    with Staging() as staging:
        _stage(file, matching, limits, staging, found, told)
        for _ in _new_sets(gym, staging, found):
            pass
    return found


def take(
    gym: Gym,
    file: BinaryIO,
    matching: Matching,
    limits: Limits,
    *,
    row: Import | None = None,
    name: str = "",
    by: Staff | None,
    now: datetime,
    told: Told = quiet,
    found: Look | None = None,
) -> Import:
    """Take the table in, all of it or nothing; `row` is the import that waited for it, `found` is told what was met.

    Raises:
        Refused: `import-problems` if a line cannot be read, `import-nothing` if nothing in it is new, `import-over` if `row`
            was taken or dropped meanwhile.
    """
    found = found or Look()
    with Staging() as staging:
        _stage(file, matching, limits, staging, found, told)
        if found.wrong:
            raise Refused("import-problems", count=found.wrong)
        with atomic():
            source = _opened(gym, row, name=name, by=by, now=now)
            made = (_row(source, one, sets) for one, sets in _new_sets(gym, staging, found))
            while batch := list(islice(made, AT_A_TIME)):
                _store(batch)
                told("stored", found.sets)
            if not found.sets:
                raise Refused("import-nothing")
            for lifter in Lifter.objects.filter(past_sets__source=source).distinct():
                add_best_of(lifter, source, gym_day(gym, now))
            source.count = found.sets
            source.state, source.kept, source.at = Import.State.TAKEN, "", now
            source.save()
            return source


def undo(row: Import, *, now: datetime) -> int:
    """Take back all that an import brought; the import stays on the list, marked.

    Returns:
        How many lifters or pieces were left as they are, because somebody used or changed them since. A training log leaves none.

    Raises:
        Refused: `import-over` if it was not taken, or is undone already.
    """
    with atomic():
        source = Import.objects.select_for_update().get(pk=row.pk)
        if source.state != Import.State.TAKEN:
            raise Refused("import-over")
        source.past_sets.all().delete()
        source.best_sets.all().delete()
        left = put_back(source)
        source.state, source.undone_at = Import.State.UNDONE, now
        source.save()
        return left


def _stage(
    file: BinaryIO, matching: Matching, limits: Limits, staging: Staging, found: Look, told: Told
) -> None:
    with lines_of(file, limits) as lines:
        next(lines, None)
        for count in staging.put(_read(lines, matching, found)):
            told("read", count)


def _read(lines: Iterator[tuple[int, list[str]]], matching: Matching, found: Look) -> Iterator:  # type: ignore[type-arg]
    for number, cells in lines:
        found.lines += 1
        read = read_set(cells, matching)
        if read is None:
            found.left_out += 1
        elif isinstance(read, Finding):
            found.wrong += 1
            if len(found.problems) < PROBLEMS_SHOWN:
                found.problems.append(Problem(line=number, finding=read))
        else:
            yield number, read


def _new_sets(gym: Gym, staging: Staging, found: Look) -> Iterator[tuple[Alike, int]]:
    """Sets alike that are not there yet with how many of them, one lifter at a time; `found` is told what they come to."""
    for number, rows in groupby(staging.alike(), key=lambda row: row.lifter):
        lifter = Lifter.objects.filter(gym=gym, pk=number).first()
        if lifter is None:
            raise Refused("import-over")
        person, there, days = Person(name=lifter.name), _there(lifter), set()
        for row in rows:
            key = (date.fromisoformat(row.day), row.lift, row.load, row.unit, row.reps)
            known = min(there[key], row.sets)
            there[key] -= known
            found.again += row.again
            found.known += known
            if row.sets > known:
                days.add(row.day)
                person.sets += row.sets - known
                found.sets += row.sets - known
                person.first, person.last = person.first or key[0], key[0]
                yield row, row.sets - known
        person.days = len(days)
        if person.sets:
            found.people.append(person)


def _there(lifter: Lifter) -> Counter[tuple[date, str, object, str, int]]:
    """How often each set of a lifter is on record already."""
    found: Counter[tuple[date, str, object, str, int]] = Counter()
    past = PastSet.objects.filter(lifter=lifter).order_by()
    for *key, sets in past.values_list("day", "lift", "load", "unit", "reps", "sets"):
        found[tuple(key)] += sets
    done = DoneSet.objects.filter(session__lifter=lifter, undone_at=None).order_by()
    found.update(done.values_list("session__day", "lift", "load", "unit", "reps"))
    return found


def _opened(gym: Gym, row: Import | None, *, name: str, by: Staff | None, now: datetime) -> Import:
    if row is None:
        return Import.objects.create(gym=gym, kind="sets", name=name[:120], by=by, at=now)
    kept = Import.objects.select_for_update().filter(pk=row.pk, state=Import.State.OPEN).first()
    if kept is None:
        raise Refused("import-over")
    return kept


_COLUMNS = ("source_id", "lifter_id", "day", "lift", "load", "unit", "reps", "rpe", "sets")


def _row(source: Import, one: Alike, sets: int) -> tuple[Any, ...]:
    day = date.fromisoformat(one.day)
    return (source.pk, one.lifter, day, one.lift, one.load, one.unit, one.reps, one.rpe, sets)


def _store(rows: list[tuple[Any, ...]]) -> None:
    """Rows of past sets by the statement itself: a million objects of the model take longer than all the rest of an import."""
    table = PastSet._meta.db_table  # noqa: SLF001 - Django's public way to a table's name
    said = f"INSERT INTO {table} ({', '.join(_COLUMNS)}) VALUES ({', '.join(['%s'] * len(_COLUMNS))})"  # noqa: S608 - our own names
    with connections[place.current()].cursor() as cursor:
        cursor.executemany(said, rows)
