"""`floorward restore`: a backup back in place, after all of it was checked."""

import argparse
from pathlib import Path
from typing import Any

from floorward.cli import data
from floorward.web.now import now


def register(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    command = commands.add_parser("restore", help="put a backup in place; what stood there is kept")
    command.add_argument("file", help="a backup, sealed or not")
    data.add_data_option(command)
    command.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Restore, bring the database up to date, and say where the old one is."""
    folder = data.set_up(options.data, must_exist=False)
    from django.conf import settings

    from floorward.storage import exchanging, migrating, restoring

    given: dict[str, Any] = {
        "passphrase": lambda: data.passphrase(twice=False),
        "known": migrating.known(),
        "now": now(),
    }
    if settings.DATABASE_URL:
        done = exchanging.restore(Path(options.file), folder, settings.DATABASE_URL, **given)
    else:
        done = restoring.restore(Path(options.file), folder, **given)
    migrating.bring_up_to_date("default")
    lifters = done.manifest.rows.get("storage_lifter", 0)
    print(f"Restored the backup of {done.manifest.made_at:%Y-%m-%d %H:%M} UTC: {lifters} lifters.")
    if done.kept_in:
        print(f"What was there before is in {done.kept_in}.")
    return 0
