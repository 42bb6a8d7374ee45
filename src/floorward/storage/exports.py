"""Everything of a place as files that anybody can read, and back."""

import json
import os
import tomllib
from collections.abc import Collection, Mapping
from datetime import datetime
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from django.db import models

from floorward.errors import StorageError
from floorward.storage import belonging, portable

WHOLE = "everything.json"
SECRET_WORDS = ("password", "secret", "code_hash", "recovery", "token")

Column = dict[str, Any]


def agreed(alias: str) -> tuple[dict[str, list[portable.Row]], int]:
    """All rows at one moment but health answers of lifters without a consent in force; and how many such lifters there are.

    What is left still fits together: columns that tell of health are empty, or as they are in a new row where they cannot be empty.
    """
    with portable.one_moment(alias):
        rows, hidden = portable.everything(alias), list(belonging.unagreed(alias))
        theirs = {name: belonging.keys_of(name, hidden, alias) for name in rows}
    return {
        name: [kept for row in table if (kept := _agreed(name, row, theirs[name])) is not None]
        for name, table in rows.items()
    }, len(hidden)


def _agreed(name: str, row: portable.Row, theirs: Collection[object]) -> portable.Row | None:
    model = portable.tables()[name]
    if row[model._meta.pk.attname] not in theirs:  # noqa: SLF001 - Django's public way to a model's columns
        return row
    kept = belonging.without_health(name, row)
    if kept is None:
        return None
    new = portable.plain_row(model())
    empty = {column.attname for column in model._meta.concrete_fields if column.null}  # noqa: SLF001
    return {key: new[key] if value is None and key not in empty else value for key, value in kept.items()}


def read(file: Path) -> dict[str, list[portable.Row]]:
    """The rows in `everything.json`, given itself or its folder.

    Raises:
        StorageError: there is none, or it is not whole.
    """
    file = file / WHOLE if file.is_dir() else file
    if not file.is_file():
        raise StorageError(f"there is no {file}; give the folder of an export, or its {WHOLE}")
    try:
        said = json.loads(file.read_text(encoding="utf-8"))
        rows, sums = said["rows"], said["sums"]
        if said["format"] != portable.FORMAT:
            raise StorageError(f"{file} is of format {said['format']}, which this Floorward does not know")
        found = portable.sums(rows)
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise StorageError(f"{file} is not an export, or it is damaged; take another copy of it") from error
    if {name: list(value) for name, value in found.items()} != sums:
        raise StorageError(f"{file} does not hold what was written; it was changed or damaged")
    return dict(rows)


def write_whole(folder: Path, rows: Mapping[str, list[portable.Row]], now: datetime) -> None:
    """`everything.json` in `folder`: all rows, with their counts and sums; readable by its owner alone."""
    said = {
        "format": portable.FORMAT,
        "made_at": now.isoformat(),
        "sums": {name: list(value) for name, value in portable.sums(rows).items()},
        "rows": rows,
    }
    with os.fdopen(os.open(folder / WHOLE, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "w") as out:
        json.dump(said, out, ensure_ascii=False, indent=0)
        out.flush()
        os.fsync(out.fileno())


def dictionary() -> list[Column]:
    """A line for each column of each table: what it holds, in which unit, whether it may be empty, what it refers to."""
    return [
        {"table": name, "about": _about(model), **_column(column)}
        for name, model in portable.tables().items()
        for column in model._meta.concrete_fields  # noqa: SLF001 - Django's public way to a model's columns
    ]


def _about(model: type[models.Model]) -> str:
    """What a row of a table is, in a sentence."""
    return " ".join((model.__doc__ or "").split("\n\n", maxsplit=1)[0].split())


@cache
def meanings() -> dict[str, dict[str, str]]:
    """A sentence for each column, by table; under `any` those of columns that mean the same everywhere."""
    text = resources.files(__package__).joinpath("meanings.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def shown_columns(name: str) -> list[str]:
    """The columns of a table that its CSV shows: all but those that open doors."""
    columns = [column.attname for column in portable.tables()[name]._meta.concrete_fields]  # noqa: SLF001
    return [column for column in columns if not any(word in column for word in SECRET_WORDS)]


def _column(column: "models.Field[Any, Any]") -> Column:
    target = column.related_model
    return {
        "column": column.attname,
        "meaning": _meaning(column.model.__name__, column.attname),
        "kind": _kind(column),
        "unit": _unit(column.attname),
        "may_be_empty": bool(column.null),
        "one_of": " ".join(str(value) for value, _ in column.flatchoices),
        "refers_to": "" if target is None or isinstance(target, str) else target.__name__,
        "in_csv": column.attname in shown_columns(column.model.__name__),
    }


def _meaning(table: str, column: str) -> str:
    known = meanings()
    return known.get(table, {}).get(column) or known["any"].get(column, "")


KINDS: tuple[tuple[type, str], ...] = (
    (models.BooleanField, "yes or no"),
    (models.DateTimeField, "time, UTC"),
    (models.DateField, "day"),
    (models.DecimalField, "exact number"),
    (models.FloatField, "number"),
    (models.IntegerField, "whole number"),
    (models.JSONField, "JSON"),
    (models.ForeignKey, "key of a row"),
)


def _kind(column: "models.Field[Any, Any]") -> str:
    if column.primary_key:
        return "key of this row"
    return next((kind for made, kind in KINDS if isinstance(column, made)), "text")


UNITS = {"m": "metres", "mm": "millimetres", "kg": "kilograms", "deg": "degrees", "percent": "per cent"}
BY_NAME = {
    "mass": "the row's unit",
    "load": "the row's unit",
    "proposed_load": "the row's unit",
    "usual_load": "the row's unit, or the bar's",
    "hurt_load": "the bar's unit",
    "pain": "0 to 10",
    "before": "0 to 10",
    "after": "0 to 10",
    "score": "0 to 10",
    "rest_pain": "0 to 10",
}


def _unit(name: str) -> str:
    return BY_NAME.get(name) or UNITS.get(name.rpartition("_")[2], "")
