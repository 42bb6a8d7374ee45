"""Changing a row that a colleague may have changed meanwhile."""

from collections.abc import Mapping
from typing import Any, TypeVar

from floorward.errors import Refused
from floorward.storage.models.fields import Versioned

Row = TypeVar("Row", bound=Versioned)


def take_changes(row: Row, *, seen_version: int, changes: Mapping[str, Any]) -> Row:
    """`row`, read for update in the same transaction, with `changes`; its version counts up.

    Raises:
        Refused: `changed-meanwhile` if it was changed since `seen_version`.
    """
    if row.version != seen_version:
        raise Refused("changed-meanwhile")
    for name, new in changes.items():
        setattr(row, name, new)
    row.version += 1
    row.save()
    return row
