"""The gym floor while the server is away: sets are kept on the phone and arrive once each, in order.

A longer run with other patterns: PATTERNS=20 python -m pytest -n 0 tests/browser/test_offline.py
"""

import os
import random
import re
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from urllib.request import urlopen

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser import evening
from tests.browser.conftest import ARGUMENTS, free_port

PAINS = (0, 1, 2, 3, 0, 2, 1, 3, 2, 0)
SEED = 20261123
SLOWEST_MS = 60_000  # a busy machine is slow, not wrong
PRESSES = 4
SETTLE_S = 0.6  # what comes down sooner is the same press
PATTERNS = int(os.environ.get("PATTERNS", "3"))


class Floor:
    """A data folder with a staged session, and a server on it that can be pulled off the mains."""

    def __init__(self, folder: Path, session: int) -> None:
        self.folder, self.session, self.port, self.process = folder, session, free_port(), None

    def sets(self) -> list[tuple[int, str]]:
        """Pain and time of every set that stands, in the order of their times."""
        with closing(sqlite3.connect(self.folder / "gym" / "floorward.sqlite3")) as base:
            return base.execute(
                "SELECT pain, at FROM storage_doneset WHERE undone_at IS NULL ORDER BY at"
            ).fetchall()

    def loads(self) -> list[float]:
        """Load of every set that stands, in the order of their times [kg]."""
        with closing(sqlite3.connect(self.folder / "gym" / "floorward.sqlite3")) as base:
            rows = base.execute("SELECT load FROM storage_doneset WHERE undone_at IS NULL ORDER BY at")
            return [float(load) for (load,) in rows]

    def start(self) -> None:
        command = [sys.executable, "-m", "floorward.cli", "serve", "--port", str(self.port)]
        environment = {**os.environ, "DATA": str(self.folder), "ALLOWED_HOSTS": "gym.test"}
        with (self.folder / "console").open("a") as console:
            self.process = subprocess.Popen(
                [*command, "--data", str(self.folder)],
                env=environment,
                stdout=console,
                stderr=subprocess.STDOUT,
                start_new_session=True,
            )
        for _ in range(600):  # a busy machine is slow, not wrong
            try:
                urlopen(f"http://127.0.0.1:{self.port}/alive", timeout=2).close()
            except OSError:
                time.sleep(0.1)
            else:
                return
        self.kill()
        pytest.fail((self.folder / "console").read_text())

    def kill(self) -> None:
        """As a power cut does it: no goodbye to anybody."""
        if self.process is not None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait(10)
            self.process = None


@pytest.fixture(scope="module")
def staged(tmp_path_factory):
    folder = tmp_path_factory.mktemp("staged")
    command = [sys.executable, "-m", "tests.browser.stage", str(folder)]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    return folder, int(done.stdout)


@pytest.fixture
def floor(staged, tmp_path):
    folder, session = staged
    shutil.copytree(folder, tmp_path / "data")
    place = Floor(tmp_path / "data", session)
    place.start()
    yield place
    place.kill()


def phone_at(floor: Floor, browser, host: str = "127.0.0.1") -> Page:
    """Signed in, on the page of the session."""
    context = browser.new_context(
        base_url=f"http://{host}:{floor.port}", viewport={"width": 390, "height": 844}
    )
    page = context.new_page()
    evening.sign_in(page)
    expect(page).to_have_url(f"http://{host}:{floor.port}/today")
    page.goto(f"/sessions/{floor.session}")
    return page


def press(page: Page, pain: int) -> None:
    """One set by one key, once the page has settled from the set before: 0.6 s after all of it stands, which its words are a part of."""
    page.wait_for_timeout(1200)
    page.locator("form.tell:visible").get_by_role("button", name=str(pain), exact=True).click()


def kept(page: Page, count: int) -> None:
    word = "set" if count == 1 else "sets"
    expect(page.locator("#kept")).to_contain_text(
        f"{count} {word} kept on this phone, sent when the gym's server answers.",
        use_inner_text=True,
        timeout=SLOWEST_MS,
    )


def all_sent(page: Page) -> None:
    expect(page.get_by_text("Every planned set is done")).to_be_visible(timeout=SLOWEST_MS)
    expect(page.locator("#kept")).to_be_hidden(timeout=SLOWEST_MS)


def pains(floor: Floor) -> list[int]:
    return [pain for pain, _ in floor.sets()]


def wait_for_the_worker(page: Page) -> None:
    page.evaluate("navigator.serviceWorker.ready")
    page.reload()  # now it has this page


def test_ten_sets_logged_while_the_server_is_dead_arrive_once_each_and_in_order(floor, browser):
    page = phone_at(floor, browser)
    wait_for_the_worker(page)
    for count, pain in enumerate(PAINS[:2], start=1):
        press(page, pain)
        expect(page.locator(".so-far summary")).to_contain_text(f"{count} set")
    floor.kill()
    for count, pain in enumerate(PAINS[2:6], start=1):
        press(page, pain)
        kept(page, count)
    context = page.context
    page.close()
    page = context.new_page()
    page.goto(f"/sessions/{floor.session}")
    kept(page, 4)
    expect(page.locator(".now-set .note").first).to_contain_text("7 of 10")
    for count, pain in enumerate(PAINS[6:], start=5):
        press(page, pain)
        kept(page, count)
    expect(page.get_by_text("Nothing more of the plan is on this phone")).to_be_visible()
    page.close()
    floor.start()
    page = context.new_page()
    page.goto(f"/sessions/{floor.session}")
    all_sent(page)
    assert pains(floor) == list(PAINS)
    context.close()


PAGES = (
    "caches.keys().then(names => caches.open(names.find(name => name.startsWith('pages-')) ?? 'pages-none'))"
)
KEPT_PAGES = f"{PAGES}.then(pages => pages.keys()).then(all => all.map(one => new URL(one.url).pathname))"
OF_YESTERDAY = """.then(async pages => {
  const [key] = await pages.keys();
  const headers = new Headers((await pages.match(key)).headers);
  headers.set('x-kept-at', String(Date.now() - 13 * 3600 * 1000));
  await pages.put(key, new Response('pain 7', { headers }));
})"""


def test_a_page_with_scores_is_kept_for_the_day_alone_and_dropped_with_the_consent_and_the_sign_in(
    floor, browser
):
    page = phone_at(floor, browser)
    wait_for_the_worker(page)
    session = f"/sessions/{floor.session}"
    assert page.evaluate(KEPT_PAGES) == [session]
    page.evaluate(PAGES + OF_YESTERDAY)
    floor.kill()
    page.goto(session)
    expect(page.locator("body")).not_to_contain_text("pain 7")
    assert page.evaluate(KEPT_PAGES) == []
    floor.start()
    page.goto(session)
    assert page.evaluate(KEPT_PAGES) == [session]
    other = phone_at(floor, browser)
    wait_for_the_worker(other)
    assert other.evaluate(KEPT_PAGES) == [session]
    page.goto("/lifters")
    page.locator("main h2 a").first.click()
    page.get_by_role("button", name="They take it back").click()
    expect(page.get_by_text("Consent withdrawn")).to_be_visible()
    assert page.evaluate(KEPT_PAGES) == []
    # another phone hears of it with the first page that it asks for
    other.goto("/today")
    assert other.evaluate(KEPT_PAGES) == []
    other.context.close()
    page.goto(session)
    page.goto("/gym/people")
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/")
    assert page.evaluate(KEPT_PAGES) == []
    page.context.close()


def test_a_set_keeps_the_time_at_which_it_was_done(floor, browser):
    page = phone_at(floor, browser)
    floor.kill()
    press(page, 0)
    press(page, 1)
    kept(page, 2)
    said = datetime.fromtimestamp(time.time(), UTC).replace(tzinfo=None)
    page.wait_for_timeout(8000)
    floor.start()
    expect(page.locator(".so-far summary")).to_contain_text("2 sets so far", timeout=20_000)
    assert abs((datetime.fromisoformat(floor.sets()[-1][1]) - said).total_seconds()) < 6
    page.context.close()


def at_95_kg(floor: Floor, browser) -> Page:
    """A phone at the first of four work sets of 95 kg, which is not the lightest load there is."""
    with closing(sqlite3.connect(floor.folder / "gym" / "floorward.sqlite3")) as base, base:
        base.execute("UPDATE storage_line SET load = 95, sets = 4")
    page = phone_at(floor, browser)
    page.goto(f"/sessions/{floor.session}?line=1&work")
    return page


def test_without_the_server_the_set_after_one_that_was_too_much_is_a_rung_down_and_then_none(floor, browser):
    page = at_95_kg(floor, browser)
    floor.kill()
    press(page, 2)
    kept(page, 1)
    expect(page.locator(".now-set .load")).to_have_text("95kg × 5")
    too_much(page)
    kept(page, 2)
    expect(page.get_by_role("alert").filter(has_text="Go lighter for the rest of this lift")).to_be_visible()
    expect(page.locator(".now-set .note").first).to_have_text("Deadlift, one rung down")
    expect(page.locator(".now-set .load")).to_have_text("85kg × 5")
    expect(page.locator(".now-set")).to_contain_text("25 · 5 · 2.5 each side")
    press(page, 4)
    kept(page, 3)
    expect(page.locator(".now-set .load")).to_have_text("85kg × 5")
    too_much(page)
    kept(page, 4)
    expect(page.get_by_role("alert").filter(has_text="Leave this lift for now")).to_be_visible()
    expect(page.get_by_text("Nothing more of the plan is on this phone")).to_be_visible()
    floor.start()
    expect(page.locator("#set-now")).to_contain_text("Every planned set is done", timeout=SLOWEST_MS)
    assert floor.loads() == [95, 95, 85, 85]
    page.context.close()


def too_much(page: Page) -> None:
    """A set of pain 7, called not acceptable."""
    page.locator("form.tell:visible").get_by_label("Not acceptable").check()
    press(page, 7)


def test_without_the_server_a_lighter_set_that_was_too_much_is_not_followed_by_a_heavier_one(floor, browser):
    page = at_95_kg(floor, browser)
    page.get_by_role("link", name="Done, but changed").click()
    page.get_by_label("Load").fill("60 kg")
    page.get_by_role("radio", name="7", exact=True).check()
    page.get_by_role("radio", name="No", exact=True).check()
    floor.kill()
    page.get_by_role("button", name="Log this set").click()
    expect(page.locator("#kept")).to_contain_text("60 kg × 5", use_inner_text=True)
    page.goto(f"/sessions/{floor.session}")
    kept(page, 1)
    expect(page.get_by_text("Nothing more of the plan is on this phone")).to_be_visible()
    page.context.close()


def test_a_thumb_that_comes_down_twice_logs_one_set(floor, browser):
    page = phone_at(floor, browser)
    logged = 0
    for pause in (0, 40, 150, 400):
        page.wait_for_timeout(1200)
        x, y = middle(page.locator("form.tell:visible").get_by_role("button", name="0", exact=True))
        began = time.monotonic()
        page.mouse.click(x, y)
        page.wait_for_timeout(pause)
        page.mouse.click(x, y)
        apart_s = time.monotonic() - began
        expect(page.locator(".so-far summary")).to_contain_text(re.compile(f"[{logged + 1}-9] set"))
        page.wait_for_timeout(1500)
        before, logged = logged, len(pains(floor))
        assert logged == before + 1 or apart_s > SETTLE_S  # a busy machine may bring the second down late
    page.context.close()


def middle(key: Locator) -> tuple[float, float]:
    key.scroll_into_view_if_needed()
    box = key.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_on_plain_http_the_page_that_stays_open_goes_on(floor, playwright):
    rules = "--host-resolver-rules=MAP gym.test 127.0.0.1"
    browser = playwright.chromium.launch(
        executable_path="/usr/bin/chromium", args=[*ARGUMENTS.split(), rules]
    )
    page = phone_at(floor, browser, "gym.test")
    assert page.evaluate("[isSecureContext, navigator.serviceWorker === undefined]") == [False, True]
    press(page, PAINS[0])
    expect(page.locator(".so-far summary")).to_contain_text("1 set so far")
    floor.kill()
    for count, pain in enumerate(PAINS[1:], start=1):
        press(page, pain)
        kept(page, count)
    page.get_by_role("link", name="Abel Norwood").first.click()
    expect(page.locator("#kept")).to_contain_text("This needs the gym's server", use_inner_text=True)
    floor.start()
    all_sent(page)
    assert pains(floor) == list(PAINS)
    browser.close()


@pytest.mark.parametrize("pattern", range(PATTERNS))
def test_no_pattern_of_interruptions_loses_or_doubles_a_set(floor, browser, pattern):
    chance = random.Random(SEED + pattern)
    page = phone_at(floor, browser)
    wait_for_the_worker(page)
    context = page.context
    for pain in PAINS:
        if chance.random() < 0.5:
            floor.kill() if floor.process else floor.start()
        if chance.random() < 0.3:
            page.close()
            page = context.new_page()
            page.goto(f"/sessions/{floor.session}")
        _press_in_a_storm(page, pain)
    if floor.process is None:
        floor.start()
    all_sent(page)
    assert pains(floor) == list(PAINS)
    context.close()


def _press_in_a_storm(page: Page, pain: int) -> None:
    """Press until this one set is on the page as done or kept; the page may turn over under the thumb, and then no press counts."""
    page.wait_for_timeout(700)
    page.wait_for_load_state()
    number = page.locator(".now-set .note").first.text_content()
    same = page.locator(".now-set .note", has_text=str(number))
    for _ in range(PRESSES):
        page.locator("form.tell:visible").get_by_role("button", name=str(pain), exact=True).click()
        try:
            return expect(same).to_have_count(0, timeout=SLOWEST_MS / PRESSES)
        except AssertionError:
            continue
    raise AssertionError(number)


def test_the_rest_runs_on_the_page_and_after_a_set_that_is_kept_on_the_phone(floor, browser):
    page = phone_at(floor, browser)
    rest = page.locator("#rest")
    expect(rest).to_be_hidden()
    press(page, 0)
    expect(rest).to_be_visible()
    expect(rest).to_contain_text(
        "of 2:30"
    )  # nothing tells how light a bare bar is for somebody whose usual load nobody knows
    gone = rest.locator("[data-gone]")
    expect(gone).to_have_text("0:03", timeout=SLOWEST_MS)
    assert 0 < float(rest.locator(".rest-gone").get_attribute("width")) < 358 * 30 / 150
    wait_for_the_worker(page)
    assert gone.inner_text() >= "0:03"  # a page opened again goes on, and does not begin anew
    floor.kill()
    press(page, 1)
    kept(page, 1)
    expect(gone).to_have_text(re.compile("0:0[01]"))
    expect(rest).to_contain_text("of 2:30")
    page.context.close()
