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
    from django.db import connections

    from floorward.actions import rights
    from floorward.storage import backups, erasures, exchanging, migrating, place, restoring

    stood = bool(settings.DATABASE_URL) or (folder / "gym" / backups.DATABASE).exists()
    erased = erasures.known(place.GYM) if stood else frozenset()
    connections.close_all()  # of a file that is about to be replaced
    given: dict[str, Any] = {
        "passphrase": lambda: data.passphrase(twice=False),
        "known": migrating.known(),
        "now": now(),
    }
    if settings.DATABASE_URL:
        done = exchanging.restore(Path(options.file), folder, settings.DATABASE_URL, **given)
    else:
        done = restoring.restore(Path(options.file), folder, **given)
    migrating.bring_up_to_date(place.GYM)
    again = rights.erase_again(erased or (), now=now())
    lifters = done.manifest.rows.get("storage_lifter", 0)
    print(f"Restored the backup of {done.manifest.made_at:%Y-%m-%d %H:%M} UTC: {lifters} lifters.")
    if done.kept_in:
        print(f"What was there before is in {done.kept_in}.")
    if again:
        print(f"Erased again: {again} who had been erased after this backup was made.")
    if erased is None:
        print(
            "What stood there was too damaged to tell who had been erased: look whether the backup brought one back."
        )
    return 0
