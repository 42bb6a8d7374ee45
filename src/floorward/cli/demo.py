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
    command.add_argument(
        "--remove", action="store_true", help="remove the demo, with all that was tried in it"
    )
    command.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Make the demo where there is none, or anew; or remove it."""
    folder = Path(options.data).resolve()
    os.environ.update(DATA=str(folder), DJANGO_SETTINGS_MODULE="floorward.config")
    on_file = not os.environ.get("DATABASE_URL")
    if on_file and (options.fresh or options.remove):
        for file in (folder / "demo").glob("floorward.sqlite3*"):
            file.unlink()
    import django

    django.setup()
    from floorward.actions.demo import empty_demo, open_demo
    from floorward.storage import place
    from floorward.storage.models import Lifter

    if options.fresh or options.remove:
        empty_demo()
    if options.remove:
        print("The demo gym is gone.")
        return 0
    with place.inside(place.DEMO):
        open_demo(datetime.now(UTC))  # noqa: TID251 - a command reads the clock once
        print(f"The demo gym has {Lifter.objects.count()} lifters. Start Floorward and look round.")
    return 0
