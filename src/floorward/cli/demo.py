"""`floorward demo`: make the demo gym beforehand, so that the first look round opens at once."""

import argparse
import os
from datetime import UTC, datetime
from pathlib import Path


def register(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    command = commands.add_parser("demo", help="make the demo gym in the data folder")
    command.add_argument(
        "--data", default=os.environ.get("DATA", "data"), help="folder of all data (default: DATA or ./data)"
    )
    command.add_argument(
        "--fresh", action="store_true", help="forget what was tried in the demo and make it anew"
    )
    command.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Make the demo where there is none, or anew."""
    folder = Path(options.data).resolve()
    os.environ.update(DATA=str(folder), DJANGO_SETTINGS_MODULE="floorward.config")
    if options.fresh:
        for file in (folder / "demo").glob("floorward.sqlite3*"):
            file.unlink()
    import django

    django.setup()
    from floorward.actions.demo import open_demo
    from floorward.storage import place
    from floorward.storage.models import Lifter

    with place.inside(place.DEMO):
        open_demo(datetime.now(UTC))  # noqa: TID251 - a command reads the clock once
        print(f"The demo gym has {Lifter.objects.count()} lifters. Start Floorward and look round.")
    return 0
