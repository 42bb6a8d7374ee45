"""A server on a gym that a stage has made, and a coach signed in to it once for all tests of a file."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page

from tests.browser import evening
from tests.browser.conftest import _wait, free_port
from tests.conftest import at

RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
SIZES = {"phone": (390, 844), "desk": (1280, 800)}
SLOWEST_MS = 120_000


@dataclass(frozen=True)
class Staged:
    """Where the gym is served, what its stage printed, and the cookies of who signed in."""

    address: str
    said: str
    state: object

    def open(self, browser: Browser, size: str, **more: object) -> BrowserContext:
        """A browser of that size in which the coach is signed in."""
        width, height = SIZES[size]
        context = browser.new_context(
            base_url=self.address,
            viewport={"width": width, "height": height},
            storage_state=self.state,
            service_workers="block",  # a slow machine is no server that is away
            **more,
        )
        context.set_default_timeout(SLOWEST_MS)
        return context


def served(stage: str, folder: Path, browser: Browser) -> Iterator[Staged]:
    """The gym that module `stage` makes in `folder`, on a server of its own."""
    clock = folder / "clock"
    clock.write_text(at("2026-11-23 18:30").isoformat())
    environment = {**os.environ, "DATA": str(folder), "CLOCK_FILE": str(clock)}
    command = [sys.executable, "-m", stage, str(folder)]
    made = subprocess.run(command, check=True, capture_output=True, text=True, env=environment)
    port = free_port()
    command = [sys.executable, "-m", "floorward.cli", "serve", "--port", str(port), "--data", str(folder)]
    with (folder / "console").open("w") as console:
        process = subprocess.Popen(
            command, env=environment, stdout=console, stderr=subprocess.STDOUT, start_new_session=True
        )
    try:
        address = f"http://127.0.0.1:{port}"
        _wait(address, folder / "console")
        context = browser.new_context(base_url=address)
        page = context.new_page()
        page.set_default_timeout(SLOWEST_MS)
        evening.sign_in(page)
        page.wait_for_url("**/today")
        state = context.storage_state()
        context.close()
        yield Staged(address=address, said=made.stdout.strip(), state=state)
    finally:
        os.killpg(process.pid, signal.SIGKILL)
        process.wait(10)


def complaining(page: Page) -> list[str]:
    """What the console says against the page from now on, refused forms aside."""
    complaints: list[str] = []

    def heard(text: str) -> None:
        if "422" not in text:
            complaints.append(text)

    page.on("console", lambda said: heard(said.text) if said.type == "error" else None)
    page.on("pageerror", lambda error: heard(str(error)))
    return complaints


def fits(page: Page) -> bool:
    """Whether nothing is wider than the window."""
    return bool(page.evaluate("document.documentElement.scrollWidth <= innerWidth"))


def broken_rules(page: Page) -> dict[tuple[str, str], list[object]]:
    """Rules of accessibility that the page breaks by day and by night."""
    wrong = {}
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        for one in Axe().run(page, options=RULES).response["violations"]:
            wrong[scheme, one["id"]] = [node["target"] for node in one["nodes"]][:5]
    return wrong
