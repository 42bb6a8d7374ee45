"""Every row as plain values, and back: what exports, imports and moves between databases are made of.

A row becomes a dictionary of its columns: numbers, words, and exact decimals, days and times as text (times in UTC). The tables and
columns are read off the models, so that a column added tomorrow is exported tomorrow.
"""

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from django.apps import apps
from django.core.exceptions import ValidationError
from django.core.management.color import no_style
from django.db import connections, models, transaction

from floorward.errors import StorageError

FORMAT = "floorward-export-1"
AT_A_TIME = 500

Row = dict[str, Any]
Rows = Mapping[str, Iterable[Row]]


def tables() -> dict[str, type[models.Model]]:
    """The tables by name, in the order of the models."""
    found = apps.get_app_config("storage").get_models(include_auto_created=True)
    return {model.__name__: model for model in found}


def rows(alias: str, name: str) -> Iterator[Row]:
    """The rows of a table in the order of their keys."""
    stored = tables()[name]._default_manager.using(alias).order_by("pk")  # noqa: SLF001
    for row in stored.iterator(chunk_size=AT_A_TIME):
        yield plain_row(row)


def plain_row(row: models.Model) -> Row:
    """A row as plain values, by column."""
    columns = row._meta.concrete_fields  # noqa: SLF001 - Django's public way to a model's columns
    return {column.attname: _plain(getattr(row, column.attname)) for column in columns}


def everything(alias: str) -> dict[str, list[Row]]:
    """All rows of all tables at one moment."""
    with one_moment(alias):
        return {name: list(rows(alias, name)) for name in tables()}


@contextmanager
def one_moment(alias: str) -> Iterator[None]:
    """Reads inside see the database as it was at the first of them."""
    connection = connections[alias]
    outermost = not connection.in_atomic_block
    with transaction.atomic(using=alias):
        if connection.vendor == "postgresql" and outermost:
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        yield


def sums(given: Rows) -> dict[str, tuple[int, str]]:
    """The count of rows of each table, and the SHA-256 of them all."""
    found = {}
    for name, table in given.items():
        count, digest = 0, hashlib.sha256()
        for row in table:
            count += 1
            digest.update(json.dumps(row, sort_keys=True, ensure_ascii=False).encode())
        found[name] = (count, digest.hexdigest())
    return found


def store(alias: str, given: Rows) -> dict[str, tuple[int, str]]:
    """Put rows into an empty database, all or none; the sums of what stands there afterwards, which are those of `given`.

    Raises:
        StorageError: the database is not empty, a table or column is unknown, a value cannot be, or what was stored is not what was given.
    """
    listed = {name: list(table) for name, table in given.items()}
    _refuse_unknown(listed)
    with explained():
        return _store_all(alias, listed)


@contextmanager
def explained() -> Iterator[None]:
    """Say of a value or row that a database does not take that it is this, and that nothing was kept.

    Raises:
        StorageError: in place of what the database raised.
    """
    try:
        yield
    except (ValidationError, ValueError, TypeError) as error:
        raise StorageError(f"a value cannot be: {' '.join(str(error).split())}; nothing was kept") from error
    except Exception as error:
        if type(error).__name__ in {"IntegrityError", "DataError"}:
            said = " ".join(str(error).split())
            raise StorageError(f"rows do not fit together: {said}; nothing was kept") from error
        raise


def _store_all(alias: str, given: Mapping[str, list[Row]]) -> dict[str, tuple[int, str]]:
    with transaction.atomic(using=alias):
        refuse_occupied(alias)
        for name, table in given.items():
            model = tables()[name]
            made = [_row(model, values) for values in table]
            model._default_manager.using(alias).bulk_create(made, batch_size=AT_A_TIME)  # noqa: SLF001
        set_counters(alias)
        connections[alias].check_constraints()
        stored, wanted = sums({name: rows(alias, name) for name in given}), sums(given)
        if stored != wanted:
            wrong = ", ".join(name for name, found in wanted.items() if stored[name] != found)
            raise StorageError(f"what was stored is not what was given ({wrong}); nothing was kept")
    return stored


def _refuse_unknown(given: Mapping[str, list[Row]]) -> None:
    known = tables()
    for name, table in given.items():
        if name not in known:
            raise StorageError(f"there is no table {name}; was this written by a newer Floorward?")
        columns = {column.attname for column in known[name]._meta.concrete_fields}  # noqa: SLF001
        for row in table:
            if set(row) != columns:
                odd = ", ".join(sorted(set(row) ^ columns))
                raise StorageError(f"{name}: columns do not agree ({odd}); use the Floorward that wrote it")


def refuse_occupied(alias: str) -> None:
    """Raise `StorageError` if any table has a row."""
    for name, model in tables().items():
        if model._default_manager.using(alias).exists():  # noqa: SLF001
            raise StorageError(
                f"there is data already ({name}); nothing is mixed: give an empty data folder or database"
            )


def _row(model: type[models.Model], values: Row) -> models.Model:
    columns = {column.attname: column for column in model._meta.concrete_fields}  # noqa: SLF001
    return model(**{name: columns[name].to_python(value) for name, value in values.items()})


def set_counters(alias: str) -> None:
    """The next key of each table follows the last that was stored."""
    connection = connections[alias]
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), list(tables().values())):
            cursor.execute(statement)


def _plain(value: Any) -> Any:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, dict | list):
        return _json(value)
    return str(value) if isinstance(value, Decimal) else value


EXACT_BELOW = 2**53  # beyond, one database gives a number back with a point and the other without


def _json(value: Any) -> Any:
    """The same words for the same value, whichever database kept it."""
    if isinstance(value, dict):
        return {key: _json(value[key]) for key in sorted(value)}
    if isinstance(value, list):
        return [_json(one) for one in value]
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value
    return float(value) if abs(value) >= EXACT_BELOW else value + 0
