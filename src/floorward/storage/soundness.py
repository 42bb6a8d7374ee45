"""What `floorward check` asks a PostgreSQL server: whether it keeps what it acknowledged, and tells the same time."""

from datetime import datetime, timedelta

from django.db import connections

from floorward.errors import StorageError
from floorward.storage.engines import schema_of

OLDEST = 140000
MUST_BE_ON = ("fsync", "full_page_writes", "synchronous_commit")


def server(alias: str) -> str:
    """The version of the server of the place `alias`.

    Raises:
        StorageError: it is too old, does not wait for the disk, or keeps words in another encoding.
    """
    with connections[alias].cursor() as cursor:
        cursor.execute("SELECT current_setting('server_version_num')::int, current_setting('server_version')")
        number, words = cursor.fetchone()
        if number < OLDEST:
            raise StorageError(f"PostgreSQL {words} is too old; take 14 or newer")
        cursor.execute(
            "SELECT name FROM pg_settings WHERE name = ANY(%s) AND setting = 'off'", [list(MUST_BE_ON)]
        )
        if loose := [name for (name,) in cursor.fetchall()]:
            raise StorageError(f"a power cut would lose what was acknowledged: turn {', '.join(loose)} on")
        cursor.execute("SELECT current_setting('server_encoding')")
        if (encoding := cursor.fetchone()[0]) != "UTF8":
            raise StorageError(f"it keeps words as {encoding}; make the database with encoding UTF8")
    return f"PostgreSQL {words}"


def is_filled(alias: str) -> bool:
    """Whether the tables of a place have been made."""
    connection = connections[alias]
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT to_regclass(%s) IS NOT NULL", [f"{schema_of(connection.settings_dict)}.django_migrations"]
        )
        return bool(cursor.fetchone()[0])


def loose_rows(alias: str) -> list[str]:
    """The constraints that were made without looking at the rows that were there; none, as Floorward makes them."""
    with connections[alias].cursor() as cursor:
        cursor.execute(
            "SELECT conname FROM pg_constraint WHERE NOT convalidated AND connamespace = %s::regnamespace",
            [schema_of(connections[alias].settings_dict)],
        )
        return [name for (name,) in cursor.fetchall()]


def unread_tables(alias: str) -> list[str]:
    """The tables that cannot be read from end to end; the server's own words in front of each name are left to its log."""
    connection = connections[alias]
    wrong = []
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            try:
                cursor.execute(f"SELECT count(t.*::text) FROM {connection.ops.quote_name(table)} t")  # noqa: S608 - its own names
            except Exception:  # noqa: BLE001 - whatever the server says of a broken page
                wrong.append(table)
    return wrong


def megabytes(alias: str) -> float:
    """What the database takes on the server's disk [MB]."""
    with connections[alias].cursor() as cursor:
        cursor.execute("SELECT pg_database_size(current_database())")
        return float(cursor.fetchone()[0]) / 1e6


def clock_apart(alias: str, now: datetime) -> timedelta:
    """How far the server's clock is from `now`."""
    with connections[alias].cursor() as cursor:
        cursor.execute("SELECT clock_timestamp()")
        theirs: datetime = cursor.fetchone()[0]
    return abs(now - theirs)
