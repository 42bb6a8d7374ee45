"""A phone whose line is thin, slow or silent: what it fetches, what it shows meanwhile, and that no set is lost or logged twice by it."""

import sqlite3
import time
from contextlib import closing

import pytest
from playwright.sync_api import expect

from tests.browser.line import Line
from tests.browser.test_offline import (
    SLOWEST_MS,
    floor,
    kept,
    middle,
    pains,
    phone_at,
    press,
    staged,
    too_much,
    wait_for_the_worker,
)

__all__ = ["floor", "staged"]
KB = 1000
COPY = "Kept copy from"


@pytest.fixture
def line(floor):
    """A line to the floor's server, which the phone takes for the server itself."""
    made = Line(floor.port)
    floor.port = made.port
    yield made
    floor.port = made.server
    made.close()


def all_there(page) -> None:
    """The worker has the page and its files of this version."""
    wait_for_the_worker(page)
    page.reload(wait_until="networkidle")


def number(page, text: str) -> None:
    expect(page.locator(".now-set .note").first).to_contain_text(text, timeout=SLOWEST_MS)


def opening(floor) -> str:
    return f"GET /sessions/{floor.session}"


def renewed(page) -> None:
    """The page is the server's own: no copy, which would still be turned into it."""
    expect(page.locator('meta[name="kept-at"]')).to_have_count(0, timeout=60_000)
    page.wait_for_load_state()
    expect(page.locator("#kept")).to_be_hidden(timeout=60_000)


def test_the_session_page_is_light_at_first_and_lighter_with_every_set(floor, line, browser):
    page = phone_at(floor, browser)
    page.wait_for_load_state("networkidle")
    assert 10 * KB < line.came <= 100 * KB  # with the pages of the door and of Today on the way to it
    assert any(one.endswith("/js/kept.js") for one in line.asked)
    all_there(page)
    for count, pain in enumerate((1, 2), start=1):
        line.forget()
        press(page, pain)
        expect(page.locator(".so-far summary")).to_contain_text(f"{count} set")
        page.wait_for_load_state("networkidle")
        assert line.came <= 10 * KB
        assert [one for one in line.asked if "/static/" in one] == []
    page.context.close()


def test_a_page_opened_again_needs_one_answer_and_where_none_comes_none(floor, line, browser):
    page = phone_at(floor, browser)
    all_there(page)
    line.forget()
    page.goto(f"/sessions/{floor.session}", wait_until="networkidle")
    beside = {"GET /worker.js", "GET /alive"}  # asked when the page is up already
    assert [one for one in line.asked if one not in beside] == [opening(floor)]
    line.forget()
    line.held = lambda _: True
    page.goto(f"/sessions/{floor.session}")
    expect(page.get_by_text(COPY)).to_be_visible()
    press(page, 3)
    kept(page, 1)
    number(page, "2 of 10")
    assert line.asked == []
    line.held = lambda _: False
    expect(page.locator("#kept")).to_be_hidden(timeout=30_000)
    number(page, "2 of 10")
    assert pains(floor) == [3]
    page.context.close()


def test_a_kept_copy_is_renewed_once_by_the_answer_that_came_late(floor, line, browser):
    page = phone_at(floor, browser)
    all_there(page)
    line.held = lambda said: said == opening(floor)
    page.goto(f"/sessions/{floor.session}")
    expect(page.get_by_text(COPY)).to_be_visible()
    line.held = lambda _: False
    renewed(page)
    line.forget()
    page.wait_for_timeout(5000)  # longer than a page waits before it looks again
    assert opening(floor) not in line.asked
    page.context.close()


def test_a_copy_from_before_a_stored_set_does_not_offer_that_set_again(floor, line, browser):
    page = phone_at(floor, browser)
    all_there(page)
    line.held = lambda said: said.startswith(opening(floor))
    press(page, 1)
    # stored, but the page after it never comes: the copy stands in at last, and goes on with the second set
    expect(page.locator("#kept")).to_be_visible(timeout=SLOWEST_MS)
    number(page, "2 of 10")
    press(page, 2)
    number(page, "3 of 10")
    line.held = lambda _: False
    expect(page.locator(".so-far summary")).to_contain_text("2 sets so far", timeout=SLOWEST_MS)
    expect(page.locator("#kept")).to_be_hidden(timeout=30_000)
    assert pains(floor) == [1, 2]
    page.context.close()


def test_a_page_that_has_just_turned_takes_no_tap_before_its_script_does(floor, browser):
    first = phone_at(floor, browser)
    page = browser.new_context(
        storage_state=first.context.storage_state(), java_script_enabled=False, base_url=first.url
    ).new_page()
    page.goto(first.url, wait_until="commit")
    key = page.locator("form.tell:visible").get_by_role("button", name="1", exact=True)
    page.mouse.click(*middle(key))
    page.wait_for_timeout(1500)
    assert pains(floor) == []
    page.mouse.click(*middle(key))  # without any script the form works as a form does
    expect(page.locator(".so-far summary")).to_contain_text("1 set")
    page.context.close()
    first.context.close()


def test_a_set_that_was_long_on_its_way_stays_before_the_next(floor, line, browser):
    page = phone_at(floor, browser)
    floor.kill()
    for count, pain in enumerate((1, 2), start=1):
        press(page, pain)
        kept(page, count)
    floor.port = line.server
    floor.start()
    passes = time.monotonic() + 7  # the phone asks again within four seconds and waits eight for an answer
    line.held = lambda said: said.startswith("POST") and time.monotonic() < passes
    expect(page.locator(".so-far summary")).to_contain_text("2 sets so far", timeout=SLOWEST_MS)
    assert pains(floor) == [1, 2]
    page.context.close()


def test_a_copy_from_before_a_stored_set_that_was_too_much_asks_no_more_for_its_load(floor, line, browser):
    page = phone_at(floor, browser)
    all_there(page)
    line.held = lambda said: said.startswith(opening(floor))
    too_much(page)
    expect(page.locator("#kept")).to_be_visible(timeout=SLOWEST_MS)
    expect(page.get_by_role("alert").filter(has_text="Leave this lift for now")).to_be_visible()
    expect(page.get_by_text("Nothing more of the plan is on this phone")).to_be_visible()
    line.held = lambda _: False
    expect(page.locator("#set-now")).to_contain_text("Pain 7 is over 5", timeout=SLOWEST_MS)
    assert pains(floor) == [7]
    page.context.close()


def test_a_plan_changed_meanwhile_is_on_the_page_once_the_answer_is_there(floor, line, browser):
    page = phone_at(floor, browser)
    all_there(page)
    with closing(sqlite3.connect(floor.folder / "gym" / "floorward.sqlite3")) as base:
        base.execute("UPDATE storage_line SET reps = 3 WHERE session_id = ?", (floor.session,))
        base.commit()
    line.held = lambda said: said == opening(floor)
    page.goto(f"/sessions/{floor.session}")
    expect(page.get_by_text(COPY)).to_be_visible()
    expect(page.locator("p.load")).to_contain_text("× 5")
    line.held = lambda _: False
    expect(page.locator("p.load")).to_contain_text("× 3")
    expect(page.locator("#kept")).to_be_hidden()
    page.context.close()


def test_a_copy_stands_in_for_the_view_that_it_is_of_and_no_other(floor, line, browser):
    page = phone_at(floor, browser)
    wait_for_the_worker(page)
    number_of_line = page.locator("form.tell:visible input[name=line]").input_value()
    view = f"/sessions/{floor.session}?line={number_of_line}"
    page.goto(view, wait_until="networkidle")
    line.held = lambda said: said.startswith(opening(floor))
    page.goto(view)
    expect(page.get_by_text(COPY)).to_be_visible()
    line.held = lambda _: False
    renewed(page)
    line.forget()
    page.goto(f"{view}&work")  # waits for the server, however long
    renewed(page)
    assert f"{opening(floor)}?line={number_of_line}&work" in line.asked
    page.context.close()
