"""What SQLite really says when it cannot, and what the page makes of it."""

import sqlite3
from contextlib import closing

import psycopg
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


def test_a_server_that_does_not_let_in_is_told_from_one_that_is_away(server):
    def said(url: str) -> BaseException:
        with pytest.raises(psycopg.OperationalError) as caught:
            psycopg.connect(url)
        return caught.value

    assert code_of(said(server.url("nowhere"))) == "storage-shut"
    assert code_of(said(server.url().replace("floorward@", "nobody@"))) == "storage-shut"
    assert code_of(said(server.url().replace(str(server.folder), "/nowhere"))) == "storage-away"
    assert code_of(said("postgresql://127.0.0.1:9/floorward")) == "storage-away"


@pytest.mark.parametrize(
    ("statement", "code"),
    [
        ("SET transaction_read_only = on; CREATE TABLE x ()", "storage-read-only"),
        ("SELECT pg_terminate_backend(pg_backend_pid())", "storage-away"),
        ("CREATE TABLE pg_catalog.x ()", "storage-shut"),
    ],
)
def test_what_a_server_says_while_it_works_is_known(server, statement, code):
    with psycopg.connect(server.new_database()) as connection, pytest.raises(psycopg.Error) as caught:
        connection.execute(statement)
    assert code_of(caught.value) == code


def test_waiting_too_long_for_a_colleague_on_a_server_is_known(server):
    url = server.new_database()
    with psycopg.connect(url) as one, psycopg.connect(url, options="-c lock_timeout=50ms") as other:
        one.execute("SELECT pg_advisory_xact_lock(1, 1)")
        with pytest.raises(psycopg.Error) as caught:
            other.execute("SELECT pg_advisory_xact_lock(1, 1)")
    assert code_of(caught.value) == "storage-locked"
