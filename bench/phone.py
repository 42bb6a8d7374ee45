"""How soon a key of the session page can be pressed on a phone that opened it before: on a slow line, and on none.

The page is opened on a line of the tests' own (`tests/browser/line.py`), because the browser's own network conditions leave out what a
service worker asks for. "Slow 3G" is 400 kbit/s and 400 ms for each round trip; the next row has 2 s for each.
Each figure is the median of `RUNS` openings up to the end of DOMContentLoaded, when the scripts of the page have run, and the bytes are
those of the answers with their heads. `python -m bench phone`
"""

import statistics
from collections.abc import Iterator
from contextlib import contextmanager

from bench import moved
from bench.staged_gym import staged_gym

RUNS = 5
BYTES_PER_S = 400_000 / 8
ROUND_TRIP_S = 0.4
FAR_S = 2.0
# of every page that comes up, for the first of them stands for the opening: what comes late turns the page
NOTE = "addEventListener('load', () => sessionStorage.ready ??= performance.getEntriesByType('navigation')[0].domContentLoadedEventEnd)"
WAIT_MS = 4500  # until what came late is there as well: the answer, and the page turned over to it


def figures() -> list[tuple[str, object, str, str]]:
    from tests.browser.line import Line

    with opened() as (page, address, line):
        assert isinstance(line, Line)
        first = line.came
        line.forget()
        page.goto(address, wait_until="networkidle")
        again = line.came
        near = ready(page, address)
        line.bytes_per_s, line.round_trip_s = BYTES_PER_S, ROUND_TRIP_S
        slow = ready(page, address)
        line.round_trip_s = FAR_S
        far = ready(page, address, wait_ms=WAIT_MS + 3000 * FAR_S)
        line.round_trip_s, line.held = 0, lambda _: True
        silent = ready(page, address)
        line.held = lambda _: False
    return [
        ("session page, the first opening", first / 1000, "KB", "aim ≤ 100"),
        ("session page, the next opening", again / 1000, "KB", "aim ≤ 10"),
        ("ready for a key, second opening, this computer", near, "ms", ""),
        ("the same on Slow 3G (400 kbit/s, 400 ms)", slow / near, "×", f"aim < 1000 ms; {slow:.0f} ms"),
        ("the same, 2 s for each round trip", far / near, "×", f"aim < 1000 ms; {far:.0f} ms"),
        ("the same, a server that does not answer", silent / near, "×", f"aim < 1000 ms; {silent:.0f} ms"),
        *moved.figures(),
    ]


@contextmanager
def opened() -> Iterator[tuple]:
    """A phone at a staged session, opened for the first time on a line that has counted that opening alone."""
    from tests.browser.line import Line

    with staged_gym("tests.browser.stage") as (browser, staged):
        line = Line(int(staged.address.rsplit(":", 1)[1]))
        context = browser.new_context(
            base_url=line.address, viewport={"width": 390, "height": 844}, storage_state=staged.state
        )
        context.add_init_script(NOTE)
        page, address = context.new_page(), f"/sessions/{staged.said}"
        page.goto(address, wait_until="networkidle")
        page.evaluate("navigator.serviceWorker.ready")
        page.wait_for_timeout(1000)
        yield page, address, line
        line.close()


def ready(page, address: str, *, wait_ms: float = WAIT_MS) -> float:
    """Milliseconds from asking for the page until its scripts have run."""
    runs = []
    page.wait_for_timeout(wait_ms)  # a page that is about to turn would break off the next one asked for
    for _ in range(RUNS):
        page.evaluate("sessionStorage.removeItem('ready')")
        page.goto(address)
        page.wait_for_timeout(wait_ms)
        runs.append(float(page.evaluate("sessionStorage.ready")))
    return statistics.median(runs)
