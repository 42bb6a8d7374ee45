"""Killed without warning while sets are logged: what was acknowledged is there, once, and the database is whole.

The suite kills five times on SQLite and five on PostgreSQL. `KILLS=200 .venv/bin/python -m pytest -n 0 tests/storage/test_crash.py` kills two hundred.
"""

import os
import random
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from contextlib import closing

import psycopg

from floorward.storage import backups
from tests.server import until

KILLS = int(os.environ.get("KILLS", "5"))
LOGGERS = 3
STORED = "SELECT client_id FROM storage_doneset WHERE client_id IS NOT NULL AND undone_at IS NULL"


class Logger:
    """A process that logs sets by the action a page calls, and what it said is stored."""

    def __init__(self, environment: dict[str, str], round_: int, number: int) -> None:
        self.known: set[str] = set()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.storage.logger", str(round_), str(number)],
            env={**os.environ, **environment},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        self._reader = threading.Thread(target=self._read)
        self._reader.start()

    def _read(self) -> None:
        for line in self.process.stdout:
            self.known.add(line.strip())

    def logs(self) -> bool:
        """Whether it has stored some by now."""
        assert self.process.poll() is None, self.process.stderr.read()
        return len(self.known) >= 5

    def kill(self) -> None:
        """Without warning; it must have run until then."""
        self.process.kill()
        self.process.wait(10)
        self._reader.join()
        assert self.process.returncode == -signal.SIGKILL, self.process.stderr.read()
        self.process.stdout.close()
        self.process.stderr.close()


def killed(environment: dict[str, str], strike: Callable[[], object] = lambda: None) -> set[str]:
    """What loggers acknowledged of which one at a time was killed and begun anew; `strike` at something else meanwhile."""
    rng = random.Random(7)
    known: set[str] = set()
    loggers = [Logger(environment, 0, number) for number in range(LOGGERS)]
    for round_ in range(KILLS):
        number = rng.randrange(LOGGERS)
        until(loggers[number].logs, 90)
        time.sleep(rng.uniform(0, 0.2))
        if round_ % 3 == 1:
            strike()
        loggers[number].kill()
        known |= loggers[number].known
        loggers[number] = Logger(environment, round_ + 1, number)
    for logger in loggers:
        until(logger.logs, 90)
        logger.kill()
        known |= logger.known
    return known


def each_once(known: set[str], stored: list[str]) -> bool:
    """Whether all that was acknowledged is stored, and nothing twice."""
    assert len(stored) == len(set(stored))
    assert known - set(stored) == set()
    assert len(known) >= 5 * (KILLS + LOGGERS)
    print(f"{KILLS} kills: {len(known)} sets acknowledged, {len(stored)} stored")  # noqa: T201 - for the long run
    return True


def test_every_acknowledged_set_is_there_once_after_any_number_of_kills(data):
    known = killed({"DATA": str(data), "DATABASE_URL": ""})
    file = data / "gym" / "floorward.sqlite3"
    assert backups.whole(file)
    with closing(sqlite3.connect(file)) as connection:
        assert each_once(known, [name for (name,) in connection.execute(STORED)])


def test_so_it_is_on_postgresql_where_the_server_is_struck_as_well(server, full_url, tmp_path):
    known = killed({"DATA": str(tmp_path), "DATABASE_URL": full_url}, strike=lambda: struck(server))
    until(server.answers)
    with psycopg.connect(full_url, options="-c search_path=floorward") as connection:
        assert each_once(known, [name for (name,) in connection.execute(STORED).fetchall()])


def struck(server) -> None:
    """One of the server's own processes killed, whereupon it throws all out and recovers from its log."""
    try:
        with psycopg.connect(server.url("postgres")) as connection:
            found = connection.execute(
                "SELECT pid FROM pg_stat_activity WHERE application_name = 'floorward' LIMIT 1"
            ).fetchone()
    except psycopg.OperationalError:  # still recovering from the last
        return
    if found:
        os.kill(found[0], signal.SIGKILL)
