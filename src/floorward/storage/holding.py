"""Who is at the data folder: servers hold it together, a restore must have it alone."""

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from floorward.errors import StorageError

_held: list[int] = []


def hold(data: Path) -> None:
    """Hold the folder, with any other server, until this process (and those it forked) ends.

    Raises:
        StorageError: a restore is at work in it.
    """
    file = _locked(
        data, fcntl.LOCK_SH, "a backup is being restored into this data folder; start again when it is done"
    )
    _held.append(file)


@contextmanager
def alone(data: Path) -> Iterator[None]:
    """Have the folder alone until the block ends.

    Raises:
        StorageError: a server is running on it.
    """
    file = _locked(
        data,
        fcntl.LOCK_EX,
        f"Floorward is running on {data}; stop it first (Ctrl-C where it was started), then try again",
    )
    try:
        yield
    finally:
        os.close(file)


def _locked(data: Path, how: int, busy: str) -> int:
    """The lock file of the folder, locked; it is let go when it is closed."""
    file = os.open(data / "serving.lock", os.O_CREAT | os.O_RDWR | os.O_CLOEXEC, 0o600)
    try:
        fcntl.flock(file, how | fcntl.LOCK_NB)
    except BlockingIOError as error:
        os.close(file)
        raise StorageError(busy) from error
    return file
