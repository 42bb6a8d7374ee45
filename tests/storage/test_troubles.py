"""What SQLite really says when it cannot, and what the page makes of it."""

import sqlite3
from contextlib import closing

import pytest
from django.db.utils import OperationalError

from floorward.storage.troubles import code_of
from floorward.web.middleware import refusals


def complaint(file, *statements: str, uri: str = "") -> Exception:
    with closing(sqlite3.connect(uri or file, uri=bool(uri), timeout=0, isolation_level=None)) as connection:
        try:
            for statement in statements:
                connection.execute(statement)
        except sqlite3.Error as error:
            return error
    pytest.fail("nothing went wrong")


@pytest.fixture
def file(tmp_path):
    with closing(sqlite3.connect(tmp_path / "db")) as connection, connection:
        connection.execute("CREATE TABLE sets (words)")
    return tmp_path / "db"


INSERT = "INSERT INTO sets VALUES (zeroblob(100000))"


def test_a_full_database_is_known(file):
    assert code_of(complaint(file, "PRAGMA max_page_count=3", INSERT)) == "storage-full"


def test_a_database_that_may_only_be_read_is_known(file):
    assert code_of(complaint(file, INSERT, uri=f"file:{file}?mode=ro")) == "storage-read-only"


def test_a_locked_database_is_known_and_answered_with_a_page(file, rf):
    with closing(sqlite3.connect(file, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        error = complaint(file, INSERT)
        other.execute("ROLLBACK")
    assert code_of(error) == "storage-locked"
    wrapped = OperationalError(*error.args)  # as Django hands it on
    answer = refusals(lambda _: None).process_exception(rf.post("/"), wrapped)
    assert answer.status_code == 503
    assert "Nothing was stored: another program has the database locked." in answer.content.decode()


def test_a_file_that_is_no_database_is_known(file):
    file.write_text("chalk, tape, milk\n" * 300)
    assert code_of(complaint(file, "SELECT * FROM sets")) == "storage-damaged"


def test_a_slip_in_our_own_query_is_not_taken_for_the_disk(file):
    assert code_of(complaint(file, "SELECT * FROM nowhere")) is None
    assert code_of(ValueError("database is locked")) is None
