"""Tables in files that somebody made: CSV in any usual encoding and with any usual delimiter, and XLSX.

Nothing of a file is trusted. It is read line by line and never held as a whole; what a spreadsheet would run is text; a file
that would unfold beyond its limits, that names outside things, or that is no table is refused with a sentence.
"""

import codecs
import csv
import io
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, BinaryIO, TextIO

from floorward.errors import Refused

LINE_MOST = 100_000  # characters of one line
CELL_MOST = 10_000  # characters of one cell
COLUMNS_MOST = 60
DELIMITERS = (",", ";", "\t", "|")
ZIP = b"PK\x03\x04"
OLD_EXCEL = b"\xd0\xcf\x11\xe0"
_LOOK = 64 * 1024
_CHUNK = 1024 * 1024

Line = tuple[int, list[str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """How large a file may be: bytes as it is, bytes unfolded, lines."""

    bytes_most: int
    unfolded_most: int
    lines_most: int


WEB = Limits(bytes_most=5_000_000, unfolded_most=60_000_000, lines_most=50_000)
COMMAND = Limits(bytes_most=2_000_000_000, unfolded_most=2_000_000_000, lines_most=5_000_000)
SHARED_WORDS_MOST = 50_000_000  # bytes of a workbook's list of words, which is held in memory


@contextmanager
def lines_of(file: BinaryIO, limits: Limits) -> Iterator[Iterator[Line]]:
    """The lines of a table with their numbers, the headings first.

    Raises:
        Refused: `file-…` where it cannot be read; also while the lines are taken.
    """
    size = file.seek(0, io.SEEK_END)
    file.seek(0)
    if size > limits.bytes_most:
        raise Refused("file-too-large", most=limits.bytes_most // 1_000_000)
    start = file.read(8)
    file.seek(0)
    if start.startswith(OLD_EXCEL):
        raise Refused("file-old-excel")
    if not start:
        raise Refused("file-empty")
    with _workbook(file, limits) if start.startswith(ZIP) else _text(file) as lines:
        yield _bounded(lines, limits)


def _bounded(lines: Iterator[Line], limits: Limits) -> Iterator[Line]:
    for count, (number, cells) in enumerate(lines):
        if count > limits.lines_most:
            raise Refused("file-too-long", most=limits.lines_most)
        if any(len(cell) > CELL_MOST for cell in cells):
            raise Refused("file-cell-too-long", line=number, most=CELL_MOST)
        if len(cells) > COLUMNS_MOST:
            cells = cells[:COLUMNS_MOST]  # noqa: PLW2901 - what is beyond is no table of sets
        yield number, cells


# CSV


@contextmanager
def _text(file: BinaryIO) -> Iterator[Iterator[Line]]:
    encoding = _encoding(file)
    text = io.TextIOWrapper(file, encoding=encoding, errors="strict", newline="")
    try:
        yield _read(text)
    finally:
        text.detach()


def _read(text: TextIO) -> Iterator[Line]:
    csv.field_size_limit(LINE_MOST)
    reader = None
    try:
        start = text.read(_LOOK)
        if "\0" in start:
            raise Refused("file-no-text")
        text.seek(0)
        reader = csv.reader(_whole_lines(text), delimiter=_delimiter(start), strict=False)
        for cells in reader:
            if any(cells):
                yield reader.line_num, cells
    except csv.Error as error:
        raise Refused("file-broken-line", line=reader.line_num if reader else 1) from error
    except UnicodeError as error:
        raise Refused("file-no-text") from error


def _whole_lines(text: TextIO) -> Iterator[str]:
    number = 0
    while line := text.readline(LINE_MOST):
        number += 1
        if len(line) >= LINE_MOST:
            raise Refused("file-cell-too-long", line=number, most=CELL_MOST)
        yield line


def _encoding(file: BinaryIO) -> str:
    """UTF-8, UTF-16 or Windows-1252, by its mark or by what its bytes allow."""
    start = file.read(_LOOK)
    if start.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        found = "utf-16"
    elif start.startswith(codecs.BOM_UTF8):
        found = "utf-8-sig"
    elif start[1::2].count(0) > len(start) // 4:
        found = "utf-16-le"
    elif start[0::2].count(0) > len(start) // 4:
        found = "utf-16-be"
    else:
        found = "utf-8" if _is_utf8(file) else "cp1252"
    file.seek(0)
    return found


def _is_utf8(file: BinaryIO) -> bool:
    file.seek(0)
    decoder = codecs.getincrementaldecoder("utf-8")()
    try:
        while chunk := file.read(_CHUNK):
            decoder.decode(chunk)
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        return False
    return True


def _delimiter(start: str) -> str:
    """The sign that cuts the first lines into the same number of cells, the most of them."""
    lines = [line for line in start.splitlines()[:20] if line.strip()]
    if len(start) == _LOOK and len(lines) > 1:
        lines.pop()

    def cut(sign: str) -> tuple[int, int]:
        counts = [len(next(csv.reader([line], delimiter=sign), [])) for line in lines]
        return (min(counts, default=0), counts[0] if counts else 0)

    try:
        return max(DELIMITERS, key=cut)
    except csv.Error:
        return ","


# XLSX


@contextmanager
def _workbook(file: BinaryIO, limits: Limits) -> Iterator[Iterator[Line]]:
    _refuse_bomb(file, limits)
    from openpyxl import load_workbook
    from openpyxl.xml import DEFUSEDXML

    if not DEFUSEDXML:
        raise Refused("file-broken")
    try:
        book = load_workbook(file, read_only=True, data_only=False, keep_links=False)
    except Exception as error:
        raise Refused("file-broken") from error
    try:
        yield _rows(book)
    finally:
        book.close()


def _rows(book: Any) -> Iterator[Line]:
    sheet = book.worksheets[0] if book.worksheets else None
    if sheet is None:
        raise Refused("file-empty")
    try:
        sheet.reset_dimensions()  # what a file claims about its size is not believed
        for number, values in enumerate(sheet.iter_rows(max_col=COLUMNS_MOST, values_only=True), start=1):
            cells = [_words(value) for value in values]
            while cells and not cells[-1]:
                cells.pop()
            if cells:
                yield number, cells
    except Refused:
        raise
    except Exception as error:
        raise Refused("file-broken") from error


def _words(value: Any) -> str:
    """A cell as text: days as ISO, numbers without needless zeros, formulas as they are written."""
    if value is None:
        return ""
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return f"{value:.6f}".rstrip("0").rstrip(".") if abs(value) < 1e12 else str(value)
    return str(value)


def _refuse_bomb(file: BinaryIO, limits: Limits) -> None:
    """Refuse what unfolds beyond the limits. A member never gives more bytes than the archive says it has."""
    try:
        with zipfile.ZipFile(file) as archive:
            members = archive.infolist()
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError) as error:
        raise Refused("file-broken") from error
    words = sum(one.file_size for one in members if "sharedStrings" in one.filename)
    if len(members) > 2000 or sum(one.file_size for one in members) > limits.unfolded_most:
        raise Refused("file-unfolds")
    if words > min(SHARED_WORDS_MOST, limits.unfolded_most):
        raise Refused("file-unfolds")
    file.seek(0)
