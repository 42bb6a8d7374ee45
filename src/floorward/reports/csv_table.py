"""Tables as CSV that a spreadsheet opens without running what somebody typed."""

import csv
import io
import json
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

SIGNS = "=+-@\uff1d\uff0b\uff0d\uff20"  # the last four as wide as a Chinese character, which some spreadsheets take for the same
STARTS_A_FORMULA = (*SIGNS, "\t", "\r", "\n")
# where a spreadsheet that splits lines at another sign than the comma would begin a cell of its own
SPLITS = re.compile(rf"([;|\t\r\n]\s*)(?=[{re.escape(SIGNS)}])")


def table(columns: Sequence[str], rows: Iterable[Mapping[str, Any]]) -> str:
    """A CSV table (comma, quotes doubled, CRLF) with a head line; empty where there is no value."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(columns)
    writer.writerows([cell(row[name]) for name in columns] for row in rows)
    return out.getvalue()


def cell(value: Any) -> str:
    """A value as a cell. A text that a spreadsheet would take for a formula gets an apostrophe in front; numbers do not need one.

    So does a piece of it behind a semicolon, bar, tab or line end: where the comma is the decimal mark, spreadsheets split there.
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict | list):
        return cell(json.dumps(value, ensure_ascii=False, sort_keys=True))
    if isinstance(value, int | float) or _is_number(value):
        return str(value)
    value = SPLITS.sub(r"\1'", value)
    return f"'{value}" if value.startswith(STARTS_A_FORMULA) else value


def _is_number(text: str) -> bool:
    digits = text.removeprefix("-")
    return digits.replace(".", "", 1).isdigit() and digits.isascii()
