"""Restoring a backup: all of it is checked before anything is replaced, and what stood there is kept beside it."""

import os
import sqlite3
import tempfile
from collections.abc import Callable
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from floorward.errors import StorageError
from floorward.storage import backups, holding

LOG_FILES = ("-wal", "-shm")


@dataclass(frozen=True, slots=True, kw_only=True)
class Restored:
    """What was put in place, and the folder or schema with what stood there before (None if nothing did)."""

    manifest: backups.Manifest
    kept_in: str | None


def restore(
    file: Path, data: Path, *, passphrase: Callable[[], str], known: set[tuple[str, str]], now: datetime
) -> Restored:
    """Put the backup `file` in place of the gym's database in the folder `data`.

    Args:
        file: a backup, sealed or not.
        data: the data folder; `data/gym` holds the database.
        passphrase: asked only if the file is sealed.
        known: the database changes that this program knows, as (application, name).
        now: names the folder that keeps the old.

    Raises:
        StorageError: the server is running, or the backup is damaged, sealed otherwise, or of a newer program.
    """
    if not file.is_file():
        raise StorageError(f"there is no file {file}")
    gym = data / "gym"
    gym.mkdir(parents=True, exist_ok=True)
    with holding.alone(data), tempfile.TemporaryDirectory(dir=gym, prefix=".restore-") as folder:
        manifest = backups.unpack(file, Path(folder), passphrase=passphrase)
        refuse_newer(Path(folder) / backups.DATABASE, known)
        kept = _keep(data, gym / f"before-restore-{now:%Y%m%d-%H%M%S}")
        key = Path(folder) / backups.KEY
        if key.is_file():
            backups.settle(key, data / backups.KEY)
        backups.settle(Path(folder) / backups.DATABASE, gym / backups.DATABASE)
        for ending in LOG_FILES:
            (gym / (backups.DATABASE + ending)).unlink(missing_ok=True)
    return Restored(manifest=manifest, kept_in=str(kept) if kept else None)


def refuse_newer(database: Path, known: set[tuple[str, str]]) -> None:
    """Raise `StorageError` if `database` has seen changes that are not `known`."""
    with backups.opened(database) as connection:
        seen = set(connection.execute("SELECT app, name FROM django_migrations"))
    if not seen <= known:
        raise StorageError("this backup was made by a newer Floorward; bring this one up to date first")


def _keep(data: Path, folder: Path) -> Path | None:
    """Link (or copy) what is in place into `folder`; it stays in place too until it is replaced."""
    database = data / "gym" / backups.DATABASE
    if not database.exists():
        return None
    _fold_log_in(database)
    folder.mkdir()
    logs = [database.with_name(database.name + ending) for ending in LOG_FILES]
    for file in (database, *logs, data / backups.KEY):
        if file.exists():
            _link(file, folder / file.name)
    return folder


def _fold_log_in(database: Path) -> None:
    """Bring the write-ahead log into the file; a file too damaged for that is kept with its log as it is."""
    with suppress(sqlite3.Error), closing(sqlite3.connect(database, timeout=5)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def _link(file: Path, target: Path) -> None:
    try:
        os.link(file, target)
    except OSError:
        target.write_bytes(file.read_bytes())
        target.chmod(0o600)
