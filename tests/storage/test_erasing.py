"""Erasing a lifter leaves nothing of them in the bytes of the database, its log, or a backup made later, and nobody comes back by a restore."""

import os
import subprocess
import sys
import tarfile
from pathlib import Path

import psycopg
import pytest

from tests.storage.conftest import typed
from tests.storage.erasing import ANSWERS, NAME

WORDS = (NAME, *ANSWERS.values())


def run(what, data, **environment):
    command = [sys.executable, "-m", "tests.storage.erasing", what]
    done = subprocess.run(
        command,
        env={**os.environ, "DATA": str(data), "DATABASE_URL": "", **environment},
        check=True,
        timeout=120,
        capture_output=True,
        text=True,
    )
    return done.stdout + done.stderr


def found_in(files):
    held = b"\0".join(file.read_bytes() for file in files)
    return [word for word in WORDS if word.encode() in held]


@pytest.fixture
def told(full_folder, tmp_path):
    """A copy of the small gym in which one lifter more has told everything."""
    import shutil

    data = shutil.copytree(full_folder, tmp_path / "data")
    run("tell", data)
    return data


def unpack(backup, into):
    """The members of a backup as files, by their names alone."""
    into.mkdir()
    with tarfile.open(backup) as archive:
        for member in archive.getmembers():
            (into / Path(member.name).name).write_bytes(archive.extractfile(member).read())


def test_nothing_of_the_erased_stays_in_the_files_in_a_later_backup_or_in_what_was_logged(told, tmp_path):
    assert found_in((told / "gym").iterdir()) == list(WORDS)
    said = run("erase", told)
    assert [word for word in WORDS if word in said] == []
    assert found_in(file for file in told.rglob("*") if file.is_file()) == []
    backup = tmp_path / "later.backup"
    assert typed("backup", backup, "--data", told).returncode == 0
    unpack(backup, tmp_path / "unpacked")
    assert found_in((tmp_path / "unpacked").iterdir()) == []
    asked = (
        "from floorward.storage.models import *; from django.contrib.sessions.models import Session as S;"
        "rows = list(AuditEntry.objects.values_list('lifter_number', 'kind', 'changed'));"
        "print(sorted(rows), Trace.objects.count(), [r.key[0] for r in Receipt.objects.all()],"
        "[sorted(r.get_decoded()) for r in S.objects.all()], Lifter.objects.count())"
    )
    run_it = "import django; django.setup(); exec(__import__('sys').argv[1])"
    left = subprocess.run(
        [sys.executable, "-c", run_it, asked],
        env={
            **os.environ,
            "DATA": str(told),
            "DATABASE_URL": "",
            "DJANGO_SETTINGS_MODULE": "floorward.config",
        },
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    ).stdout.strip()
    assert left == "[(0, 'erased', True), (0, 'overview', False)] 0 ['c'] [['kept']] 3"


def test_nothing_of_the_erased_stays_in_the_files_of_a_server(server, full_url, tmp_path):
    run("tell", tmp_path, DATABASE_URL=full_url)
    name = psycopg.conninfo.conninfo_to_dict(full_url)["dbname"]
    with psycopg.connect(server.url("postgres"), autocommit=True) as connection:
        (number,) = connection.execute("SELECT oid FROM pg_database WHERE datname = %s", [name]).fetchone()
        connection.execute("CHECKPOINT")
        files = server.folder / "data" / "base" / str(number)
        assert found_in(file for file in files.iterdir() if file.is_file()) == list(WORDS)
        said = run("erase", tmp_path, DATABASE_URL=full_url)
        assert [word for word in WORDS if word in said] == []
        connection.execute("CHECKPOINT")  # only then are files gone that nothing refers to
        assert found_in(file for file in files.iterdir() if file.is_file()) == []
    backup = tmp_path / "later.backup"
    assert typed("backup", backup, "--data", tmp_path, DATABASE_URL=full_url).returncode == 0
    unpack(backup, tmp_path / "unpacked")
    assert found_in((tmp_path / "unpacked").iterdir()) == []


def test_an_older_backup_does_not_bring_the_erased_back(told, tmp_path):
    before = tmp_path / "before.backup"
    assert typed("backup", before, "--data", told).returncode == 0
    run("erase", told)
    done = typed("restore", before, "--data", told)
    assert done.returncode == 0, done.stderr
    assert "Erased again: 1 who had been erased" in done.stdout
    assert found_in(file for file in (told / "gym").iterdir() if file.is_file()) == []
    # the mark went into what was restored, and so into the next backup and to another machine
    after = tmp_path / "after.backup"
    typed("backup", after, "--data", told)
    typed("restore", after, "--data", tmp_path / "other")
    assert "Erased again: 1" in typed("restore", before, "--data", tmp_path / "other").stdout
    # an empty machine knows of nobody
    assert "Erased again" not in typed("restore", before, "--data", tmp_path / "third").stdout


def test_nor_does_it_on_a_server(server, full_url, tmp_path):
    at = {"DATABASE_URL": full_url}
    run("tell", tmp_path, **at)
    before = tmp_path / "before.backup"
    assert typed("backup", before, "--data", tmp_path, **at).returncode == 0
    run("erase", tmp_path, **at)
    done = typed("restore", before, "--data", tmp_path, **at)
    assert done.returncode == 0, done.stderr
    assert "Erased again: 1 who had been erased" in done.stdout
    with psycopg.connect(full_url, options="-c search_path=floorward") as connection:
        names = [name for (name,) in connection.execute("SELECT name FROM storage_lifter").fetchall()]
    assert NAME not in names
    assert len(names) == 3


def test_who_was_erased_is_said_to_be_unknown_where_the_database_was_too_damaged(told, tmp_path):
    before = tmp_path / "before.backup"
    typed("backup", before, "--data", told)
    file = told / "gym" / "floorward.sqlite3"
    file.write_bytes(b"no database at all" * 999)
    done = typed("restore", before, "--data", told)
    assert done.returncode == 0, done.stderr
    assert "too damaged to tell who had been erased" in done.stdout
