"""Killed without warning while sets are logged: what was acknowledged is there, once, and the database is whole.

The suite kills five times. `KILLS=200 .venv/bin/python -m pytest -n 0 tests/storage/test_crash.py` kills two hundred.
"""

import os
import random
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from contextlib import closing, suppress

from floorward.storage import backups

KILLS = int(os.environ.get("KILLS", "5"))
LOGGERS = 3


def acknowledged(process: subprocess.Popen[str], known: set[str], enough: threading.Event) -> None:
    """Read what the process says it has stored, until it is no more."""
    for line in process.stdout:
        known.add(line.strip())
        if len(known) % 10 == 0:
            enough.set()


def loggers(data, start: int) -> list[subprocess.Popen[str]]:
    """Processes that log sets by the action a page calls, and say each client id once it is stored."""
    return [
        subprocess.Popen(
            [sys.executable, "-m", "tests.storage.logger", str(start), str(number)],
            env={**os.environ, "DATA": str(data), "DATABASE_URL": ""},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for number in range(LOGGERS)
    ]


def test_every_acknowledged_set_is_there_once_after_any_number_of_kills(data):
    known: set[str] = set()
    rng = random.Random(7)
    for round_ in range(KILLS):
        enough = threading.Event()
        running = loggers(data, round_)
        readers = [threading.Thread(target=acknowledged, args=(one, known, enough)) for one in running]
        for reader in readers:
            reader.start()
        assert enough.wait(90), [one.poll() for one in running]
        time.sleep(rng.uniform(0, 0.2))
        for one in running:
            with suppress(ProcessLookupError):
                os.kill(one.pid, signal.SIGKILL)
        for one, reader in zip(running, readers, strict=True):
            one.wait(10)
            reader.join()
            assert one.returncode == -signal.SIGKILL, one.stderr.read()
            one.stdout.close()
            one.stderr.close()
    file = data / "gym" / "floorward.sqlite3"
    assert backups.whole(file)
    with closing(sqlite3.connect(file)) as connection:
        stored = [
            name
            for (name,) in connection.execute(
                "SELECT client_id FROM storage_doneset WHERE client_id IS NOT NULL AND undone_at IS NULL"
            )
        ]
    assert len(stored) == len(set(stored))
    assert known - set(stored) == set()
    assert len(known) >= 10 * KILLS
