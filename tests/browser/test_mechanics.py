"""Body, set-ups side by side and the way back in a real browser: on a phone and at a desk, by day and by night, for every eye."""

import itertools
import re
from dataclasses import dataclass

import pytest
from playwright.sync_api import expect

from tests.browser.staged import SIZES, SLOWEST_MS, Staged, broken_rules, complaining, fits, served

expect.set_options(timeout=SLOWEST_MS)
PAGES = ("body", "compare", "way-back", "start", "map")


@dataclass(frozen=True)
class Abel:
    """Where Abel's pages are, and who looks at them."""

    staged: Staged

    @property
    def home(self) -> str:
        return f"{self.staged.address}/lifters/{self.staged.said}"

    def path(self, page: str) -> str:
        return f"{self.home}/{page}"


@pytest.fixture(scope="module")
def abel(tmp_path_factory, browser):
    """A server on the staged gym, and a coach signed in to it once for all tests."""
    for staged in served("tests.browser.mechanics_stage", tmp_path_factory.mktemp("mechanics"), browser):
        yield Abel(staged)


@pytest.fixture(params=list(SIZES))
def window(abel, browser, request):
    """A phone, then a desk."""
    context = abel.staged.open(browser, request.param)
    yield context.new_page()
    context.close()


@pytest.fixture
def page(window):
    """The same, where a script error or a blocked resource fails the test."""
    complaints = complaining(window)
    yield window
    assert complaints == []


def test_every_page_fits_and_breaks_no_rule_of_accessibility_by_day_or_night(abel, window):
    wrong = {}
    for name in PAGES:
        window.goto(abel.path(name))
        assert fits(window), name
        wrong |= {(name, *which): where for which, where in broken_rules(window).items()}
    assert wrong == {}


def test_a_coach_measures_with_tape_and_picture_and_takes_it_back(abel, page):
    page.goto(abel.home)
    page.get_by_role("link", name=re.compile("Proportions")).click()
    page.get_by_label("Floor to crotch").fill("84")
    page.get_by_role("button", name="Save the measures").click()
    expect(page.get_by_role("heading", name="1 of 5 tape measures known")).to_be_visible()
    angles = page.locator("section.measured-angles")
    angles.get_by_label("Set-up", exact=True).select_option(label="Deadlift, from the floor")
    angles.get_by_label("Trunk").fill("300")
    angles.get_by_role("button", name="Save the angles").click()
    expect(page.get_by_role("alert")).to_contain_text("90")
    angles.get_by_label("Trunk").fill("30")
    angles.get_by_role("button", name="Save the angles").click()
    expect(page.get_by_text("As measured: trunk 30°.")).to_be_visible()
    assert fits(page)
    page.goto(abel.path("compare"))
    expect(page.get_by_role("heading", name="as measured: trunk 30°")).to_be_visible()
    page.get_by_role("link", name="Look or take back").click()
    page.get_by_role("button", name=re.compile("Take back")).click()
    expect(page.get_by_text("As measured")).to_have_count(0)
    page.get_by_label("Floor to crotch").fill("")
    page.get_by_role("button", name="Save the measures").click()
    expect(page.get_by_role("heading", name="a tape would tell more")).to_be_visible()


def test_set_ups_stand_beside_one_another_with_their_arms_bands_and_limits(abel, page):
    page.goto(abel.path("compare"))
    figures = page.locator("figure.figures")
    arms = figures.locator("svg:visible text").filter(has_text=re.compile(r"^\d+ cm$"))
    assert arms.count() >= 4
    page.get_by_label("Second").select_option(label="Romanian deadlift")
    page.get_by_label("Third").select_option("")
    page.get_by_label("Fourth").select_option("")
    page.get_by_label("Load, the same on each").fill("60 kg")
    page.get_by_role("button", name="Put them side by side").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("60 kg for the low back")
    sides = page.locator("ol.sides > li")
    expect(sides).to_have_count(2)
    expect(sides.nth(1)).to_contain_text("Same load")
    expect(page.get_by_role("heading", name="What this does not know")).to_be_visible()
    assert fits(page)


def test_the_way_back_leads_down_the_stairs_from_today_or_another_beginning(abel, page):
    page.goto(abel.path("way-back"))
    expect(page.get_by_role("heading", level=1)).to_contain_text("to the full lift from today’s set-up")
    expect(page.locator("svg.stairs:visible")).to_have_count(1)
    page.get_by_label("Begin with").select_option(label="Trap bar, high handles, +10 cm")
    page.get_by_role("button", name="Show").click()
    rows = page.locator("table.way-table tbody tr")
    expect(rows.first).to_contain_text("Trap bar, high handles, +10 cm")
    expect(rows.last).to_contain_text("Deadlift, from the floor, the full lift")
    assert fits(page)


PARTS = ("words", "under", "demand", "bend", "load")


def shown(page, side):
    return [page.locator(f'.mover[data-side="{side}"] [data-part="{part}"]').inner_text() for part in PARTS]


def figure(page, side):
    return page.locator(f'svg.start:visible g[data-side="{side}"]').inner_html()


def test_a_slider_moves_figure_demand_and_load_without_asking_the_server(abel, page):
    with page.expect_response(re.compile(r"/start/deadlift\.json")):
        page.goto(abel.path("start?a=deadlift&a_at=225&b=deadlift&b_at=325"))
    page.wait_for_load_state("networkidle")
    asked = []
    page.on("request", lambda request: asked.append(request.url) if "/lifters/" in request.url else None)
    low, at_225 = shown(page, "a"), figure(page, "a")
    page.locator("#at-a").focus()
    for _ in range(10):
        page.keyboard.press("ArrowRight")
    assert page.locator("#at-a").input_value() == "325"
    assert page.locator("#at-a").get_attribute("aria-valuetext") == "hands at 32.5 cm"
    assert shown(page, "a")[0] == "hands at 32.5 cm"
    assert shown(page, "a")[1] == shown(page, "b")[1]
    assert shown(page, "a")[2:] != low[2:]
    assert figure(page, "a") != at_225
    page.locator("#lift-b").select_option("deadlift")
    page.keyboard.press("Home")
    assert asked == []


def test_what_is_said_of_a_start_stands_one_under_the_other(abel, window):
    window.goto(abel.path("start?a=deadlift&a_at=225&b=deadlift&b_at=325"))
    for side in "ab":
        parts = window.locator(f'.mover[data-side="{side}"] > *:visible').all()
        boxes = [box for part in parts if (box := part.bounding_box()) and box["height"] > 1]
        assert len(boxes) > 4
        assert all(
            above["y"] + above["height"] <= below["y"] + 1 for above, below in itertools.pairwise(boxes)
        )


def test_what_is_said_of_both_starts_stands_on_one_level(abel, window):
    window.goto(abel.path("start?a=deadlift&a_at=225&b=deadlift&b_at=325"))
    for part in (".s-demand svg", ".s-demand b", ".s-bend svg", ".s-bend b", ".s-load"):
        left, right = (window.locator(f".mover {part}").nth(n).bounding_box() for n in (0, 1))
        assert left["y"] == pytest.approx(right["y"], abs=1), part


def test_where_the_server_has_worked_it_out_the_moved_page_says_what_the_server_says(abel, page):
    page.goto(abel.path("start?a=deadlift&a_at=345&b=sumo-deadlift&b_at=405"))
    told, drawn = [shown(page, side) for side in "ab"], [figure(page, side) for side in "ab"]
    page.goto(abel.path("start?a=deadlift&a_at=225&b=sumo-deadlift&b_at=525"))
    page.wait_for_load_state("networkidle")
    for side, stop in (("a", "345"), ("b", "405")):
        page.locator(f"#at-{side}").fill(stop)
    assert [shown(page, side) for side in "ab"] == told
    assert [figure(page, side) for side in "ab"] == drawn


def test_the_same_form_moves_the_start_without_a_script(abel, browser):
    context = browser.new_context(storage_state=abel.staged.state, java_script_enabled=False)
    page = context.new_page()
    page.set_default_timeout(SLOWEST_MS)
    page.goto(abel.path("start"))
    page.locator("#lift-a").select_option("sumo-deadlift")
    page.locator("#at-a").fill("300")
    page.get_by_role("button", name="Show").click()
    expect(page.locator("#lift-a")).to_have_value("sumo-deadlift")
    expect(page.locator(".mover").first).to_contain_text("hands at 30.5 cm")
    context.close()


def test_a_spot_of_the_map_is_chosen_by_a_tap_and_by_keys_without_asking_the_server(abel, page):
    """The bar alone hurt from the floor twice, and was borne on blocks: nothing is sure, from the floor least of all."""
    page.goto(abel.path("map"))
    asked = []
    page.on("request", lambda request: asked.append(request.url) if "/lifters/" in request.url else None)
    picture = page.locator("svg.height-load:visible")
    box = picture.bounding_box()
    says = page.locator("#map-says")
    region = says.locator("[data-region]:visible")
    tapped = []
    for part in (0.95, 0.6):
        picture.click(position={"x": box["width"] * part, "y": box["height"] * 0.25})
        expect(region).to_have_text("too much for now.")
        tapped.append(int(page.locator("#map-load-at").input_value()))
    assert tapped[0] > tapped[1] > 0
    assert page.locator("#map-row").input_value() != "0"
    page.locator("#map-load-at").focus()
    page.keyboard.press("Home")
    expect(region).to_have_text("not sure.")
    page.locator("#map-row").focus()
    page.keyboard.press("Home")
    expect(says).to_contain_text("20 kg, deadlift from the floor")
    expect(says).to_contain_text("A set there is more likely too much than not.")
    before = says.inner_text()
    page.locator("#map-load-at").focus()
    page.keyboard.press("PageUp")
    assert says.inner_text() != before
    assert "row=0" in page.url
    assert asked == []
