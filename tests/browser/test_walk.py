"""A walk over every page of the demo gym: every eye, every width, every thumb.

A route that is neither walked to nor named below with a reason fails: whoever adds a page adds it here, or says why not.
"""

import itertools
import os
import re
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing

import pytest
from axe_playwright_python.base import AXE_SCRIPT
from django.urls import get_resolver, reverse
from playwright.sync_api import Error, expect

from tests.browser import evening
from tests.browser.conftest import _wait, free_port
from tests.browser.staged import RULES

SLOWEST_MS = 120_000
WIDTHS = {390: 844, 820: 1180, 1280: 800}
LEAST_PX = 44

NOT_WALKED = {
    "start-demo": "takes a press, which begins the walk",
    "leave-demo": "ends the walk",
    "own-calendar": "a calendar",
    "coach-calendar": "a calendar",
    "own-archive": "a download",
    "lifter-archive": "a download",
    "import-template": "a download",
    "card-pdf": "a download",
    "start-track": "numbers for a script",
    "service-worker": "a script",
    "alive": "a sign of life without words",
    "sign-in-code": "needs a second key",
    "own-key-confirm": "needs a second key that is being set up",
    "switch-person": "opens another person's pages",
    "add-line": "leads to the plan where no lift is named",
    "start": "leads on to Today while somebody is signed in; the walk begins there",
}
FIRST = {"sign-in": "/sign-in", "start-own": "/start/own", "start": "/"}

# elements that a thumb aims at, and are too small for it; links inside a sentence are no targets of their own
SMALL = """least => {
  const small = [];
  const shown = one => one.checkVisibility({ visibilityProperty: true, opacityProperty: true });
  for (const one of document.querySelectorAll('a[href], button, select, summary, input:not([type=hidden]), textarea')) {
    const label = one.matches('[type=radio], [type=checkbox]') ? one.closest('label') : null;
    const aimed = label ?? one;
    if (!shown(aimed) || one.closest('.skip, [hidden]') || one.matches('.skip')) continue;
    const box = aimed.getBoundingClientRect();
    if (box.width <= 1 || box.height <= 1) continue;
    const words = [...(one.parentElement?.childNodes ?? [])].some(node => node.nodeType === 3 && node.textContent.trim());
    if (one.matches('a') && getComputedStyle(one).display === 'inline' && (words || one.closest('p, td, th, li, dd, figcaption, .note, .prose'))) continue;
    if (Math.min(box.width, box.height) < least - 0.5) small.push(`${one.tagName.toLowerCase()} "${(one.textContent || one.name || one.ariaLabel || '').trim().slice(0, 30)}" ${Math.round(box.width)} x ${Math.round(box.height)}`);
  }
  return [...new Set(small)].slice(0, 6);
}"""


# night changes colours and nothing else, so the rules about colours are the ones that it can break
COLOURS = {"runOnly": ["color-contrast", "link-in-text-block"]}
BROKEN = """options => axe.run(document, { ...options, resultTypes: ['violations'] }).then(found =>
  found.violations.map(one => `${one.id} ${JSON.stringify(one.nodes.slice(0, 3).map(node => node.target))}`))"""


@pytest.fixture(scope="module")
def gym(tmp_path_factory):
    """A server on a folder with a demo gym; its address and its database."""
    folder = tmp_path_factory.mktemp("walk")
    command = [sys.executable, "-m", "floorward.cli"]
    subprocess.run([*command, "demo", "--data", str(folder)], check=True, capture_output=True)
    port = free_port()
    with (folder / "console").open("w") as console:
        process = subprocess.Popen(
            [*command, "serve", "--port", str(port), "--data", str(folder)],
            env={**os.environ, "DATA": str(folder)},
            stdout=console,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
    try:
        _wait(f"http://127.0.0.1:{port}/alive", folder / "console")
        yield f"http://127.0.0.1:{port}", folder / "demo" / "floorward.sqlite3"
    finally:
        os.killpg(process.pid, signal.SIGKILL)
        process.wait(10)


@pytest.fixture
def page(gym, browser):
    """A window before anybody has signed in."""
    context = browser.new_context(base_url=gym[0], service_workers="block")
    context.set_default_timeout(SLOWEST_MS)
    yield context.new_page()
    context.close()


def numbers(database):
    """What stands in the addresses: the story of the first lifter of the demo."""
    with closing(sqlite3.connect(database)) as base:

        def one(table, column="MIN(id)", **of):
            where = " AND ".join(f"{name} = ?" for name in of) or "1"
            sql = f"SELECT {column} FROM storage_{table} WHERE {where}"  # noqa: S608 - our own words
            return base.execute(sql, tuple(of.values())).fetchone()[0]

        lifter = one("lifter", name="Abel Norwood")
        session = one("doneset", "MIN(session_id)", kind="work")  # the first who trained here
        return {
            "lifter_id": lifter,
            "session_id": session,
            "episode_id": one("episode", lifter_id=lifter),
            "stopped_id": one("lifter", name="Kit Sorrel"),
            "halloran_episode_id": one("episode", lifter_id=one("lifter", name="Ines Halloran")),
            "screening_id": one("screening"),
            "line_id": one("line", session_id=session),
            "set_id": one("doneset", session_id=session),
            "best_id": one("bestset", lifter_id=lifter),
            "row_id": one("barrow"),
            "staff_id": one("staff", "MAX(id)"),
            "kind": "bars",
            "what": "leave",
            "lift": "deadlift",
            "code": "first",
        }


def addresses(known):
    """Every address that may be looked at, by the name of its route."""
    special = {
        "help-page": {"name": "how-to/session"},
        "help-table": {"name": "links"},
    }
    found = {}
    for pattern in get_resolver().url_patterns:
        if pattern.name not in NOT_WALKED:
            parts = special.get(pattern.name, {})
            found[pattern.name] = reverse(
                pattern.name,
                kwargs={name: {**known, **parts}.get(name, 1) for name in pattern.pattern.converters},
            )
    return found


def begun(page, known):
    """A search that is being worked on."""
    page.goto(reverse("find", args=[known["episode_id"]]))
    evening.begin_search(page, direction="under the load that hurt, and down")
    page.wait_for_url("**/searches/*")
    return int(page.url.split("/")[-1])


def brought_in(page):
    """A table that waits to be told what its columns are."""
    page.goto(reverse("imports"))
    table = {
        "name": "log.csv",
        "mimeType": "text/csv",
        "buffer": b"date,name,exercise,weight,reps\n2026-01-05,Abel Norwood,deadlift,100,5\n",
    }
    page.locator("input[type=file]").set_input_files(table)
    page.locator("main form:has(input[type=file]) button").first.click()
    page.wait_for_url("**/gym/imports/*")
    return int(page.url.split("/")[-1])


def complaints(page, name):
    """What is wrong with the page that is open."""
    wrong = []
    for width, height in WIDTHS.items():
        page.set_viewport_size({"width": width, "height": height})
        over = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        if over > 0:
            wrong.append(f"{name} at {width}: {over} px too wide")
        wrong += [f"{name} at {width}: {one}" for one in page.evaluate(SMALL, LEAST_PX)]
    page.evaluate(AXE_SCRIPT)
    for scheme, rules in (("light", RULES), ("dark", COLOURS)):
        page.emulate_media(color_scheme=scheme)
        wrong += [f"{name}, {scheme}: {one}" for one in page.evaluate(BROKEN, rules)]
    page.emulate_media(color_scheme="light")
    return wrong


def test_every_page_fits_every_width_breaks_no_rule_and_has_targets_for_a_thumb(gym, page):
    wrong, unseen = [], []
    for name, address in FIRST.items():
        page.goto(address)
        wrong += complaints(page, name)
    page.goto("/")
    page.get_by_role("button", name="Look round the demo gym").click()
    known = numbers(gym[1])
    page.goto(reverse("link", args=[known["lifter_id"]]))
    page.get_by_role("button", name=re.compile("^Make a")).click()
    token = page.get_by_role("link", name="Open it here").get_attribute("href").rstrip("/").split("/")[-1]
    known = {**known, "token": token, "search_id": begun(page, known), "import_id": brought_in(page)}
    for name, address in addresses(known).items():
        if name in FIRST:
            continue
        try:
            answer = page.goto(address)
        except Error:  # an answer without a page
            answer = page.request.get(address, max_redirects=0)
        if answer.status == 405:
            continue  # takes presses only
        if answer.status != 200 or not answer.url.endswith(address):
            unseen.append(f"{name}: {answer.status} {address} led to {answer.url}")
            continue
        wrong += complaints(page, name)
    assert unseen == []
    assert wrong == []


def left_of(page, selector):
    """Where the words of an element begin."""
    return page.locator(selector).first.evaluate(
        "one => { const all = document.createRange(); all.selectNodeContents(one); return all.getBoundingClientRect().left; }"
    )


def test_on_the_pages_of_a_lifter_things_stand_in_line(gym, page):
    """Names of pages, second columns, lesser choices, pictures."""
    page.goto("/")
    page.get_by_role("button", name="Look round the demo gym").click()
    known = numbers(gym[1])
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(reverse("lifter", args=[known["lifter_id"]]))
    tabs = page.locator(".tabs")
    assert tabs.evaluate("one => one.scrollWidth - one.clientWidth") == 0
    assert left_of(page, "form > .block.quiet:not([aria-label])") == pytest.approx(
        left_of(page, ".about h2"), abs=1
    )
    page.set_viewport_size({"width": 820, "height": 1180})
    second = page.locator(".about > .stack").nth(1)
    assert second.bounding_box()["x"] == pytest.approx(
        page.locator(".overview > aside").bounding_box()["x"], abs=1
    )
    page.goto(reverse("plan", args=[known["session_id"]]))
    words, line = (page.locator(part).first.bounding_box() for part in (".p-what", ".planned .line"))
    assert words["width"] > line["width"] / 2
    page.goto(reverse("today"))
    day, whose = (page.locator(part).bounding_box() for part in (".top h1", ".whose"))
    assert whose["y"] < day["y"] + day["height"]
    page.set_viewport_size({"width": 1280, "height": 800})
    page.goto(reverse("progress", args=[known["stopped_id"]]))  # nothing trained, so no pictures
    assert page.locator("aside").bounding_box()["x"] == page.locator("h1").bounding_box()["x"]


# the least size of words in a drawing, as they are seen
LEAST_WORDS = """() => Math.min(...[...document.querySelectorAll('svg text')].filter(one => one.getBoundingClientRect().width).map(one =>
  parseFloat(getComputedStyle(one).fontSize) * one.getScreenCTM().a))"""


@pytest.mark.parametrize("width", WIDTHS)
def test_words_in_the_pictures_of_a_search_are_never_scaled_down_and_its_left_side_has_no_holes(
    gym, page, width
):
    page.goto("/")
    page.get_by_role("button", name="Look round the demo gym").click()
    page.goto(reverse("find", args=[numbers(gym[1])["halloran_episode_id"]]))
    page.set_viewport_size({"width": width, "height": WIDTHS[width]})
    if page.locator(".room").count():
        evening.begin_search(page, direction="by the model: each set where it teaches most")
    else:
        page.get_by_role("link", name="Go on").click()
    expect(page.locator("svg.height-load:visible")).to_have_count(1)
    assert page.evaluate(LEAST_WORDS) > 10.5
    boxes = [part.bounding_box() for part in page.locator("main > :not(.beside)").all()]
    if width >= 820:
        assert all(
            below["y"] - above["y"] - above["height"] < 40 for above, below in itertools.pairwise(boxes)
        )
