"""A gym that a stage of the browser's tests has made, its server, and a browser in front of it."""

import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path


@contextmanager
def staged_gym(stage: str) -> Iterator[tuple]:
    """The browser, and where the gym of module `stage` is served; both end with the block."""
    from playwright.sync_api import sync_playwright
    from tests.browser.conftest import ARGUMENTS
    from tests.browser.staged import served

    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as folder:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=ARGUMENTS.split())
        with closing(browser), closing(served(stage, Path(folder), browser)) as gym:
            yield browser, next(gym)
