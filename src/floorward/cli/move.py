"""`floorward move`: the gym from its SQLite file into PostgreSQL."""

import argparse
import tempfile
from pathlib import Path

from floorward.cli import data
from floorward.cli.jsonl import BadRequest


def register(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    command = commands.add_parser(
        "move", help="copy the gym from its SQLite file into the empty database at DATABASE_URL"
    )
    data.add_data_option(command)
    command.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Copy, compare, and say what is there; the file is only read."""
    folder = data.set_up(options.data)
    from django.conf import settings

    if not settings.DATABASE_URL:
        raise BadRequest("set DATABASE_URL to the PostgreSQL database that is to take the gym")
    from floorward.storage import backups, holding, migrating, moving, place

    with holding.alone(folder), tempfile.TemporaryDirectory(dir=folder, prefix=".move-") as own:
        file = Path(own) / backups.DATABASE
        backups.copy_of(folder / "gym" / backups.DATABASE)(file)
        migrating.bring_up_to_date(place.GYM)
        with moving.file_as_place(file, migrating.known()) as source:
            stored = moving.copy(source, place.GYM)
    for name, (count, digest) in stored.items():
        if count:
            print(f"{count:>9} {name:<14} {digest[:16]}")
    print(f"{sum(count for count, _ in stored.values())} rows, each as it was; the file stays where it is")
    return 0
