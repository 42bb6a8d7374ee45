"""The whole loop of a sore lifter without a mouse or a thumb: every step by the keyboard, and never lost on the page."""

import pytest
from playwright.sync_api import expect

from tests.browser.keys import Keys
from tests.browser.staged import served
from tests.conftest import at


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("keys")


@pytest.fixture(scope="module")
def staged(folder, browser):
    yield from served("tests.browser.stage", folder, browser)


def radio(place, name):
    return place.get_by_role("radio", name=name, exact=True)


def button(page, name):
    return page.get_by_role("button", name=name)


def add(keys: Keys) -> None:
    """Somebody new, who agrees that answers are kept."""
    page = keys.page
    page.goto("/today")
    keys.turn(page.get_by_role("link", name="Lifters", exact=True))
    keys.turn(page.get_by_role("link", name="New lifter").first)
    keys.write(page.get_by_label("Name or alias"), "Oda Renn")
    keys.write(page.get_by_label("Year of birth"), "1991")
    keys.choose(radio(page, "male"))
    keys.write(page.get_by_label("Height", exact=True), "176 cm")
    keys.write(page.get_by_label("Body mass"), "85 kg")
    keys.choose(radio(page, "kg"))
    keys.turn(button(page, "Add lifter"))
    keys.tick(page.get_by_label("Yes: keep these answers"))
    keys.turn(button(page, "Record the yes"))


def report(keys: Keys) -> None:
    """What hurts, and the questions."""
    page = keys.page
    keys.turn(page.get_by_role("link", name="Something hurts"))
    keys.choose(radio(page, "low back"))
    keys.write(page.get_by_label("Load that hurt"), "100")
    keys.write(page.get_by_label("Reps"), "3")
    keys.write(page.get_by_label("Usual load"), "100")
    keys.choose(radio(page, "6"))
    keys.turn(button(page, "On to the questions"))
    for question in page.locator("form#ask fieldset.choice:visible").all():
        keys.choose(radio(question, "No"))
    for tick in page.locator("form#ask input[type=checkbox]:visible").all():
        keys.tick(tick)
    keys.turn(button(page, "What do the answers say?"))


def find(keys: Keys) -> None:
    """Three sets from the lightest load up, to the plan."""
    page = keys.page
    keys.turn(page.get_by_role("link", name="Find a load"))
    keys.choose(radio(page.locator(".room"), "1"))
    keys.choose(radio(page, "at the lightest load, and up"))
    keys.turn(button(page, "Show the first set"))
    for load, pain in (("20", "0"), ("32.5", "1"), ("45", "3")):
        expect(page.locator("p.load")).to_contain_text(load)
        keys.choose(radio(page.locator("form.tell .room"), pain))
        keys.choose(radio(page.locator("fieldset.choice", has_text="cceptable"), "Yes"))
        keys.turn(button(page, "Log "))
    expect(page.locator("h1.load")).to_contain_text("45")
    keys.turn(button(page, "Plan the session"))


def train(keys: Keys) -> None:
    """The score before, then every set of the plan as planned."""
    page = keys.page
    keys.turn(page.get_by_role("link", name="To the first set"))
    keys.turn(page.locator(".room").get_by_role("button", name="1", exact=True))
    for _ in range(20):
        if page.get_by_text("Every planned set is done").is_visible():
            break
        page.wait_for_timeout(1200)  # a key pressed again sooner is taken for the same thumb
        keys.turn(page.locator("form.tell:visible").get_by_role("button", name="1", exact=True))
    keys.turn(button(page, "End the session"))
    page.wait_for_timeout(1200)
    keys.turn(page.locator(".room").get_by_role("button", name="1", exact=True))


def wake(keys: Keys, lifter: str) -> None:
    """The morning check by the lifter's own link."""
    page = keys.page
    page.goto(lifter)
    keys.turn(page.get_by_role("link", name="Make a link"))
    keys.turn(button(page, "Make a link"))
    keys.turn(page.get_by_role("link", name="Open it here"))
    keys.choose(radio(page.locator(".room"), "1"))
    keys.choose(radio(page.locator("fieldset", has_text="numbness"), "No"))
    keys.press(button(page, "Send"))
    expect(page.get_by_role("heading", name="Thank you")).to_be_visible()


def test_from_a_new_lifter_to_the_next_mornings_decision_by_the_keyboard_alone(staged, folder, browser):
    page = staged.open(browser, "desk").new_page()
    keys = Keys(page)
    add(keys)
    lifter = page.url
    report(keys)
    find(keys)
    train(keys)
    (folder / "clock").write_text(at("2026-11-24 07:00").isoformat())
    wake(keys, lifter)
    page.goto("/today")
    accept = page.locator(".slip", has_text="Oda Renn").get_by_role("button", name="Accept")
    keys.turn(accept)
    expect(accept).to_have_count(0)
    assert keys.unseen == []
    page.context.close()
