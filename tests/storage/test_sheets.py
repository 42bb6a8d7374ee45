"""Files that somebody made: what is read, and what is refused with a sentence."""

import csv
import io
import zipfile
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from floorward.errors import Refused
from floorward.reports.wording import sentence_for
from floorward.storage.sheets import WEB, Limits, lines_of

ROWS = [["Date", "Who", "Load"], ["2026-11-03", "Zoë Kjær", "102.5"], ["2026-11-04", "Ines, the quiet", "95"]]


def read(content, limits=WEB):
    with lines_of(io.BytesIO(content), limits) as lines:
        return list(lines)


def refused(content, limits=WEB):
    with pytest.raises(Refused) as found:
        read(content, limits)
    assert sentence_for(found.value.code, found.value.numbers)
    return found.value.code


def text_of(rows, delimiter=","):
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter).writerows(rows)
    return out.getvalue()


def workbook(rows):
    book = Workbook(write_only=True)
    sheet = book.create_sheet()
    for row in rows:
        sheet.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def changed(content, name, change):
    """A workbook with one of its parts changed."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.infolist():
            body = old.read(part)
            new.writestr(part.filename, change(body) if part.filename == name else body)
    return out.getvalue()


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-le", "utf-16-be"])
def test_a_table_is_read_whatever_its_encoding_and_delimiter(encoding, delimiter):
    assert [cells for _, cells in read(text_of(ROWS, delimiter).encode(encoding))] == ROWS


def test_a_workbook_is_read_as_text_formulas_too():
    rows = [["Date", "Load", "Note"], [date(2026, 11, 3), 102.5, "=1+1"], [None, 95, True]]
    assert read(workbook(rows)) == [
        (1, ["Date", "Load", "Note"]),
        (2, ["2026-11-03", "102.5", "=1+1"]),
        (3, ["", "95", "True"]),
    ]


def test_lines_carry_their_numbers_in_the_file():
    assert [number for number, _ in read(b'a,b\n\n"x\ny",2\n3,4\n')] == [1, 4, 5]


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "file-empty"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 512, "file-old-excel"),
        (b"PK\x03\x04 and then nothing", "file-broken"),
        (b"a,b\n\0\0\0\0\0,1\n", "file-no-text"),
        (b"a,b\n\x81\x8d\x8f,1\n", "file-no-text"),
        (b"a,b\n" + b"x" * 10_000_000 + b",1\n", "file-too-large"),
        (b"a,b\n" + b"x" * 4_000_000 + b",1\n", "file-cell-too-long"),
        (b'a,b\n"' + b"x\n" * 300_000, "file-broken-line"),
        (b"a,b\n" + b"x" * 20_000 + b",1\n", "file-cell-too-long"),
        (b"a,b\n" + b"1,2\n" * 50_001, "file-too-long"),
    ],
    ids=range(10),
)
def test_what_is_no_table_is_refused(content, code):
    assert refused(content) == code


def test_a_workbook_that_unfolds_too_far_is_refused_before_it_is_unfolded():
    bomb = changed(workbook(ROWS), "xl/worksheets/sheet1.xml", lambda _: b"0" * 61_000_000)
    assert len(bomb) < 200_000
    assert refused(bomb) == "file-unfolds"


def test_a_workbook_that_names_outside_things_is_refused():
    def with_entity(body):
        return body.replace(
            b"<worksheet", b'<!DOCTYPE x [<!ENTITY e SYSTEM "file:/etc/passwd">]><worksheet', 1
        )

    def with_laughs(body):
        entities = b'<!ENTITY a "ha">' + b"".join(
            f'<!ENTITY b{n} "&{"a" if not n else f"b{n - 1}"};&{"a" if not n else f"b{n - 1}"};">'.encode()
            for n in range(40)
        )
        return body.replace(b"<worksheet", b"<!DOCTYPE x [" + entities + b"]><worksheet", 1).replace(
            b"Who", b"&b39;"
        )

    for change in (with_entity, with_laughs):
        assert refused(changed(workbook(ROWS), "xl/worksheets/sheet1.xml", change)) == "file-broken"


def test_a_workbook_that_lies_about_its_size_is_read_for_what_it_holds():
    lying = changed(
        workbook(ROWS),
        "xl/worksheets/sheet1.xml",
        lambda body: body.replace(b"<sheetData>", b'<dimension ref="A1:XFD1048576"/><sheetData>'),
    )
    assert [cells for _, cells in read(lying)] == ROWS


def test_macros_are_not_looked_at():
    with_macro = io.BytesIO(workbook(ROWS))
    with zipfile.ZipFile(with_macro, "a") as archive:
        archive.writestr("xl/vbaProject.bin", b"\xd0\xcf\x11\xe0 Auto_Open")
    assert [cells for _, cells in read(with_macro.getvalue())] == ROWS


@settings(max_examples=40)
@given(content=st.binary(max_size=400))
def test_any_bytes_are_a_table_or_refused(content):
    limits, said = Limits(bytes_most=1000, unfolded_most=1000, lines_most=10), "a table"
    try:
        read(content, limits)
    except Refused as refusal:
        said = sentence_for(refusal.code, refusal.numbers)
    assert said
