"""A real server on a data folder of its own, and Debian's Chromium in front of it."""

import os
import re
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from urllib.request import urlopen

import pytest

from tests.conftest import at

ARGUMENTS = (
    "--no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking "
    "--disable-component-update --disable-sync"
)


@pytest.fixture(scope="session")
def browser_type_launch_args():
    return {"executable_path": "/usr/bin/chromium", "args": ARGUMENTS.split()}


PATIENCE_MS = 120_000  # a busy machine is slow, not wrong


@dataclass(frozen=True)
class Server:
    """A running Floorward: its address, the console's code, its data folder, and its clock."""

    address: str
    code: str
    folder: Path
    set_clock: Callable[[str], None]


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture(scope="module")
def server(tmp_path_factory) -> Iterator[Server]:
    """`floorward serve` as a person starts it, with a clock that the test sets."""
    folder = tmp_path_factory.mktemp("data")
    clock = folder / "clock"

    def set_clock(text: str) -> None:
        clock.write_text(at(text).isoformat())

    set_clock("2026-11-23 18:10")
    port = free_port()
    address = f"http://127.0.0.1:{port}"
    environment = {
        **os.environ,
        "DATA": str(folder),
        "CLOCK_FILE": str(clock),
        "PUBLIC_ADDRESS": address,
        "PYTHONUNBUFFERED": "1",
    }
    command = [
        sys.executable,
        "-m",
        "floorward.cli",
        "serve",
        "--port",
        str(port),
        "--data",
        str(folder),
        "--public-address",
        address,
    ]
    log = folder / "console"
    with log.open("w") as console:
        process = subprocess.Popen(command, env=environment, stdout=console, stderr=subprocess.STDOUT)
        try:
            _wait(address, log)
            yield Server(address, _code(log), folder, set_clock)
        finally:
            process.terminate()
            process.wait(60)


def _wait(address: str, log: Path) -> None:
    for _ in range(600):
        try:
            urlopen(address, timeout=2).close()
        except OSError:
            time.sleep(0.1)
        else:
            return
    pytest.fail(f"the server did not start: {log.read_text()}")


def _code(log: Path) -> str:
    found = re.search(r"code: (\S+)", log.read_text())
    return found[1] if found else ""


@pytest.fixture
def phone(server, browser):
    """A phone's browser at the server's first page; any script error or blocked resource fails the test."""
    yield from window(server, browser, 390, 844)


@pytest.fixture
def desk(server, browser):
    """A wide window at the server's first page."""
    yield from window(server, browser, 1280, 800)


def window(server, browser, width, height, **about):
    """A browser of this size at the first page, to be closed without complaints; `about` it as Playwright says it."""
    context = browser.new_context(
        base_url=server.address, viewport={"width": width, "height": height}, **about
    )
    context.set_default_timeout(PATIENCE_MS)
    page = context.new_page()
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto("/")
    yield page
    context.close()
    assert [text for text in complaints if "422" not in text and "409" not in text] == []
