"""Published numbers as data: one TOML file a subject, each number with its unit and source.

A table file holds rows. A row that carries `value` (a number, a list or a mapping of numbers) must also carry `unit` and
`source`; a source is a key of `references.toml`, or `judgement` (our own choice: say in `note` why), or
`common-practice` (a fact of the trade without a source), or `memory` (recalled, not checked).
`[defaults]` in a file gives unit or source to all rows that do not say their own.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from floorward.errors import TableError

OWN_SOURCES = frozenset({"judgement", "common-practice", "memory"})


@cache
def load(name: str) -> dict[str, Any]:
    """The table `name` as nested dictionaries, after every row is checked.

    Raises:
        TableError: if a row with a value lacks unit or source, or its source is not in `references.toml`.
    """
    raw = _read(name)
    defaults = raw.pop("defaults", {})
    return {key: _checked(f"{name}.{key}", row, defaults) for key, row in raw.items()}


def value(name: str, *path: str) -> Any:
    """The number (or list, or mapping) at `path` of table `name`."""
    row: Any = load(name)
    for step in path:
        row = row[step]
    return row["value"]


@cache
def references() -> dict[str, dict[str, Any]]:
    """Every reference by its key: at least `title` and `where`, and `tag` (seen, secondary, computed)."""
    return _read("references")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One number of a table with where it comes from; `where` is its path in the file."""

    where: str
    value: Any
    unit: str
    source: str
    note: str


def rows(name: str) -> tuple[Row, ...]:
    """Every number of the table `name`, in the order of the file."""
    return tuple(_rows("", load(name)))


def _rows(where: str, found: Any) -> Iterator[Row]:
    if isinstance(found, list):
        found = {str(number): item for number, item in enumerate(found, start=1)}
    if not isinstance(found, dict):
        return
    if "value" in found and "source" in found:
        yield Row(
            where=where,
            value=found["value"],
            unit=found["unit"],
            source=found["source"],
            note=found.get("note", ""),
        )
        return
    for key, inner in found.items():
        yield from _rows(f"{where}.{key}".lstrip("."), inner)


def names() -> tuple[str, ...]:
    """The names of all shipped tables, references aside."""
    files = resources.files(__package__).iterdir()
    return tuple(
        sorted(f.name[:-5] for f in files if f.name.endswith(".toml") and f.name != "references.toml")
    )


def _read(name: str) -> dict[str, Any]:
    text = resources.files(__package__).joinpath(f"{name}.toml").read_text(encoding="utf-8")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise TableError(f"table {name}: {error}") from error


def _checked(where: str, row: Any, defaults: dict[str, str]) -> Any:
    if isinstance(row, list):
        return [_checked(f"{where}[{i}]", item, defaults) for i, item in enumerate(row)]
    if not isinstance(row, dict):
        return row
    if "value" not in row:
        return {key: _checked(f"{where}.{key}", inner, defaults) for key, inner in row.items()}
    full = {**defaults, **row}
    missing = [word for word in ("unit", "source") if not full.get(word)]
    if missing:
        raise TableError(f"{where} has no {' and no '.join(missing)}")
    if full["source"] not in OWN_SOURCES and full["source"] not in references():
        raise TableError(f"{where}: source {full['source']!r} is not in references.toml")
    return full
