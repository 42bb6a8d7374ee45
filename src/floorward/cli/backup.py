"""`floorward backup`: the gym's database in one file, while people work."""

import argparse
from datetime import datetime, timedelta
from pathlib import Path

from floorward.cli import data
from floorward.cli.jsonl import BadRequest
from floorward.web.now import now


def register(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    command = commands.add_parser("backup", help="write the gym's data to one file, while people work")
    command.add_argument("file", nargs="?", help="the file to write; it must not exist")
    command.add_argument(
        "--sealed", action="store_true", help="ask for a passphrase and seal the file with it"
    )
    command.add_argument(
        "--due", action="store_true", help="into BACKUP_FOLDER, if one is due; old ones go by rotation"
    )
    data.add_data_option(command)
    command.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Write one backup and say what is in it."""
    if (options.file is None) != options.due:
        raise BadRequest("give a file to write to, or --due alone")
    folder = data.set_up(options.data)
    from django.conf import settings

    if options.due:
        return _if_due(folder, now())
    sealed = options.sealed or bool(settings.BACKUP_PASSPHRASE)
    _make(folder, Path(options.file).resolve(), data.passphrase(twice=True) if sealed else "", now())
    return 0


def _make(folder: Path, target: Path, passphrase: str, at: datetime) -> None:
    from django.conf import settings

    from floorward.storage import backups, moving, place

    file = folder / "gym" / backups.DATABASE
    snapshot = moving.file_copy_of(place.GYM) if settings.DATABASE_URL else backups.copy_of(file)
    manifest = backups.make(snapshot, folder / backups.KEY, target, passphrase=passphrase, now=at)
    lifters = manifest.rows.get("storage_lifter", 0)
    sets = manifest.rows.get("storage_doneset", 0)
    how = "sealed" if passphrase else "not sealed"
    print(f"{target}: {lifters} lifters, {sets} sets, checked, {how}")


def _if_due(folder: Path, at: datetime) -> int:
    from django.conf import settings

    from floorward.storage import rotation

    into = settings.BACKUP_FOLDER
    every = timedelta(hours=settings.BACKUP_EVERY_HOURS)
    if not rotation.is_due(rotation.made(into), at, every):
        return 0
    into.mkdir(parents=True, exist_ok=True, mode=0o700)
    _make(folder, into / rotation.name_for(at), settings.BACKUP_PASSPHRASE, at)
    rotation.rotate(into, days=settings.BACKUP_DAYS, weeks=settings.BACKUP_WEEKS)
    return 0
