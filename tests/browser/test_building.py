"""A session built in a real browser as somebody does who has never seen the page: each press answered, each answer sensible."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.staged import SIZES, SLOWEST_MS, Staged, broken_rules, complaining, fits, served

expect.set_options(timeout=SLOWEST_MS)


@pytest.fixture(scope="module")
def gym(tmp_path_factory, browser) -> Iterator[Staged]:
    yield from served("tests.browser.building_stage", tmp_path_factory.mktemp("building"), browser)


@pytest.fixture
def phone(gym, browser) -> Iterator[Page]:
    """A phone, where a script error or a blocked resource fails the test."""
    context = gym.open(browser, "phone")
    page = context.new_page()
    complaints = complaining(page)
    yield page
    context.close()
    assert complaints == []


def address(gym: Staged, which: int) -> str:
    return f"/sessions/{gym.said.split()[which]}/build"


def number(page: Page, pattern: str) -> float:
    """The number that the page states."""
    found = re.search(pattern, page.locator("main").inner_text())
    assert found, pattern
    return float(found[1])


def minutes(page: Page) -> float:
    return number(page, r"lifts?, about (\d+) of \d+ minutes")


def worth(page: Page) -> float:
    return number(page, r"All of it is worth ([\d.]+) hard sets")


def asked(page: Page) -> float:
    return number(page, r"Today this asks (\d+) %")


def line(page: Page, name: str) -> Locator:
    return page.locator("li.line[data-line]").filter(has=page.get_by_role("heading", name=re.compile(name)))


def box(page: Page, name: str, what: str) -> Locator:
    return line(page, name).locator(f'input[name="{what}"]')


def numbers(page: Page, name: str) -> list[str]:
    return [box(page, name, what).input_value() for what in ("load", "sets", "reps")]


def names(page: Page) -> list[str]:
    found = page.locator("li.line[data-line] h2").all_inner_texts()
    return [re.sub(r"\s*(pinned|first time)\s*", "", one).strip() for one in found]


def press(page: Page, button: str | re.Pattern[str]) -> None:
    """Press it, and wait for the answer to stand on the page."""
    with page.expect_response(
        lambda answer: answer.request.method == "GET" and "/build" in answer.url, timeout=SLOWEST_MS
    ):
        page.get_by_role("button", name=button).click()
    expect(page.locator("main[aria-busy]")).to_have_count(0)


def build(page: Page, **wishes: str) -> None:
    for label, wish in wishes.items():
        page.get_by_label(label, exact=True).fill(wish)
    press(page, re.compile("^Build "))
    expect(page.get_by_role("heading", level=1)).to_contain_text("minutes")


def test_a_session_is_built_pinned_thinned_halved_and_undone(gym, phone):
    phone.goto(address(gym, 0))
    expect(phone.get_by_role("heading", level=1)).to_have_text("Build the session")
    build(phone, Minutes="60")
    whole = names(phone)
    # the sore lift first, at no more than the search found; what his back leaves alone goes on; all of it in the hour
    assert whole[0] == "Deadlift"
    assert float(numbers(phone, "^Deadlift")[0]) <= 95
    assert "Bench press" in whole
    assert minutes(phone) <= 60
    assert fits(phone)

    # a pinned line stays as it is, a line left out stays away, whatever is built after that
    kept = numbers(phone, "Bench press")
    press(phone, "Pin Bench press")
    expect(line(phone, "Bench press").locator(".tag")).to_have_text("pinned")
    gone = next(name for name in whole[1:] if name != "Bench press")
    press(phone, re.compile(f"^Without it ?: ?{re.escape(gone)}$"))
    expect(phone.get_by_text("you left it out")).to_have_count(1)
    build(phone)
    assert gone not in names(phone)
    assert numbers(phone, "Bench press") == kept

    # half the time: fewer lines or sets, and none of the two wishes is forgotten
    build(phone, Minutes="30")
    assert minutes(phone) <= 30
    assert names(phone)[0] == "Deadlift"
    assert numbers(phone, "Bench press") == kept
    assert gone not in names(phone)

    # somebody else has the trap bar: no line needs it, and the page says why
    phone.get_by_label("Trap bar", exact=True).check()
    build(phone, Minutes="60")
    assert not [name for name in names(phone) if "Trap bar" in name]
    expect(phone.get_by_text("Not free: Trap bar.").first).to_be_visible()

    # one press takes the last build back
    after = names(phone), minutes(phone)
    press(phone, "Undo")
    assert minutes(phone) <= 30
    press(phone, "Undo")
    assert (names(phone), minutes(phone)) == after


def test_numbers_changed_in_place_move_worth_demand_time_and_plates_at_once(gym, phone):
    phone.goto(address(gym, 1))
    build(phone, Minutes="60")
    before = {"worth": worth(phone), "asked": asked(phone), "minutes": minutes(phone)}
    plates = line(phone, "^Deadlift").inner_text()
    phone.evaluate("window.sameDocument = true")

    lighter = re.search(r"Next loads allowed: ([\d.]+)", plates)[1]
    load = box(phone, "^Deadlift", "load")
    typed(phone, load, lighter, "Tab")
    expect(box(phone, "^Deadlift", "load")).to_have_value(lighter)
    assert asked(phone) < before["asked"]
    assert worth(phone) <= before["worth"]
    assert line(phone, "^Deadlift").inner_text() != plates
    expect(line(phone, "^Deadlift").locator(".tag")).to_have_text("pinned")

    sets = box(phone, "Bench press", "sets")
    fewer = str(int(sets.input_value()) - 1)
    typed(phone, sets, fewer, "Enter")
    expect(box(phone, "Bench press", "sets")).to_have_value(fewer)
    expect(box(phone, "Bench press", "sets")).to_be_focused()
    assert minutes(phone) < before["minutes"]
    assert worth(phone) < before["worth"]

    # more than the search found is refused in its box, and nothing moves
    stood = worth(phone)
    typed(phone, box(phone, "^Deadlift", "load"), "140", "Enter", answer="POST")
    expect(phone.get_by_role("alert")).to_contain_text("No more than 95 kg is accepted")
    assert worth(phone) == stood
    assert phone.evaluate("window.sameDocument")  # no page was loaded anew


def test_a_button_pressed_before_the_answer_to_a_number_is_there_counts_and_one_pressed_twice_counts_once(
    gym, phone
):
    phone.goto(address(gym, 1))
    build(phone, Minutes="60")
    deadlift, bench = numbers(phone, "^Deadlift"), "Bench press"
    assert bench in names(phone)
    fewer = str(int(box(phone, "^Deadlift", "sets").input_value()) - 1)
    box(phone, "^Deadlift", "sets").fill(fewer)
    phone.evaluate(TWO_AT_ONCE, ["^Without it ?: ?Bench press$", ""])
    expect(phone.get_by_text("you left it out")).to_have_count(1)
    assert numbers(phone, "^Deadlift") == [deadlift[0], fewer, deadlift[2]]
    assert bench not in names(phone)

    # undo by a thumb that comes down twice takes back the one press, not the number before it
    phone.evaluate(TWO_AT_ONCE, ["^Undo$", "^Undo$"])
    expect(phone.get_by_text("you left it out")).to_have_count(0)
    assert bench in names(phone)
    assert numbers(phone, "^Deadlift")[1] == fewer


def test_numbers_typed_one_after_another_count_before_the_answer_to_the_first_is_there(gym, phone):
    phone.goto(address(gym, 1))
    build(phone, Minutes="60")
    load, sets, reps = numbers(phone, "^Deadlift")
    other, less = str(int(sets) - 1 or 2), str(int(reps) - 1)
    line(phone, "^Deadlift").first.locator("form.numbers").evaluate(
        """(form, typed) => {
          for (const [name, value] of Object.entries(typed)) {
            form.elements[name].value = value;
            form.elements[name].dispatchEvent(new Event("change", { bubbles: true }));
          }
        }""",
        {"sets": other, "reps": less},
    )
    expect(phone.locator("main[aria-busy]")).to_have_count(0)
    phone.reload()
    assert numbers(phone, "^Deadlift") == [load, other, less]


# in one go, as a thumb does on a slow line: the number's own sending has begun when the button is pressed
TWO_AT_ONCE = """([first, second]) => {
  const named = (words) => [...document.querySelectorAll("form[data-part] button")].find((one) => one.textContent.trim().match(words));
  document.activeElement.blur();
  named(first).click();
  if (second) named(second).click();
}"""


def typed(page: Page, where: Locator, text: str, key: str, answer: str = "GET") -> None:
    """Type over what stands there, leave it with a key, and wait for what comes back."""
    where.focus()
    page.keyboard.press("Control+A")
    page.keyboard.type(text)
    with page.expect_response(lambda came: came.request.method == answer and "/build" in came.url):
        page.keyboard.press(key)
    expect(page.locator("main[aria-busy]")).to_have_count(0)


def test_all_of_it_is_done_from_the_keyboard(gym, browser):
    context = gym.open(browser, "desk")
    page = context.new_page()
    page.goto(address(gym, 1))
    if page.get_by_role("button", name="Build the session").count():
        page.get_by_label("Minutes", exact=True).focus()
        page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text("minutes")
    settled = line(page, "Leg curl|Triceps|Bench").first.get_by_role(
        "button", name=re.compile("^(Pin|Unpin)")
    )
    said = settled.inner_text()
    reached(page, settled)
    with page.expect_response(lambda came: came.request.method == "GET" and "/build" in came.url):
        page.keyboard.press("Space")
    other = line(page, "Leg curl|Triceps|Bench").first.get_by_role("button", name=re.compile("^(Pin|Unpin)"))
    expect(other).not_to_have_text(said)
    context.close()


def reached(page: Page, button: Locator, most: int = 80) -> None:
    """Go there with the tab key alone."""
    page.locator("body").press("Home")
    for _ in range(most):
        page.keyboard.press("Tab")
        if button.evaluate("(one) => one === document.activeElement"):
            return
    pytest.fail("the tab key does not get there")


@pytest.mark.parametrize("size", SIZES)
def test_the_page_fits_and_breaks_no_rule_of_accessibility_before_and_after(gym, browser, size):
    context = gym.open(browser, size)
    page = context.new_page()
    for which in (0, 1):
        page.goto(address(gym, which))
        assert fits(page)
        assert broken_rules(page) == {}
    context.close()


def test_without_a_script_the_same_presses_load_the_page_anew(gym, browser):
    context = gym.open(browser, "phone", java_script_enabled=False)
    page = context.new_page()
    page.goto(address(gym, 1))
    page.get_by_label("Minutes", exact=True).fill("40")
    page.get_by_role("button", name=re.compile("^Build ")).click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("of 40 minutes")
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_role("heading", level=1)).not_to_contain_text("of 40 minutes")
    context.close()
