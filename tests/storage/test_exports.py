"""Exports: everything out, everything back, and nothing in a spreadsheet that runs by itself."""

import csv
import json
import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from floorward.actions import lifters
from floorward.errors import StorageError
from floorward.reports import csv_table
from floorward.storage import belonging, exports, place, portable
from floorward.storage.models import (
    BestSet,
    DoneSet,
    Episode,
    Gym,
    Import,
    Lifter,
    MorningCheck,
    PastSet,
    Session,
    Trace,
)
from tests.conftest import at
from tests.people import a_gym, iron
from tests.storage.conftest import one_line, typed


def test_an_import_makes_the_database_that_was_exported(data, tmp_path):
    assert typed("export", tmp_path / "out", "--data", data).returncode == 0
    done = typed("import", tmp_path / "out", "--data", tmp_path / "new")
    assert done.returncode == 0, done.stderr
    typed("export", tmp_path / "again", "--data", tmp_path / "new")
    first, again = (
        json.loads((tmp_path / name / "everything.json").read_text()) for name in ("out", "again")
    )
    assert first["rows"] == again["rows"]
    assert len(first["rows"]["DoneSet"]) == 27
    # neither is anything poured over a gym that is there already, nor is an export that was touched taken
    assert one_line(typed("import", tmp_path / "out", "--data", data), "there is data already")
    whole = tmp_path / "out" / "everything.json"
    whole.write_text(whole.read_text().replace("Abel Norwood", "Abel Northwood"))
    assert one_line(typed("import", whole, "--data", tmp_path / "third"), "changed or damaged")


def test_who_took_the_consent_back_is_exported_without_health_and_the_rest_comes_in_again(data, tmp_path):
    with closing(sqlite3.connect(data / "gym" / "floorward.sqlite3")) as connection, connection:
        connection.execute(
            "UPDATE storage_consent SET withdrawn_at = '2026-11-20 09:00:00' WHERE lifter_id = 1"
        )
        connection.execute("UPDATE storage_doneset SET spreading = 1, sore = 1")
        connection.execute("UPDATE storage_episode SET eases = 'cold kitchen tiles' WHERE lifter_id = 1")
    done = typed("export", tmp_path / "out", "--data", data)
    assert "left out: health answers of 1 without a consent in force" in done.stdout
    rows = exports.read(tmp_path / "out")
    assert {row["lifter_id"] for row in rows["Episode"]} == {2, 3}
    theirs = {row["id"] for row in rows["Session"] if row["lifter_id"] == 1}
    told = [row for row in rows["DoneSet"] if row["session_id"] in theirs]
    assert len(told) == 9
    assert {(row["pain"], row["spreading"], row["sore"]) for row in told} == {(None, False, False)}
    assert not [file for file in (tmp_path / "out").iterdir() if b"kitchen tiles" in file.read_bytes()]
    again = typed("import", tmp_path / "out", "--data", tmp_path / "new")
    assert again.returncode == 0, again.stderr
    # a backup is no export: it brings everything back
    typed("backup", tmp_path / "one", "--data", data)
    typed("restore", tmp_path / "one", "--data", tmp_path / "third")
    assert b"kitchen tiles" in (tmp_path / "third" / "gym" / "floorward.sqlite3").read_bytes()


def test_nothing_that_stays_in_an_export_leads_to_what_is_left_out():
    left = {
        (name, column.attname)
        for name, model in portable.tables().items()
        if name not in belonging.HEALTH_TABLES
        for column in model._meta.concrete_fields
        if isinstance(column.related_model, type) and column.related_model.__name__ in belonging.HEALTH_TABLES
    }
    told = {(name, column) for name, columns in belonging.HEALTH_COLUMNS.items() for column in columns}
    assert left - told == set()


def test_a_restored_backup_exports_what_the_original_exports(data, tmp_path):
    typed("backup", tmp_path / "one", "--data", data)
    typed("restore", tmp_path / "one", "--data", tmp_path / "new")
    for folder, out in ((data, "a"), (tmp_path / "new", "b")):
        typed("export", tmp_path / out, "--data", folder)
    names = sorted(file.name for file in (tmp_path / "a").iterdir())
    assert names == sorted(file.name for file in (tmp_path / "b").iterdir())
    for name in names:
        if name != "everything.json":
            assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes()


def test_every_column_of_every_table_is_in_the_dictionary_and_no_table_shows_a_password(data, tmp_path):
    typed("export", tmp_path / "out", "--data", data)
    with (tmp_path / "out" / "dictionary.csv").open(newline="") as file:
        meanings = list(csv.DictReader(file))
    for name in portable.tables():
        with (tmp_path / "out" / f"{name}.csv").open(newline="") as file:
            head = next(csv.reader(file))
        assert head == [row["column"] for row in meanings if row["table"] == name and row["in_csv"] == "yes"]
    assert "argon2" not in (tmp_path / "out" / "Staff.csv").read_text()
    assert (tmp_path / "out" / "everything.json").stat().st_mode & 0o077 == 0
    shutil.rmtree(tmp_path / "out")


def test_every_column_has_a_sentence_and_every_sentence_a_column():
    rows = exports.dictionary()
    assert [(row["table"], row["column"]) for row in rows if not row["meaning"].endswith(".")] == []
    assert [row["table"] for row in rows if not row["about"].endswith(".")] == []
    columns = {(row["table"], row["column"]) for row in rows}
    anywhere = {column for _, column in columns}
    told = {
        (table, column) for table, said in exports.meanings().items() for column in said if table != "any"
    }
    assert told - columns == set()
    assert set(exports.meanings()["any"]) - anywhere == set()


@given(st.text(), st.sampled_from([",", ";", "\t", "|"]))
def test_no_cell_begins_like_a_formula_wherever_a_spreadsheet_splits(text, mark):
    for piece in csv_table.cell(text).split(mark)[1:]:
        assert mark == "," or not piece.strip().startswith(tuple(csv_table.SIGNS))
    cell = csv_table.cell(text)
    assert cell.lstrip("-").replace(".", "", 1).isdigit() or not cell.startswith(csv_table.STARTS_A_FORMULA)


@pytest.mark.parametrize(
    ("value", "cell"),
    [
        ("=1+1", "'=1+1"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("\uff1d1+1", "'\uff1d1+1"),
        ("slow;=1+1", "slow;'=1+1"),
        ("slow\n -2", "slow\n '-2"),
        ("5-3; 2+2", "5-3; 2+2"),
        ("-2.5", "-2.5"),
        (-3, "-3"),
        (None, ""),
        (True, "yes"),
    ],
)
def test_numbers_stay_numbers_and_formulas_become_words(value, cell):
    assert csv_table.cell(value) == cell


NAMES = st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=40)
LOADS = st.decimals(0, 500, places=4, allow_nan=False)
SCORES = st.none() | st.integers(0, 10)
MINUTES = st.integers(0, 400_000)


@st.composite
def sets(draw):
    return {
        "kind": draw(st.sampled_from(["warm-up", "work", "test"])),
        "load": draw(LOADS),
        "unit": draw(st.sampled_from(["kg", "lb"])),
        "reps": draw(st.integers(0, 30)),
        "rpe": draw(st.none() | st.decimals(1, 10, places=1)),
        "pain": draw(SCORES),
        "acceptable": draw(st.none() | st.booleans()),
        "at": at("2026-01-01 00:00")
        + timedelta(minutes=draw(MINUTES), microseconds=draw(st.integers(0, 999_999))),
        "client_id": draw(st.none() | st.uuids().map(str)),
    }


GYMS = st.lists(
    st.tuples(NAMES, st.floats(1.2, 2.2), st.lists(sets(), max_size=4), st.lists(SCORES, max_size=3)),
    min_size=1,
    max_size=3,
)


def play(people) -> None:
    """A gym by the actions, its log by the rows."""
    begun = datetime(2026, 1, 1, tzinfo=UTC)
    gym = a_gym("Rope Walk", begun)
    iron(gym)
    for name, stature_m, done, scores in people:
        lifter = lifters.add_lifter(
            gym,
            coach=None,
            now=begun,
            name=name,
            born_year=1980,
            sex="female",
            stature_m=stature_m,
            mass_kg=70.3,
        )
        episode = Episode.objects.create(
            lifter=lifter,
            region="low-back",
            since=begun.date(),
            started_at=begun,
            lift="deadlift",
            load=100,
            usual_load=120,
        )
        Episode.objects.create(
            lifter=lifter,
            previous=episode,
            region="knee",
            since=begun.date(),
            started_at=begun,
            load=1,
            usual_load=1,
        )
        session = Session.objects.create(lifter=lifter, episode=episode, day=begun.date(), started_at=begun)
        for one in done:
            DoneSet.objects.create(session=session, lift="deadlift", bar=gym.bars.first(), **one)
        for count, score in enumerate(scores):
            MorningCheck.objects.create(
                episode=episode, day=date(2026, 2, 1 + count), score=score, sentence=name, at=begun
            )
        source = Import.objects.create(
            gym=gym, kind="sets", name=name, state="taken", count=len(done), at=begun
        )
        for one in done:
            alike = {key: one[key] for key in ("load", "unit", "reps", "rpe")}
            PastSet.objects.create(
                source=source, lifter=lifter, day=begun.date(), lift="deadlift", sets=3, **alike
            )
        BestSet.objects.create(
            lifter=lifter, lift="deadlift", load=Decimal("0.0001"), reps=1, day=begun.date(), source=source
        )
        Trace.objects.create(
            gym=gym, at=begun, what="set-changed", subject="set", subject_id=1, before={name: [name]}
        )


def clear() -> None:
    Lifter.objects.all().delete()
    Gym.objects.all().delete()


@pytest.mark.django_db
@settings(max_examples=12, suppress_health_check=list(HealthCheck))
@given(people=GYMS)
def test_any_gym_comes_back_equal_from_its_export(tmp_path_factory, people):
    play(people)
    rows = portable.everything(place.GYM)
    folder = tmp_path_factory.mktemp("out")
    exports.write_whole(folder, rows, datetime(2026, 1, 2, tzinfo=UTC))
    clear()
    portable.store(place.GYM, exports.read(folder))
    assert portable.everything(place.GYM) == rows
    later = Lifter.objects.create(
        gym=Gym.objects.get(),
        name="Next",
        born_year=1990,
        stature_m=1.7,
        mass_kg=60,
        added_at=at("2026-03-01 10:00"),
    )
    assert later.pk > max(row["id"] for row in rows["Lifter"])
    clear()


@pytest.mark.django_db
def test_rows_that_do_not_fit_together_are_all_refused(gym, lifter):
    rows = portable.everything(place.GYM)
    clear()
    broken = {**rows, "Lifter": [{**row, "gym_id": row["gym_id"] + 1} for row in rows["Lifter"]]}
    with pytest.raises(StorageError, match="do not fit together"):
        portable.store(place.GYM, broken)
    assert not Lifter.objects.exists()
    with pytest.raises(StorageError, match="a value cannot be"):
        portable.store(
            place.GYM, {**rows, "Gym": [{**row, "opened_at": "one evening"} for row in rows["Gym"]]}
        )
    with pytest.raises(StorageError, match="columns do not agree"):
        portable.store(place.GYM, {**rows, "Gym": [{**row, "colour": "red"} for row in rows["Gym"]]})
