"""Which database this moment works on: the gym's own, or the demo's.

The two live in folders (on PostgreSQL: schemas) of their own and never share a row. A request (or a command) enters one place and stays
in it; the router sends every query there.

Whoever changes a gym has it alone while they do: what was read before a change still holds when it is stored. SQLite lets one writer in
at a time anyway; on PostgreSQL each change queues for its gym, so that two gyms never wait for each other.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any
from zlib import crc32

from django.db import connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper

GYM = "default"
DEMO = "demo"
KEY = 0x7FFFFFFE  # locks are numbered by whole numbers of 32 bits with a sign

_current: ContextVar[str] = ContextVar("place", default=GYM)
_gym: ContextVar[int | None] = ContextVar("gym", default=None)


def current() -> str:
    """The alias of the database in use."""
    return _current.get()


@contextmanager
def inside(alias: str) -> Iterator[None]:
    """Work on the database `alias` until the block ends."""
    token = _current.set(alias)
    try:
        yield
    finally:
        _current.reset(token)


@contextmanager
def on_behalf_of(gym_number: int) -> Iterator[None]:
    """Change only what belongs to this gym until the block ends; changes to other gyms need not wait."""
    token = _gym.set(gym_number)
    try:
        yield
    finally:
        _gym.reset(token)


@contextmanager
def atomic() -> Iterator[None]:
    """All or nothing, on the database in use, alone with the gym."""
    connection = connections[current()]
    outermost = not connection.in_atomic_block
    with transaction.atomic(using=current()):
        if outermost and connection.vendor == "postgresql":
            _queue(connection, _gym.get())
        yield


def number_of(alias: str) -> int:
    """The number of a place among the locks of a PostgreSQL database."""
    return crc32(alias.encode()) & KEY


def _queue(connection: BaseDatabaseWrapper, gym_number: int | None) -> None:
    """Wait for one's turn: with a gym, behind others of that gym; without, behind everybody."""
    place = number_of(connection.alias)
    with connection.cursor() as cursor:
        if gym_number is None:
            cursor.execute("SELECT pg_advisory_xact_lock(%s, 0)", [place])
        else:
            cursor.execute("SELECT pg_advisory_xact_lock_shared(%s, 0)", [place])
            cursor.execute("SELECT pg_advisory_xact_lock(%s, %s)", [place, gym_number % KEY + 1])


class Router:
    """Sends every query to the place in use."""

    def db_for_read(self, model: Any, **hints: Any) -> str:
        """The place in use, whatever the row."""
        return current()

    def db_for_write(self, model: Any, **hints: Any) -> str:
        """The place in use, whatever the row."""
        return current()
