"""A PostgreSQL server of the tests' own: Debian's programs, a folder that is thrown away, a socket in it and no port.

`python -m tests.server COMMAND…` runs a command with its address in DATABASE_URL.
"""

import os
import pwd
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from uuid import uuid4

import psycopg

NAME = "floorward"
OWN = "postgres"  # Debian's user; the server refuses to run as root


def programs() -> Path:
    """The folder with the newest server's programs."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda file: int(file.parts[4]))
    assert found, "no PostgreSQL server: apt-get install postgresql"
    return found[-1].parent


class Server:
    """A server that can be stopped, killed and started again."""

    def __init__(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="fw-pg-"))
        if os.geteuid() == 0:
            shutil.chown(self.folder, OWN)
        self._run(
            "initdb", "-D", "data", "-U", NAME, "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "--no-sync"
        )
        self.start()
        self.new_database(NAME)

    def _as_its_user(self) -> dict[str, object]:
        if os.geteuid() != 0:
            return {}
        return {"user": OWN, "group": pwd.getpwnam(OWN).pw_gid, "extra_groups": []}

    def _run(self, program: str, *words: str) -> None:
        subprocess.run(
            [programs() / program, *words],
            cwd=self.folder,
            check=True,
            stdout=subprocess.DEVNULL,
            **self._as_its_user(),
        )

    def start(self) -> None:
        """Start, and wait until it answers. Nothing waits for the disk: the machine is not switched off in a test."""
        with (self.folder / "log").open("ab") as log:
            settings = ("listen_addresses=", f"unix_socket_directories={self.folder}", "fsync=off")
            options = [word for setting in settings for word in ("-c", setting)]
            self.process = subprocess.Popen(
                [programs() / "postgres", "-D", "data", *options],
                cwd=self.folder,
                stdout=log,
                stderr=log,
                start_new_session=True,
                **self._as_its_user(),
            )
        until(self.answers)

    def answers(self) -> bool:
        """Whether it takes connections."""
        try:
            psycopg.connect(self.url("postgres")).close()
        except psycopg.OperationalError:
            assert self.process.poll() is None, (self.folder / "log").read_text()
            return False
        return True

    def stop(self, how: signal.Signals = signal.SIGQUIT) -> None:
        """Stop: SIGINT closes every connection and ends in order, SIGQUIT as if the power had gone."""
        self.process.send_signal(how)
        self.process.wait(30)

    def end(self) -> None:
        """Stop it and leave nothing behind."""
        self.stop()
        shutil.rmtree(self.folder, ignore_errors=True)

    def url(self, name: str = NAME) -> str:
        """The address of a database."""
        return f"postgresql://{NAME}@/{name}?host={self.folder}"

    def new_database(self, name: str = "", like: str = "template1") -> str:
        """The address of a new database: with nothing in it, or as another is by now."""
        name = name or f"d{uuid4().hex[:12]}"
        with psycopg.connect(self.url("postgres"), autocommit=True) as connection:
            connection.execute(f'CREATE DATABASE "{name}" TEMPLATE "{like}"')
        return self.url(name)

    def cut(self) -> int:
        """Close every connection there is, as a network does that fails; how many there were."""
        with psycopg.connect(self.url("postgres"), autocommit=True) as connection:
            found = connection.execute(
                "SELECT count(pg_terminate_backend(pid)) FROM pg_stat_activity "
                "WHERE pid <> pg_backend_pid() AND backend_type = 'client backend'"
            ).fetchone()
        return found[0] if found else 0


def until(true: Callable[[], bool], seconds: float = 30) -> None:
    """Wait until something is so."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, f"not so within {seconds} s"
        time.sleep(0.05)


@contextmanager
def running() -> Iterator[Server]:
    """A server until the block ends."""
    server = Server()
    try:
        yield server
    finally:
        server.end()


if __name__ == "__main__":
    with running() as own:
        raise SystemExit(
            subprocess.run(
                sys.argv[1:], env={**os.environ, "DATABASE_URL": own.url()}, check=False
            ).returncode
        )
