"""Who was erased here, so that an older backup does not bring them back.

A mark is a SHA-256 of the number of the lifter's row and of the moment it was added: what a row of an older backup still has, and nothing
that names anybody.
"""

import hashlib
from collections.abc import Collection, Iterable
from datetime import UTC

from django.db import DatabaseError, connections

from floorward.storage.models import Erased, Lifter


def mark_of(lifter: Lifter) -> str:
    """What an erased lifter is known by."""
    said = f"floorward-erased {lifter.pk} {lifter.added_at.astimezone(UTC).isoformat()}"
    return hashlib.sha256(said.encode()).hexdigest()


def remember(marks: Iterable[str], alias: str) -> None:
    """Keep marks; those that are kept already stay."""
    Erased.objects.using(alias).bulk_create(
        [Erased(mark=mark) for mark in sorted(marks)], ignore_conflicts=True
    )


def known(alias: str) -> frozenset[str] | None:
    """The marks that a place knows, none if it has no tables yet; None where it is too damaged to tell."""
    connection = connections[alias]
    try:
        if Erased._meta.db_table not in connection.introspection.table_names():  # noqa: SLF001 - Django's public way to a table's name
            return frozenset()
        return frozenset(Erased.objects.using(alias).values_list("mark", flat=True))
    except DatabaseError:
        return None


def back_again(marks: Collection[str], alias: str) -> list[Lifter]:
    """The lifters of a place who were erased elsewhere or later than what it holds."""
    return [one for one in Lifter.objects.using(alias).all() if mark_of(one) in marks] if marks else []
