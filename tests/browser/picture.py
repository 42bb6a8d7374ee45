"""The picture of the README, taken from a running Floorward: `python -m tests.browser.picture http://127.0.0.1:8000`.

It looks round the demo gym and keeps the top of Today as docs/picture.png.
"""

import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.browser.conftest import ARGUMENTS

PICTURE = Path(__file__).parents[2] / "docs" / "picture.png"
SLOWEST_MS = 120_000


def take(address: str, file: Path = PICTURE) -> None:
    """Today of the demo gym, by daylight."""
    with sync_playwright() as player:
        browser = player.chromium.launch(executable_path="/usr/bin/chromium", args=ARGUMENTS.split())
        page = browser.new_page(viewport={"width": 1280, "height": 800}, color_scheme="light")
        page.set_default_timeout(SLOWEST_MS)
        page.goto(address)
        page.get_by_role("button", name="Look round the demo gym").click()
        page.wait_for_url("**/today")
        page.locator(".notice.demo").evaluate("one => one.remove()")
        page.screenshot(path=str(file))
        browser.close()


if __name__ == "__main__":
    take(sys.argv[1])
