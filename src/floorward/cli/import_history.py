"""`floorward import-history`: a training log from a table, however long."""

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from floorward.cli import data
from floorward.cli.jsonl import BadRequest

if TYPE_CHECKING:
    from floorward.actions.imports import Look
    from floorward.core.past_sets import Matching
    from floorward.storage.models import Gym

SHOWN = 12


def register(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    command = commands.add_parser("import-history", help="bring a training log in from a CSV or XLSX table")
    command.add_argument("file", help="the table; its first line names the columns")
    add_matching(command)
    command.add_argument(
        "--lift", action="append", default=[], metavar="NAME=KEY", help="which lift a name is"
    )
    order = command.add_mutually_exclusive_group()
    order.add_argument("--day-first", action="store_true", help="3/11/2026 is in November")
    order.add_argument("--month-first", action="store_true", help="3/11/2026 is in March")
    data.add_data_option(command)
    command.set_defaults(run=run)


def add_matching(command: argparse.ArgumentParser) -> None:
    """What is said of any table."""
    command.add_argument("--gym", default="", help="the gym's name, where there are several")
    command.add_argument(
        "--column", action="append", default=[], metavar="COLUMN=HEADING", help="what a column is"
    )
    command.add_argument("--lifter", action="append", default=[], metavar="NAME=LIFTER", help="who a name is")
    command.add_argument(
        "--leave-out", action="append", default=[], metavar="NAME", help="leave its lines out"
    )
    command.add_argument("--unit", choices=("kg", "lb"), default="", help="of masses that name none")
    mark = command.add_mutually_exclusive_group()
    mark.add_argument("--decimal-comma", action="store_true", help="1,250 is one and a quarter")
    mark.add_argument("--decimal-point", action="store_true", help="1,250 is over a thousand")
    command.add_argument("--dry-run", action="store_true", help="look only; nothing is written")
    command.add_argument(
        "--undo", action="store_true", help="take the newest import of this file's name back"
    )


def run(options: argparse.Namespace) -> int:
    """Take the whole table in, or nothing; with `--dry-run` only say what would happen."""
    return import_with(_take, options)


def import_with(
    take: "Callable[[argparse.Namespace, Gym, BinaryIO, str], int]", options: argparse.Namespace
) -> int:
    """Open the file that was named and `take` it, or take its newest import back.

    Raises:
        BadRequest: there is no such file or gym, or the table was refused.
    """
    data.set_up(options.data)
    from floorward.errors import Refused
    from floorward.reports.wording import sentence_for

    path = Path(options.file).resolve()
    gym = gym_named(options.gym)
    if options.undo:
        return undo_newest(gym, path.name)
    if not path.is_file():
        raise BadRequest(f"there is no file {path.name}")
    try:
        with path.open("rb") as file:
            return take(options, gym, file, path.name)
    except Refused as refusal:
        raise BadRequest(sentence_for(refusal.code, refusal.numbers)) from refusal


def _take(options: argparse.Namespace, gym: "Gym", file: BinaryIO, name: str) -> int:
    from floorward.actions import imports
    from floorward.cli.import_matching import matching_of
    from floorward.errors import Refused
    from floorward.storage.sheets import COMMAND
    from floorward.web.now import now

    matching: Matching = matching_of(options, gym, file)
    if options.dry_run:
        found = imports.look(gym, file, matching, COMMAND, _progress)
        _print(found)
        return 2 if found.wrong else 0
    found = imports.Look()
    try:
        imports.take(gym, file, matching, COMMAND, name=name, by=None, now=now(), told=_progress, found=found)
    except Refused:
        _print(found)
        raise
    _print(found)
    print("taken in; take it back with --undo")
    return 0


def gym_named(name: str) -> "Gym":
    """The gym of this name, or the only one.

    Raises:
        BadRequest: there is none, or there are several.
    """
    from floorward.storage.models import Gym

    rows = list(Gym.objects.filter(name=name) if name else Gym.objects.all())
    if len(rows) != 1:
        names = ", ".join(Gym.objects.values_list("name", flat=True)) or "none"
        raise BadRequest(f"say which gym with --gym; here are: {names}")
    return rows[0]


def undo_newest(gym: "Gym", name: str) -> int:
    """Take the newest import of a file of this name back.

    Raises:
        BadRequest: there is none.
    """
    from floorward.actions import imports
    from floorward.reports.wording import sentence_for, word
    from floorward.storage.models import Import
    from floorward.web.now import now

    row = Import.objects.filter(gym=gym, name=name[:120], state=Import.State.TAKEN).first()
    if row is None:
        raise BadRequest(f"no import of {name} is there to take back")
    left = imports.undo(row, now=now())
    print(f"taken back: {row.count - left} {word('import-count', row.kind)} of {name}")
    if left:
        print(sentence_for("import-left", {"count": left}), file=sys.stderr)
    return 0


def _progress(what: str, count: int) -> None:
    end = "\r" if sys.stderr.isatty() else "\n"
    if sys.stderr.isatty() or count % 100_000 == 0:
        print(f"{what}: {count}", end=end, file=sys.stderr, flush=True)


def _print(found: "Look") -> None:
    from floorward.reports.wording import sentence_for, word

    for problem in found.problems[:SHOWN]:
        numbers = {**problem.finding.numbers, "column": word("column", problem.finding.field)}
        print(f"line {problem.line}: {sentence_for(problem.finding.code, numbers)}", file=sys.stderr)
    if found.wrong > SHOWN:
        print(f"and {found.wrong - SHOWN} lines more", file=sys.stderr)
    print(f"lines: {found.lines}, left out: {found.left_out}, cannot be read: {found.wrong}")
    print(f"sets: {found.sets} new, {found.known} there already, {found.again} written twice")
    for person in found.people[:SHOWN]:
        print(f"  {person.name}: {person.sets} sets on {person.days} days, {person.first} to {person.last}")
    if len(found.people) > SHOWN:
        print(f"  and {len(found.people) - SHOWN} lifters more")
