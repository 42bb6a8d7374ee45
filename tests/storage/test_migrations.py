"""Rows of every layout there has been come through to today's, on both databases."""

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from django.db import connections
from django.db.migrations.executor import MigrationExecutor

from floorward.storage import engines, migrating, moving, place, portable
from floorward.storage.apps import make_schema
from tests.storage.conftest import typed

OLD = "old"
LAYOUTS = sorted(file.stem for file in Path(migrating.__file__).parent.joinpath("migrations").glob("0*.py"))
NOW = "2026-11-20T18:00:00+00:00"


@pytest.fixture(params=["sqlite", "postgresql"])
def old(request, tmp_path, django_db_blocker):
    """An empty place of either kind."""
    if request.param == "sqlite":
        where = engines.sqlite(tmp_path / "old.sqlite3")
    else:
        where = engines.postgresql(request.getfixturevalue("server").new_database())
    with django_db_blocker.unblock(), moving.also_open(OLD, where), place.inside(OLD):
        make_schema(OLD)
        yield connections[OLD]


def insert(connection, table: str, **values: object) -> None:
    """A row with these values, and in every other column that must have one its plainest."""
    with connection.cursor() as cursor:
        about = {
            column.name: column for column in connection.introspection.get_table_description(cursor, table)
        }
        for name, column in about.items():
            if name not in values and not column.null_ok:
                values[name] = plainest(connection, column)
        names = ", ".join(f'"{name}"' for name in values)
        marks = ", ".join(["%s"] * len(values))
        cursor.execute(f"INSERT INTO {table} ({names}) VALUES ({marks})", list(values.values()))  # noqa: S608


def plainest(connection, column) -> object:
    kind = connection.introspection.get_field_type(column.type_code, column)
    return {"BooleanField": False, "JSONField": "[]", "CharField": "", "TextField": "[]"}.get(
        kind, NOW if "Date" in kind else 1
    )


def fill(connection, number: int) -> None:
    """A gym with a coach, a lifter, an episode, a session, and a set: the tables there were from the first."""
    insert(connection, "storage_gym", id=number, name="Old Mill Iron", opened_at=NOW)
    about = {"role": "coach", "name": "Bram Okello", "sign_in_name": f"bram{number}", "is_active": True}
    insert(connection, "storage_staff", id=number, gym_id=number, **about)
    insert(connection, "storage_lifter", id=number, gym_id=number, name="Abel Norwood", stature_m=1.76)
    insert(connection, "storage_episode", id=number, lifter_id=number, since="2026-11-10", load="200")
    insert(connection, "storage_session", id=number, lifter_id=number, episode_id=number, day="2026-11-12")
    insert(connection, "storage_doneset", id=number, session_id=number, load="102.5", lift="deadlift", pain=2)
    insert(connection, "storage_trace", id=number, gym_id=number, before=json.dumps({"load": "100"}))


def test_rows_written_under_every_layout_come_through_to_todays(old):
    for number, layout in enumerate(LAYOUTS, start=1):
        MigrationExecutor(old).migrate([("storage", layout)])
        fill(old, number)
    migrating.bring_up_to_date(OLD)
    rows = portable.everything(OLD)
    assert [row["load"] for row in rows["DoneSet"]] == ["102.5000"] * len(LAYOUTS)
    assert [row["stature_m"] for row in rows["Lifter"]] == [1.76] * len(LAYOUTS)
    assert [row["before"] for row in rows["Trace"]] == [{"load": "100"}] * len(LAYOUTS)
    # until the fourth, every coach saw every lifter
    assert [(row["lifter_id"], row["staff_id"]) for row in rows["Assignment"]] == [(1, 1), (2, 2), (3, 3)]
    old.check_constraints()


@pytest.mark.parametrize("old", ["sqlite"], indirect=True)
def test_a_file_of_an_older_layout_is_moved_and_is_not_changed_by_it(old, tmp_path, server):
    MigrationExecutor(old).migrate([("storage", LAYOUTS[1])])
    fill(old, 1)
    old.close()
    (tmp_path / "data" / "gym").mkdir(parents=True)
    file = (tmp_path / "old.sqlite3").rename(tmp_path / "data" / "gym" / "floorward.sqlite3")
    done = typed("move", "--data", tmp_path / "data", DATABASE_URL=server.new_database())
    assert done.returncode == 0, done.stderr
    with closing(sqlite3.connect(file)) as connection:
        seen = connection.execute("SELECT count(*) FROM django_migrations WHERE app = 'storage'").fetchone()
    assert seen == (2,)
