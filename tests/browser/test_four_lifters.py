"""Four lifters through three weeks, as their coach sees them: one heals quickly, one slowly, one says even numbers only, one minds the bend.

The search, the last decision and Progress are done on the pages; the evenings between them are written down beside the running server.
"""

import json
import os
import re
import subprocess
import sys
from decimal import Decimal

import pytest
from playwright.sync_api import Page

from tests.browser import evening
from tests.browser.conftest import window
from tests.browser.four_lifters import ALL, BENDS, EVEN, QUICK, SLOW, Answers

SHOTS = os.environ.get("SHOTS", "")
BY_MODEL = "by the model: each set where it teaches most"
FROM_BELOW = "at the lightest load, and up"


@pytest.fixture(scope="module")
def weeks(server, browser) -> dict:
    """What was proposed in each search, and the evenings that followed."""
    staged(server, "begin")
    for page in window(server, browser, 390, 844, service_workers="block"):
        evening.sign_in(page)
        searches = {who.name: searched(page, number, who) for number, who in enumerate(ALL, 1)}
    trained = json.loads(staged(server, "train"))
    server.set_clock("2026-12-11 09:00")
    return {name: {"search": searches[name], "evenings": trained[name]} for name in searches}


@pytest.fixture
def phone(server, browser):
    """A phone whose pages come from the server alone: a busy machine must not look like one without a server."""
    yield from window(server, browser, 390, 844, service_workers="block")


@pytest.fixture
def desk(server, browser):
    """A wide window, in the same way."""
    yield from window(server, browser, 1280, 800, service_workers="block")


def staged(server, what: str) -> str:
    """Rows written beside the server, in its own data folder."""
    command = [sys.executable, "-m", "tests.browser.four_lifters", str(server.folder), what]
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def searched(page: Page, episode: int, who: Answers) -> list[dict]:
    """The search to its end; every set as it was proposed, and what the page said beside it."""
    page.goto(f"/episodes/{episode}/find")
    evening.begin_search(page, direction=FROM_BELOW if who is BENDS else BY_MODEL, rest=who.woke(0))
    done: list[dict] = []
    page.locator("p.load").wait_for()
    while page.locator("p.load").is_visible():
        assert len(done) < 14, done
        load = float(re.match(r"[\d.]+", page.locator("p.load").inner_text())[0])
        why = page.locator("aside.why").inner_text()
        raised = re.search(r"hands at ([\d.]+) cm", page.locator(".ask-load").inner_text())
        above = (float(raised[1]) - 22.5) if raised else 0.0
        pain = who.pain(load, 0, above)
        done.append({"load": load, "raised_cm": above, "pain": pain, "why": why})
        shot(page, f"{who.name.split()[0]}-search-{len(done)}")
        evening.tap_pain(page, pain)
        evening.choose(page.locator("fieldset.choice", has_text="cceptable"), "Yes" if pain <= 3 else "No")
        with page.expect_navigation():
            page.get_by_role("button", name="Log ").click()
    shot(page, f"{who.name.split()[0]}-found")
    page.locator("h1.load").wait_for()
    return done


def shot(page: Page, name: str) -> None:
    """A picture to look at, where a folder for them is named."""
    if SHOTS:
        page.screenshot(path=f"{SHOTS}/{name}-{page.viewport_size['width']}.png", full_page=True)


def decided(page: Page, weeks: dict, who: Answers) -> str:
    """The last decision, taken as it is proposed; what its heading said."""
    session = weeks[who.name]["evenings"][-1]["session"]
    page.goto(f"/decide/{session}/deadlift")
    said = page.locator("h1").inner_text()
    page.locator("summary", has_text="Why this?").click()
    shot(page, f"{who.name.split()[0]}-decision")
    page.locator(".floor button.main").click()
    return said


def progress(page: Page, who: Answers) -> str:
    """What Progress says at the top."""
    page.goto(f"/lifters/{ALL.index(who) + 1}/progress")
    shot(page, f"{who.name.split()[0]}-progress")
    said = page.locator("section.says").inner_text()
    return " ".join(said.split())  # a number is kept with its unit by another space


def loads(weeks: dict, who: Answers) -> list[float]:
    return [row["load"] for row in weeks[who.name]["evenings"]]


def changes(weeks: dict, who: Answers) -> list[str]:
    return [row["decided"] for row in weeks[who.name]["evenings"][:-1]]


def test_the_quick_healers_load_goes_up_evening_by_evening(weeks, desk):
    evening.sign_in(desk)
    assert changes(weeks, QUICK).count("forward") >= 3
    assert loads(weeks, QUICK)[-1] >= 1.12 * loads(weeks, QUICK)[0]
    assert decided(desk, weeks, QUICK).startswith("Forward")
    assert re.search(r"Deadlift: \d+(\.\d)? kg on 10 December, was", progress(desk, QUICK))


def weeks_ahead(said: str) -> list[int]:
    return [int(number) for number in re.findall(r"\b(\d+)\b(?= and|\s+weeks?)", said)]


def test_the_slow_healer_is_held_longer_and_later(weeks, desk):
    evening.sign_in(desk)
    assert changes(weeks, SLOW).count("forward") < changes(weeks, QUICK).count("forward")
    assert decided(desk, weeks, SLOW).startswith(("Hold", "Back"))
    assert loads(weeks, SLOW)[-1] < loads(weeks, QUICK)[-1]
    assert max(row["pain"] for row in weeks[SLOW.name]["evenings"]) <= 3
    slow, quick = weeks_ahead(progress(desk, SLOW)), weeks_ahead(progress(desk, QUICK))
    assert slow[0] > quick[0]


def test_even_numbers_are_not_misread(weeks, phone):
    evening.sign_in(phone)
    for row in weeks[EVEN.name]["search"] + weeks[EVEN.name]["evenings"]:
        assert row["pain"] % 2 == 0
    even, quick = loads(weeks, EVEN), loads(weeks, QUICK)
    assert even[0] >= 0.85 * quick[0]
    assert quick[-3] <= even[-1] <= quick[-1]  # never ahead, and at most two evenings behind
    assert decided(phone, weeks, EVEN).startswith("Forward")


def test_the_one_who_minds_the_bend_gets_a_higher_bar_and_it_comes_down_again(weeks, phone):
    evening.sign_in(phone)
    search = weeks[BENDS.name]["search"]
    raised = [row for row in search if row["raised_cm"] > 0]
    assert [row["raised_cm"] for row in search[:2]] == [0, 0]
    assert raised
    assert "Tells what bending has to do with it: they bend" in raised[0]["why"]
    heights = [row["height_mm"] for row in weeks[BENDS.name]["evenings"]]
    assert heights[0] > 225
    assert heights[-1] < heights[0]
    assert Decimal(str(loads(weeks, BENDS)[0])) == Decimal(str(loads(weeks, BENDS)[-1]))
    decided(phone, weeks, BENDS)
    assert "Deadlift" in progress(phone, BENDS)
    phone.goto(f"/lifters/{ALL.index(BENDS) + 1}/way-back")
    shot(phone, "Dora-way-back")


def test_no_page_speaks_like_a_statistician(weeks, desk):
    evening.sign_in(desk)
    for who in ALL:
        said = progress(desk, who)
        session = weeks[who.name]["evenings"][-1]["session"]
        desk.goto(f"/decide/{session}/deadlift")
        said += desk.locator("main").inner_text()
        for word in ("posterior", "probability", "quantile", "percentile", "deviation", "interval", "N·m"):
            assert word not in said
