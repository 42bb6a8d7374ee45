"""`floorward check`: is this installation sound?"""

import argparse
import json
import os
import shutil
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from floorward.errors import StorageError
from floorward.web import now as clock

LEAST_FREE_BYTES = 200_000_000


def register(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    command = commands.add_parser("check", help="look over tables, databases and settings")
    command.add_argument(
        "--data", default=os.environ.get("DATA", "data"), help="folder of all data (default: DATA or ./data)"
    )
    command.add_argument("--json", action="store_true", help="answer as JSON")
    command.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print a line for each check; 0 if all are sound, 1 if one is not."""
    os.environ.update(DATA=str(Path(options.data).resolve()), DJANGO_SETTINGS_MODULE="floorward.config")
    import django

    django.setup()
    results = [_result(name, check) for name, check in CHECKS]
    if options.json:
        print(json.dumps({"sound": all(row["sound"] for row in results), "checks": results}))
    else:
        for row in results:
            print(f"{'sound' if row['sound'] else 'MEND '}  {row['check']}: {row['says']}")
    return 0 if all(row["sound"] for row in results) else 1


def _result(name: str, check: Callable[[], str]) -> dict[str, Any]:
    try:
        return {"check": name, "sound": True, "says": check()}
    except Exception as error:  # noqa: BLE001 - whatever is wrong is what the command is for
        return {"check": name, "sound": False, "says": " ".join(str(error).split()) or type(error).__name__}


def tables_are_whole() -> str:
    """Every number has its unit and source."""
    from floorward import tables

    for name in tables.names():
        tables.load(name)
    return f"{len(tables.names())} tables, {len(tables.references())} sources"


def data_can_be_written() -> str:
    """The folder takes a file."""
    from django.conf import settings

    probe = Path(settings.DATA) / ".probe"
    probe.write_text("x")
    probe.unlink()
    return f"{settings.DATA} can be written"


def databases_are_whole() -> str:
    """Each file passes SQLite's own checks, and no row refers to one that is not there; each server can read all of its tables."""
    from floorward.storage import backups, soundness

    for alias in _filled():
        if wrong := [*soundness.unread_tables(alias), *soundness.loose_rows(alias)]:
            raise StorageError(
                f"{alias}: {', '.join(wrong)} damaged; stop Floorward and restore the last backup"
            )
    for alias, file in _files().items():
        try:
            backups.whole(file)
        except StorageError as error:
            raise StorageError(f"{alias}: {error}; stop Floorward and restore the last backup") from error
    return ", ".join(_places()) or "none yet"


def databases_are_up_to_date() -> str:
    """No migration is waiting."""
    from django.db import connections
    from django.db.migrations.executor import MigrationExecutor

    for alias in _places():
        executor = MigrationExecutor(connections[alias])
        waiting = executor.migration_plan(executor.loader.graph.leaf_nodes())
        if waiting:
            raise RuntimeError(f"{alias} waits for {len(waiting)} changes; start `floorward serve` once")
    return "nothing is waiting"


def library_is_free_of_the_log_fault() -> str:
    """SQLite 3.51.3 or newer, which makes backups of a server too; a server that waits for the disk."""
    import sqlite3

    if sqlite3.sqlite_version_info < (3, 51, 3):
        raise RuntimeError(
            f"SQLite {sqlite3.sqlite_version} may damage a write-ahead log; run `make env` again"
        )
    from floorward.storage import soundness

    return ", ".join([*map(soundness.server, _servers()), f"SQLite {sqlite3.sqlite_version}"])


def clock_is_right() -> str:
    """Not before what was already recorded nor apart from the server's, and zones are known."""
    from zoneinfo import ZoneInfo

    from django.db import connections

    from floorward.storage import soundness

    ZoneInfo("Europe/London")
    now = clock.now()
    for alias in _servers():
        if (apart := soundness.clock_apart(alias, now)) > timedelta(minutes=5):
            raise StorageError(
                f"it is {apart} apart from the database server's; set both by the network's time"
            )
    if "default" in _places():
        with connections["default"].cursor() as cursor:
            cursor.execute("SELECT max(at) FROM storage_doneset WHERE undone_at IS NULL")
            last = cursor.fetchone()[0]
        if last and _utc(last) > now + timedelta(minutes=5):
            raise StorageError(
                f"it says {now:%Y-%m-%d %H:%M} UTC, but a set was logged at {last}; set the clock"
            )
    return f"{now:%Y-%m-%d %H:%M} UTC"


def _utc(stored: object) -> datetime:
    """A time as either database gives it."""
    return datetime.fromisoformat(str(stored)).replace(tzinfo=UTC)


def disk_has_room() -> str:
    """Room for three times the data, and never under 200 MB."""
    from django.conf import settings

    free = shutil.disk_usage(settings.DATA).free
    used = sum(file.stat().st_size for file in _files().values())
    if free < max(LEAST_FREE_BYTES, 3 * used):
        raise StorageError(f"only {free / 1e6:.0f} MB are free for {used / 1e6:.0f} MB of data; make room")
    from floorward.storage import soundness

    kept = sum(soundness.megabytes(alias) for alias in _servers()[:1]) + used / 1e6
    return f"{free / 1e9:.1f} GB free, {kept:.1f} MB used"


def backups_are_made() -> str:
    """The last one by the clock is not older than three of its periods."""
    from django.conf import settings

    from floorward.storage import rotation

    every = timedelta(hours=settings.BACKUP_EVERY_HOURS)
    last = max(rotation.made(settings.BACKUP_FOLDER), default=None)
    if not every:
        return "switched off by BACKUP_EVERY_HOURS"
    if last is None:
        return f"none yet in {settings.BACKUP_FOLDER}; the first is made a minute after the start"
    if clock.now() - last > 3 * every:
        raise StorageError(
            f"the last in {settings.BACKUP_FOLDER} is of {last:%Y-%m-%d}; is Floorward running?"
        )
    return f"the last is of {last:%Y-%m-%d %H:%M} UTC"


def certificates_hold() -> str:
    """Where phones are served over the gym's network: neither certificate has run out or is about to."""
    from django.conf import settings

    from floorward.storage import authority

    folder = Path(settings.DATA) / "lan"
    kept = {name: row for name in ("authority", "server") if (row := authority.kept(folder, name))}
    for name, row in kept.items():
        end = row.certificate.not_valid_after_utc
        if end < clock.now() + authority.RENEWED_BEFORE / 2:
            raise StorageError(
                f"the {name}'s ends on {end:%Y-%m-%d}; start `floorward serve --lan` again and it is made anew"
            )
    ends = [f"{name} until {row.certificate.not_valid_after_utc:%Y-%m-%d}" for name, row in kept.items()]
    return ", ".join(ends) or "none; phones are not served by `serve --lan`"


def _files() -> dict[str, Path]:
    from django.conf import settings

    databases = {
        alias: Path(str(row["NAME"]))
        for alias, row in settings.DATABASES.items()
        if "sqlite3" in str(row["ENGINE"])
    }
    return {alias: file for alias, file in databases.items() if file.exists() and file.stat().st_size}


def _servers() -> list[str]:
    """The places that lie on a server."""
    from django.conf import settings

    return [alias for alias, row in settings.DATABASES.items() if "postgresql" in str(row["ENGINE"])]


def _filled() -> list[str]:
    from floorward.storage import soundness

    return [alias for alias in _servers() if soundness.is_filled(alias)]


def _places() -> list[str]:
    """The places that have tables."""
    return [*_files(), *_filled()]


CHECKS: tuple[tuple[str, Callable[[], str]], ...] = (
    ("tables", tables_are_whole),
    ("data folder", data_can_be_written),
    ("databases", databases_are_whole),
    ("database changes", databases_are_up_to_date),
    ("database library", library_is_free_of_the_log_fault),
    ("clock", clock_is_right),
    ("disk", disk_has_room),
    ("backups", backups_are_made),
    ("certificates", certificates_hold),
)
