"""Every row of one database in another, whatever kind either is: moves, and backups of PostgreSQL, are made of this."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from itertools import islice
from pathlib import Path

from django.db import connections, models, transaction

from floorward.errors import StorageError
from floorward.storage import backups, engines, migrating, portable, restoring

Sums = dict[str, tuple[int, str]]


@contextmanager
def also_open(alias: str, settings: engines.Settings) -> Iterator[None]:
    """A database besides the configured ones, under the name `alias` until the block ends."""
    connections.settings[alias] = connections.configure_settings({"default": {}, alias: settings})[alias]
    try:
        yield
    finally:
        connections[alias].close()
        del connections[alias]
        del connections.settings[alias]


def copy(source: str, target: str) -> Sums:
    """Put all rows of the place `source`, as they are at one moment, into the empty place `target`; their counts and sums.

    Rows are carried a few hundred at a time, so that memory does not grow with the gym. `source` is only read.

    Raises:
        StorageError: the target is not empty, does not take a row, or holds afterwards something else than the source. It stays empty.
    """
    with portable.one_moment(source), portable.explained(), transaction.atomic(using=target):
        portable.refuse_occupied(target)
        for model in portable.tables().values():
            _carry(model, source, target)
        portable.set_counters(target)
        connections[target].check_constraints()
        wanted, stored = _sums(source), _sums(target)
        if stored != wanted:
            wrong = ", ".join(name for name, found in wanted.items() if stored[name] != found)
            raise StorageError(f"what was stored is not what was there ({wrong}); nothing was kept")
    return stored


def file_copy_of(alias: str) -> backups.Snapshot:
    """How a place on PostgreSQL becomes a SQLite file while others read and write it."""

    def snapshot(target: Path) -> None:
        with also_open("snapshot", engines.sqlite(target)):
            migrating.bring_up_to_date("snapshot")
            copy(alias, "snapshot")
        with closing(sqlite3.connect(target)) as connection:
            connection.execute("PRAGMA journal_mode=DELETE")

    return snapshot


@contextmanager
def file_as_place(file: Path, known: set[tuple[str, str]]) -> Iterator[str]:
    """A SQLite file that is ours alone as a place with its tables up to date; the alias to read it by.

    Raises:
        StorageError: it is damaged, or of a newer Floorward: has seen changes that are not `known`.
    """
    backups.whole(file)
    restoring.refuse_newer(file, known)
    with also_open("file", engines.sqlite(file)):
        migrating.bring_up_to_date("file")
        yield "file"


def _carry(model: type[models.Model], source: str, target: str) -> None:
    rows = model._default_manager.using(source).order_by("pk").iterator(chunk_size=portable.AT_A_TIME)  # noqa: SLF001
    while some := list(islice(rows, portable.AT_A_TIME)):
        model._default_manager.using(target).bulk_create(some)  # noqa: SLF001


def _sums(alias: str) -> Sums:
    return portable.sums({name: portable.rows(alias, name) for name in portable.tables()})
