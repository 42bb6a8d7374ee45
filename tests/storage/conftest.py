"""Data folders as a person has them, and the commands as a person types them."""

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.server import Server, running

Command = Callable[..., subprocess.CompletedProcess[str]]
SECRET = "iron under a cold moon"


def typed(
    *words: object, before: tuple[str, ...] = (), **environment: str
) -> subprocess.CompletedProcess[str]:
    """`floorward WORDS` in a process of its own; `before` goes in front of it."""
    left_out = {"DATA", "CLOCK_FILE", "BACKUP_PASSPHRASE", "DATABASE_URL"}
    return subprocess.run(
        [*before, sys.executable, "-m", "floorward.cli", *map(str, words)],
        env={**{name: value for name, value in os.environ.items() if name not in left_out}, **environment},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )


@pytest.fixture(scope="session")
def full_folder(tmp_path_factory) -> Path:
    """A data folder with a small gym."""
    folder = tmp_path_factory.mktemp("full")
    made = [sys.executable, "-m", "tests.storage.small_gym"]
    subprocess.run(made, env={**os.environ, "DATA": str(folder), "DATABASE_URL": ""}, check=True, timeout=120)
    return folder


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """A PostgreSQL server of our own."""
    with running() as own:
        yield own


@pytest.fixture(scope="session")
def pattern(server, tmp_path_factory) -> str:
    """The name of a database on it with the same small gym."""
    url = server.new_database("pattern")
    made = [sys.executable, "-m", "tests.storage.small_gym"]
    environment = {"DATA": str(tmp_path_factory.mktemp("pattern")), "DATABASE_URL": url}
    subprocess.run(made, env={**os.environ, **environment}, check=True, timeout=120)
    return "pattern"


@pytest.fixture
def full_url(server, pattern) -> str:
    """The address of a copy of that database to break."""
    return str(server.new_database(like=pattern))


@pytest.fixture
def data(full_folder, tmp_path) -> Path:
    """A copy of that folder to break."""
    return Path(shutil.copytree(full_folder, tmp_path / "data"))


def one_line(done: subprocess.CompletedProcess[str], *words: str) -> bool:
    """Whether a command failed with a single line that says all of `words`."""
    said = done.stderr.strip()
    assert done.returncode in {1, 2}, (done.returncode, done.stdout, said)
    assert said.startswith("floorward: "), said
    assert "\n" not in said, said
    assert [word for word in words if word not in said] == [], said
    return True
