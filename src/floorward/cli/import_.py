"""`floorward import`: an export back into an empty database."""

import argparse
from pathlib import Path

from floorward.cli import data


def register(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    command = commands.add_parser("import", help="read an export into an empty data folder")
    command.add_argument("source", help="the folder of an export, or its everything.json")
    data.add_data_option(command)
    command.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """All or nothing; what was stored is compared with what was given."""
    data.set_up(options.data, must_exist=False)
    from floorward.storage import exports, migrating, place, portable

    rows = exports.read(Path(options.source).resolve())
    migrating.bring_up_to_date(place.GYM)
    stored = portable.store(place.GYM, rows)
    print(f"{sum(count for count, _ in stored.values())} rows of {len(stored)} tables, each as it was given")
    return 0
