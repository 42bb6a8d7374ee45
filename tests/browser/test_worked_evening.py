"""The worked evening on the real pages, from an empty data folder to the next morning's decision.

Usual 200 kg hurt 7; a 20 kg bar and steps of 2.5 kg: the numbers are our own worked example, and every load follows from the
protocol by hand (rungs of 10 % rounded down, an eighth of 200 up, half of it once pain is 2).
"""

import re

import pytest
from playwright.sync_api import expect

from tests.browser import evening

DOWN = (
    ("180", 6, False),
    ("142.5", 5, False),
    ("20", 0, True),
    ("45", 0, True),
    ("70", 1, True),
    ("95", 2, True),
    ("107.5", 3, True),
)


@pytest.fixture(scope="module", autouse=True)
def own_gym(server, browser):
    """A gym opened and equipped on the pages."""
    context = browser.new_context(base_url=server.address, viewport={"width": 1280, "height": 800})
    page = context.new_page()
    page.goto("/")
    evening.open_own_gym(page, server.code)
    evening.write_down_iron(page)
    context.close()


def found_a_load(page) -> None:
    """Abel's search, down the plates."""
    evening.sign_in(page)
    evening.new_lifter(page, "Abel Norwood")
    evening.something_hurts(page, load="200", usual="200", pain=7)
    evening.answer_no_to_everything(page)
    page.get_by_role("link", name="Find a load").first.click()
    evening.begin_search(page, direction="under the load that hurt, and down")
    for load, pain, acceptable in DOWN:
        evening.test_a_load(page, load, pain, acceptable=acceptable)
    expect(page.locator("h1.load")).to_contain_text("107.5")


def test_the_whole_loop_from_the_first_report_to_the_next_mornings_step(server, phone):
    server.set_clock("2026-11-23 18:10")
    found_a_load(phone)
    expect(phone.get_by_role("heading", name="Training starts at 95 kg")).to_be_visible()
    phone.get_by_role("button", name="Plan the session").click()
    expect(phone.locator(".p-load").first).to_contain_text("95")
    phone.get_by_role("link", name="To the first set").click()
    train(phone, pain=2)
    server.set_clock("2026-11-23 19:10")
    score_after(phone, 1)
    server.set_clock("2026-11-24 07:00")
    answer_the_morning(phone, 1)
    server.set_clock("2026-11-24 09:00")
    phone.goto("/today")
    phone.get_by_role("button", name="Accept 97.5 kg").click()
    expect(phone.get_by_text("97.5").first).to_be_visible()


def train(page, *, pain: int) -> None:
    """Every planned set as planned: one tap on the pain key each."""
    page.wait_for_url(re.compile(r"/sessions/\d+(?![\d/])"))
    if page.get_by_text("Pain now, before the warm-up").is_visible():
        with page.expect_navigation():
            evening.tap_pain(page, 1)
    for _ in range(20):
        if page.get_by_text("Every planned set is done").is_visible():
            break
        work = "work" in (page.locator(".now-set p.note").first.text_content() or "")
        page.wait_for_timeout(1200)  # a key pressed again sooner is taken for the same thumb
        with page.expect_navigation():
            evening.tap_pain(page, pain if work else 0)
    page.get_by_role("button", name="End the session").click()


def score_after(page, score: int) -> None:
    """Ending the session leads to the score within the hour."""
    expect(page.get_by_role("heading", name="Worst pain within the hour after")).to_be_visible()
    page.wait_for_timeout(1200)
    with page.expect_navigation():
        evening.tap_pain(page, score)


def answer_the_morning(page, score: int) -> None:
    """The lifter's own link, opened on the coach's phone for the test."""
    page.goto("/lifters/1/link")
    page.get_by_role("button", name="Make a link").click()
    page.get_by_role("link", name="Open it here").click()
    evening.tap_pain(page, score)
    evening.choose(page.locator("fieldset", has_text="numbness"), "No")
    page.get_by_role("button", name="Send").click()
    expect(page.get_by_role("heading", name="Thank you")).to_be_visible()


def test_a_lifter_in_pounds_is_sent_the_same_day_and_stays_locked_until_cleared(server, phone):
    server.set_clock("2026-11-24 10:00")
    evening.sign_in(phone)
    evening.new_lifter(phone, "Cole Ferris", unit="lb")
    evening.something_hurts(phone, load="405", usual="405", pain=6, region="knee")
    evening.answer_no_to_everything(phone, but="can't be straightened")
    expect(phone.get_by_role("heading", name="Same day", exact=False).first).to_be_visible()
    phone.goto("/lifters/2")
    expect(phone.get_by_text("locked until a named clinician")).to_be_visible()
    phone.goto("/episodes/2/find")
    expect(phone.get_by_role("heading", name="Locked until a clinician has cleared it")).to_be_visible()
    clear(phone, day="2026-11-20")
    expect(phone.locator(".slip-up").first).to_be_visible()
    clear(phone, day="2026-11-24")
    phone.goto("/episodes/2/find")
    evening.begin_search(phone, direction="at the lightest load, and up", bar="Pound bar")
    for load, pain in (("45", 0), ("95", 1), ("145", 2), ("170", 3)):
        evening.test_a_load(phone, load, pain, acceptable=True)
    expect(phone.locator("h1.load")).to_contain_text("170")
    expect(phone.get_by_role("heading", name="Training starts at 150 lb")).to_be_visible()


def clear(page, *, day: str) -> None:
    """A clinician's word, with the day it was given."""
    page.goto("/episodes/2/clearance")
    page.get_by_label("Seen on").fill(day)
    page.get_by_label("What they are").fill("Physiotherapist")
    page.get_by_label("Their name").fill("R. Inwood")
    page.get_by_role("button", name="Lift the lock").click()


def test_a_height_is_found_where_the_lightest_load_is_too_much_from_the_floor(server, phone):
    server.set_clock("2026-11-24 18:00")
    evening.sign_in(phone)
    evening.new_lifter(phone, "Ines Halloran")
    evening.something_hurts(phone, load="90", usual="90", pain=8)
    evening.answer_no_to_everything(phone)
    phone.get_by_role("link", name="Find a load").first.click()
    evening.begin_search(phone, direction="at the lightest load, and up")
    evening.test_a_load(phone, "20", 5, acceptable=False)
    evening.test_a_load(phone, "20", 4, acceptable=False)
    for _ in range(8):
        if phone.locator("h1.load").is_visible():
            break
        evening.test_a_load(phone, "20", 1, acceptable=True)
    expect(phone.get_by_text("hands at").first).to_be_visible()
    phone.get_by_role("button", name="Plan the session").click()
    expect(phone.get_by_text("stands in").first).to_be_visible()


# taps and fields filled, kept over the turning of pages; what a script of the page does by itself is not trusted and not counted
COUNTED = """
const count = name => sessionStorage.setItem(name, Number(sessionStorage.getItem(name) ?? 0) + 1);
addEventListener('pointerdown', event => event.isTrusted && count('taps'), true);
addEventListener('change', event => event.target.matches('input:not([type=radio], [type=checkbox]), select, textarea') && count('fields'), true);
"""


def spent(page) -> int:
    """Taps and fields since this was last asked."""
    found = page.evaluate(
        "['taps', 'fields'].map(name => { const n = Number(sessionStorage.getItem(name) ?? 0); sessionStorage.removeItem(name); return n; })"
    )
    return sum(found)


def test_the_jobs_of_the_day_keep_to_their_budgets_of_taps(server, phone):
    server.set_clock("2026-11-25 18:10")
    phone.add_init_script(COUNTED)
    evening.sign_in(phone)
    phone.wait_for_url("**/today")
    spent(phone)
    evening.new_lifter(phone, "Oda Renn")
    evening.something_hurts(phone, load="100", usual="100", pain=6)
    evening.answer_no_to_everything(phone)
    phone.get_by_role("link", name="Find a load").first.click()
    evening.begin_search(phone, direction="at the lightest load, and up")
    to_the_first_set = spent(phone)
    for load, pain in (("20", 0), ("32.5", 1), ("45", 3)):
        evening.test_a_load(phone, load, pain, acceptable=True)
    assert spent(phone) <= 3 * 3
    phone.get_by_role("button", name="Plan the session").click()
    expect(phone.locator(".p-load").first).to_be_visible()
    assert to_the_first_set + spent(phone) <= 40
    phone.get_by_role("link", name="To the first set").click()
    with phone.expect_navigation():
        evening.tap_pain(phone, 1)
    spent(phone)
    phone.wait_for_timeout(1200)
    with phone.expect_navigation():
        evening.tap_pain(phone, 0)
    assert spent(phone) <= 2
    train(phone, pain=2)
    score_after(phone, 1)
    server.set_clock("2026-11-26 07:00")
    phone.goto("/lifters")
    phone.get_by_role("link", name="Oda Renn").click()
    phone.goto(f"{phone.url}/link")
    phone.get_by_role("button", name="Make a link").click()
    phone.get_by_role("link", name="Open it here").click()
    spent(phone)
    evening.tap_pain(phone, 1)
    evening.choose(phone.locator("fieldset", has_text="numbness"), "No")
    phone.get_by_role("button", name="Send").click()
    expect(phone.get_by_role("heading", name="Thank you")).to_be_visible()
    assert spent(phone) <= 3
    server.set_clock("2026-11-26 09:00")
    phone.goto("/today")
    spent(phone)
    phone.locator(".slip", has_text="Oda Renn").get_by_role("button", name=re.compile("^Accept")).click()
    expect(
        phone.locator(".slip", has_text="Oda Renn").get_by_role("button", name=re.compile("^Accept"))
    ).to_have_count(0)
    assert spent(phone) <= 1


def test_a_consent_taken_back_while_the_morning_page_is_open_keeps_nothing_and_says_what_to_do(server, phone):
    """Oda has the page open; the coach takes her consent back on another; then she answers, once without and once with numbness."""
    server.set_clock("2026-11-26 09:30")
    evening.sign_in(phone)
    phone.goto("/lifters")
    phone.get_by_role("link", name="Oda Renn").click()
    lifter = phone.url
    phone.goto(f"{lifter}/link")
    phone.get_by_role("link", name="Open it here").click()
    phone.get_by_role("link", name="Change the answer").click()
    coach = phone.context.new_page()
    coach.goto(lifter)
    coach.get_by_role("button", name="They take it back").click()
    expect(coach.get_by_text("Consent withdrawn")).to_be_visible()
    evening.tap_pain(phone, 4)
    evening.choose(phone.locator("fieldset", has_text="numbness"), "Yes")
    phone.get_by_role("button", name="Send").click()
    expect(phone.get_by_role("heading", name="Do not lift today")).to_be_visible()
    expect(phone.locator("#kept")).to_be_hidden()
    phone.reload()
    expect(phone.get_by_text("Thank you")).to_have_count(0)
