"""A small group on the floor, some of it while the server is away: one tap from lifter to lifter, and every answer at whose it is."""

import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing

import pytest
from playwright.sync_api import expect

from tests.browser.test_offline import Floor, kept, pains, phone_at, press, wait_for_the_worker
from tests.conftest import at

LEAST_PX = 44


@pytest.fixture(scope="module")
def staged(tmp_path_factory):
    folder = tmp_path_factory.mktemp("group")
    command = [sys.executable, "-m", "tests.browser.group_stage", str(folder)]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    return folder, [int(number) for number in done.stdout.split()]


@pytest.fixture
def floor(staged, tmp_path, monkeypatch):
    """The gym on the evening of its stage."""
    folder, (abel, _, _) = staged
    shutil.copytree(folder, tmp_path / "data")
    clock = tmp_path / "clock"
    clock.write_text(at("2026-11-23 18:30").isoformat())
    monkeypatch.setenv("CLOCK_FILE", str(clock))
    place = Floor(tmp_path / "data", abel)
    place.start()
    yield place
    place.kill()


def asked(floor: Floor, question: str) -> list[tuple]:
    with closing(sqlite3.connect(floor.folder / "gym" / "floorward.sqlite3")) as base:
        return base.execute(question).fetchall()


def sets_of(floor: Floor) -> list[tuple[str, int]]:
    """Who did which set with which pain, in the order in which they came in."""
    return asked(
        floor,
        "SELECT l.name, d.pain FROM storage_doneset d JOIN storage_session s ON s.id = d.session_id "
        "JOIN storage_lifter l ON l.id = s.lifter_id WHERE d.undone_at IS NULL ORDER BY s.id, d.id",
    )


def turn_to(page, name: str) -> None:
    """One tap on the name."""
    name_key = page.get_by_role("navigation", name="Training today").get_by_role("link", name=name)
    box = name_key.bounding_box()
    assert min(box["width"], box["height"]) >= LEAST_PX
    name_key.click()
    expect(page.locator("header.head")).to_contain_text(name)


def test_two_lifters_take_turns_with_one_tap_also_while_the_server_is_away(floor, browser):
    page = phone_at(floor, browser)
    wait_for_the_worker(page)
    turn_to(page, "Cole Ferris")
    press(page, 1)
    expect(page.locator(".so-far summary")).to_contain_text("1 set")
    turn_to(page, "Abel Norwood")
    press(page, 2)
    expect(page.locator(".so-far summary")).to_contain_text("1 set")
    floor.kill()
    turn_to(page, "Cole Ferris")
    press(page, 3)
    kept(page, 1)
    expect(page.locator(".now-set .note").first).to_contain_text("3 of 3")
    turn_to(page, "Abel Norwood")
    press(page, 0)
    kept(page, 2)
    expect(page.locator(".now-set .note").first).to_contain_text("3 of 10")
    floor.start()
    expect(page.locator("#kept")).to_be_hidden(timeout=20_000)
    assert sets_of(floor) == [
        ("Abel Norwood", 2),
        ("Abel Norwood", 0),
        ("Cole Ferris", 1),
        ("Cole Ferris", 3),
    ]
    page.context.close()


def own_link(page, lifter: int) -> None:
    """The lifter's own page, as the coach's phone opens it."""
    page.goto(f"/lifters/{lifter}/link")
    page.get_by_role("button", name="Make a link").click()
    page.get_by_role("link", name="Open it here").click()
    expect(page.get_by_role("heading", name="Ines. Pain on waking?")).to_be_visible()


def wakes_with(page, score: int) -> None:
    page.get_by_role("radio", name=str(score), exact=True).check()
    page.locator("fieldset", has_text="numbness").get_by_role("radio", name="No", exact=True).check()
    page.get_by_role("button", name="Send").click()


def mornings(floor: Floor) -> list[int]:
    return [score for (score,) in asked(floor, "SELECT score FROM storage_morningcheck")]


def test_a_morning_answered_while_the_server_is_away_arrives_once(floor, browser, staged):
    page = phone_at(floor, browser)
    wait_for_the_worker(page)
    own_link(page, staged[1][2])
    address = page.url
    floor.kill()
    wakes_with(page, 2)
    expect(page.get_by_role("heading", name="Your answer is kept on this phone")).to_be_visible()
    context = page.context
    page.close()
    page = context.new_page()
    page.goto(address)
    expect(page.locator("#kept")).to_contain_text("1 answer kept on this phone", use_inner_text=True)
    assert mornings(floor) == []
    floor.start()
    expect(page.locator("#kept")).to_be_hidden(timeout=20_000)
    page.reload()
    page.wait_for_timeout(5000)  # longer than a phone waits before it tries again
    assert mornings(floor) == [2]
    context.close()


def a_high_score_comes_back(floor: Floor, browser):
    """Eight while the server was away, called neither acceptable nor not: the server asks."""
    page = phone_at(floor, browser)
    floor.kill()
    press(page, 8)
    kept(page, 1)
    floor.start()
    expect(page.locator("#kept")).to_contain_text("1 not stored yet", use_inner_text=True, timeout=20_000)
    assert sets_of(floor) == []
    return page


def test_a_question_of_the_servers_waits_until_it_is_answered(floor, browser):
    page = a_high_score_comes_back(floor, browser)
    page.get_by_role("button", name="Answer it").click()
    page.wait_for_timeout(1200)
    page.get_by_role("button", name="Log: not acceptable").click()
    expect(page.locator(".so-far summary")).to_contain_text("1 set", timeout=20_000)
    expect(page.locator("#kept")).to_be_hidden()
    assert sets_of(floor) == [("Abel Norwood", 8)]
    page.context.close()


def test_a_set_that_was_asked_about_stands_where_it_was_done_once_it_is_answered(floor, browser):
    page = a_high_score_comes_back(floor, browser)
    press(page, 1)
    expect(page.locator(".so-far summary")).to_contain_text("1 set", timeout=20_000)
    page.get_by_role("button", name="Answer it").click()
    page.wait_for_timeout(1200)
    page.get_by_role("button", name="Log: not acceptable").click()
    expect(page.locator(".so-far summary")).to_contain_text("2 sets", timeout=20_000)
    assert pains(floor) == [8, 1]
    page.context.close()


def test_a_question_that_is_dropped_leaves_no_set(floor, browser):
    page = a_high_score_comes_back(floor, browser)
    page.get_by_role("button", name="Drop it").click()
    expect(page.locator("#kept")).to_be_hidden()
    page.reload()
    press(page, 1)
    expect(page.locator(".so-far summary")).to_contain_text("1 set")
    assert sets_of(floor) == [("Abel Norwood", 1)]
    page.context.close()


def test_a_set_whose_line_is_gone_from_the_plan_is_shown_and_can_only_be_dropped(floor, browser):
    page = phone_at(floor, browser)
    floor.kill()
    press(page, 2)
    kept(page, 1)
    with closing(sqlite3.connect(floor.folder / "gym" / "floorward.sqlite3")) as base:
        base.execute("DELETE FROM storage_line WHERE session_id = ?", (floor.session,))
        base.commit()
    floor.start()
    expect(page.locator("#kept")).to_contain_text("1 not stored yet", use_inner_text=True, timeout=20_000)
    expect(page.get_by_role("button", name="Answer it")).to_have_count(0)
    page.get_by_role("button", name="Drop it").click()
    expect(page.locator("#kept")).to_be_hidden()
    assert sets_of(floor) == []
    page.context.close()
