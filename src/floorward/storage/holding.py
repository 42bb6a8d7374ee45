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
    file = _opened(data)
    try:
        fcntl.flock(file, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except BlockingIOError as error:
        os.close(file)
        raise StorageError(
            "a backup is being restored into this data folder; start again when it is done"
        ) from error
    _held.append(file)


@contextmanager
def alone(data: Path) -> Iterator[None]:
    """Have the folder alone until the block ends.

    Raises:
        StorageError: a server is running on it.
    """
    file = _opened(data)
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError as error:
        os.close(file)
        raise StorageError(
            f"Floorward is running on {data}; stop it first (Ctrl-C where it was started), then try again"
        ) from error
    try:
        yield
    finally:
        os.close(file)


def _opened(data: Path) -> int:
    return os.open(data / "serving.lock", os.O_CREAT | os.O_RDWR | os.O_CLOEXEC, 0o600)
