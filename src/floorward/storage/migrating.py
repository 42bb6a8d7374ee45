"""Bringing the tables of a place up to date; where several machines start at once, one does it and the others wait."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.core.management import call_command
from django.db import connections
from django.db.migrations.loader import MigrationLoader

from floorward.storage import place
from floorward.storage.engines import schema_of


def bring_up_to_date(alias: str) -> None:
    """Make every change to the tables of the place `alias` that waits."""
    with _one_at_a_time(alias), place.inside(alias):
        call_command("migrate", verbosity=0, database=alias)


def known() -> set[tuple[str, str]]:
    """The changes to tables that this program knows, as (application, name)."""
    return set(MigrationLoader(None).disk_migrations)


def forget_schema(alias: str) -> None:
    """Everything of the place `alias` on PostgreSQL; on SQLite nothing, where a place is a file to remove."""
    connection = connections[alias]
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(f"DROP SCHEMA IF EXISTS {schema_of(connection.settings_dict)} CASCADE")


@contextmanager
def _one_at_a_time(alias: str) -> Iterator[None]:
    """A lock of PostgreSQL's that its connection holds; SQLite's own suffices there."""
    connection = connections[alias]
    if connection.vendor != "postgresql":
        yield
        return
    key = [place.number_of(alias), -1]
    with connection.cursor() as cursor:
        cursor.execute("SET lock_timeout = 0")  # a long change elsewhere is waited for
        cursor.execute("SELECT pg_advisory_lock(%s, %s)", key)
        cursor.execute("RESET lock_timeout")
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_unlock(%s, %s)", key)
