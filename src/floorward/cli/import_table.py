"""`floorward import-table`: people with their measures, or the gym's equipment, from a table."""

import argparse
import sys
from typing import TYPE_CHECKING, BinaryIO

from floorward.cli import data
from floorward.cli.import_history import add_matching, import_with
from floorward.cli.jsonl import BadRequest

if TYPE_CHECKING:
    from floorward.storage.models import Gym
    from floorward.web.table_rows import RowsRead

SHOWN = 40


def register(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    command = commands.add_parser(
        "import-table", help="bring people's measures or the gym's equipment in from a CSV or XLSX table"
    )
    command.add_argument(
        "kind", choices=("bodies", "iron"), help="people and their measures; bars, plates, blocks"
    )
    command.add_argument("file", help="the table; its first line names the columns")
    add_matching(command)
    command.add_argument(
        "--piece", action="append", default=[], metavar="NAME=KIND", help="which kind of piece a name is"
    )
    command.add_argument(
        "--length-unit", choices=("cm", "mm", "m", "in"), default="", help="of lengths that name none"
    )
    command.add_argument("--sure", action="store_true", help="take it in although something is unusual")
    data.add_data_option(command)
    command.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Take the whole table in, or nothing; with `--dry-run` only say what would happen."""
    return import_with(_take, options)


def _take(options: argparse.Namespace, gym: "Gym", file: BinaryIO, name: str) -> int:
    from floorward.actions.import_rows import take_rows
    from floorward.cli.import_matching import matching_of
    from floorward.errors import Refused
    from floorward.storage.models import Import
    from floorward.web.now import now
    from floorward.web.table_rows import read_rows

    read = read_rows(options.kind, gym, file, matching_of(options, gym, file, options.kind))
    _print(read)
    if options.dry_run:
        return 2 if read.wrong else 0
    if read.wrong:
        raise Refused("import-problems", count=read.wrong)
    if read.remarks and not options.sure:
        raise BadRequest("look at the lines above again; if they are right, say --sure")
    source = Import(gym=gym, kind=options.kind, name=name[:120], at=now())
    take_rows(gym, read.weighed, source, by=None, now=now())
    print("taken in; take it back with --undo")
    return 0


def _print(read: "RowsRead") -> None:
    from floorward.reports.wording import word

    for line, text in (*read.problems, *read.remarks)[:SHOWN]:
        print(f"line {line}: {text}", file=sys.stderr)
    found = read.weighed
    print(f"lines: {read.lines}, left out: {read.left_out}, cannot be taken: {read.wrong}")
    print(
        f"{len(found.new)} new, {len(found.changed)} changed, {found.known} there already, {found.again} written twice"
    )
    for one in (*found.new, *found.changed)[:SHOWN]:
        told = "; ".join(
            f"{word('row-column', name)} {'' if old is None else f'{old} → '}{new}"
            for name, old, new in one.told
        )
        print(f"  {one.wish.name}: {told}")
