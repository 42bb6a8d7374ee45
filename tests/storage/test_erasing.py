"""Erasing a lifter leaves nothing of them in the bytes of the database, its log, or a backup made later."""

import os
import subprocess
import sys
import tarfile

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


def test_nothing_of_the_erased_stays_in_the_files_in_a_later_backup_or_in_what_was_logged(told, tmp_path):
    assert found_in((told / "gym").iterdir()) == list(WORDS)
    said = run("erase", told)
    assert [word for word in WORDS if word in said] == []
    assert found_in(file for file in told.rglob("*") if file.is_file()) == []
    backup = tmp_path / "later.backup"
    assert typed("backup", backup, "--data", told).returncode == 0
    with tarfile.open(backup) as archive:
        archive.extractall(tmp_path / "unpacked", filter="data")
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
