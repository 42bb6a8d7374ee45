"""`floorward check`: is this installation sound?"""

import argparse
import json
import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any


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
    """Each file passes SQLite's own check."""
    from django.db import connections

    for alias in _files():
        with connections[alias].cursor() as cursor:
            cursor.execute("PRAGMA integrity_check")
            answer = cursor.fetchone()[0]
        if answer != "ok":
            raise RuntimeError(f"{alias}: {answer}; restore the last backup")
    return ", ".join(_files()) or "none yet"


def databases_are_up_to_date() -> str:
    """No migration is waiting."""
    from django.db import connections
    from django.db.migrations.executor import MigrationExecutor

    for alias in _files():
        executor = MigrationExecutor(connections[alias])
        waiting = executor.migration_plan(executor.loader.graph.leaf_nodes())
        if waiting:
            raise RuntimeError(f"{alias} waits for {len(waiting)} changes; start `floorward serve` once")
    return "nothing is waiting"


def library_is_free_of_the_log_fault() -> str:
    """SQLite 3.51.3 or newer."""
    import sqlite3

    if sqlite3.sqlite_version_info < (3, 51, 3):
        raise RuntimeError(
            f"SQLite {sqlite3.sqlite_version} may damage a write-ahead log; run `make env` again"
        )
    return f"SQLite {sqlite3.sqlite_version}"


def _files() -> list[str]:
    return list(_existing())


def _existing() -> Iterator[str]:
    from django.conf import settings

    for alias, database in settings.DATABASES.items():
        file = Path(str(database["NAME"]))
        if file.exists() and file.stat().st_size:
            yield alias


CHECKS: tuple[tuple[str, Callable[[], str]], ...] = (
    ("tables", tables_are_whole),
    ("data folder", data_can_be_written),
    ("databases", databases_are_whole),
    ("database changes", databases_are_up_to_date),
    ("database library", library_is_free_of_the_log_fault),
)
