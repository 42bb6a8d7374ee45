"""`floorward serve` as a process, with phones at it."""

import json
import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.server import until
from tests.storage.phones import Phone


def phones_at(data: Path, url: str, count: int) -> list[Phone]:
    """A gym for so many phones, in the folder or (with a `url`) on the server."""
    made = subprocess.run(
        [sys.executable, "-m", "tests.storage.phones", str(count)],
        env=environment(data, url),
        check=True,
        timeout=300,
        capture_output=True,
        text=True,
    )
    return [Phone(**json.loads(line)) for line in made.stdout.splitlines()]


def environment(data: Path, url: str) -> dict[str, str]:
    left_out = {"CLOCK_FILE", "FLOORWARD_FIRST_RUN_CODE"}
    kept = {name: value for name, value in os.environ.items() if name not in left_out}
    return {**kept, "DATA": str(data), "DATABASE_URL": url, "BACKUP_EVERY_HOURS": "0"}


@contextmanager
def served(data: Path, url: str, phones: list[Phone]) -> Iterator[None]:
    """Pages for the phones until the block ends."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    for phone in phones:
        phone.port = port
    command = [sys.executable, "-m", "floorward.cli", "serve", "--port", str(port), "--data", str(data)]
    process = subprocess.Popen(
        command, env=environment(data, url), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    try:
        until(lambda: phones[0].reads()[0] == 200, 90)
        yield
    finally:
        process.send_signal(signal.SIGTERM)
        process.wait(30)
