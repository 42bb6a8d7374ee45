"""Which database this moment works on: the gym's own, or the demo's.

The two live in folders of their own and never share a row. A request (or a command) enters one place and stays in it; the
router sends every query there.
"""

from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from contextvars import ContextVar
from typing import Any

from django.db import transaction

GYM = "default"
DEMO = "demo"

_current: ContextVar[str] = ContextVar("place", default=GYM)


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


def atomic() -> AbstractContextManager[Any]:
    """All or nothing, on the database in use."""
    return transaction.atomic(using=current())


class Router:
    """Sends every query to the place in use."""

    def db_for_read(self, model: Any, **hints: Any) -> str:
        """The place in use, whatever the row."""
        return current()

    def db_for_write(self, model: Any, **hints: Any) -> str:
        """The place in use, whatever the row."""
        return current()
