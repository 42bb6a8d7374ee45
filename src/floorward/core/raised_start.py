"""When the lightest load fails at full height: once more, then the bar goes up to just below the knee and comes down by halves.

The result is the lowest height at which the lightest load was acceptable, to a centimetre of what can be built.
"""

from collections.abc import Iterable, Sequence

from floorward.core.body import links_of
from floorward.core.heights import Stand
from floorward.core.records import Person
from floorward.core.search import (
    Search,
    Step,
    StepKind,
    at_full_height,
    found,
    is_acceptable,
    is_raised,
    nothing,
)
from floorward.tables import value


def raised_heights_mm(person: Person, stands: Iterable[Stand], full_height_mm: int) -> tuple[int, ...]:
    """Heights of the hands that a raised start may use, ascending: above full height, the last one just below the knee.

    Stands are what the gym can build under the plates of the lightest load.
    """
    ankle_m, shank_m = links_of(person).mean_m[:2]
    most_mm = 1000 * (ankle_m + shank_m) - value("ladder", "height", "under_knee")
    heights = {round(stand.height_mm) for stand in stands}
    return tuple(sorted(height for height in heights if full_height_mm < height <= most_mm))


def lightest_failed(search: Search) -> Step | None:
    """The lightest load failed at full height: once more, then from just below the knee downward by halves."""
    lightest = search.loads[0]
    tried = [test for test in at_full_height(search) if test.load == lightest]
    if not tried:
        return None
    since = search.tests[search.tests.index(tried[0]) :]
    failed = [test for test in since if not is_acceptable(search, test)]
    if max(test.pain for test in failed) > value("ladder", "lightest", "repeat_pain_most"):
        return _height_found(search) or nothing(search, "too-much-today", ("unloaded",))
    if len(failed) > value("ladder", "lightest", "more_unacceptable"):
        return _height_found(search) or nothing(search, "no-height", ("variations", "unloaded"))
    if len(since) == 1:
        return Step(
            kind=StepKind.REPEAT, reason="repeat-lightest", load=lightest, height_mm=search.full_height_mm
        )
    return _raise(search) or _height_found(search) or nothing(search, "no-height", ("variations", "unloaded"))


def _raise(search: Search) -> Step | None:
    heights = _raised_heights(search)
    good, bad = _tested_heights(search)
    if not good:
        return _raised(search, "raised-start", heights[-1]) if heights and heights[-1] not in bad else None
    highest_bad = max((h for h in bad if h < min(good)), default=search.full_height_mm)
    middle = _middle(heights, highest_bad, min(good))
    return _raised(search, "halve-height", middle) if middle and not _at_ceiling(search, min(good)) else None


def _middle(heights: Sequence[int], low_mm: int, high_mm: int) -> int | None:
    """The buildable height nearest to half-way, the higher of two; None when low and high are as good as the same."""
    between = [h for h in heights if low_mm < h < high_mm]
    if high_mm - low_mm <= value("ladder", "height", "resolution") or not between:
        return None
    return min(between, key=lambda h: (abs(2 * h - low_mm - high_mm), -h))


def _at_ceiling(search: Search, height_mm: int) -> bool:
    return any(t.height_mm == height_mm and search.ceiling and t.pain >= search.ceiling for t in search.tests)


def _height_found(search: Search) -> Step | None:
    good, _ = _tested_heights(search)
    return found(search, "lowest-height", search.loads[0], min(good)) if good else None


def _tested_heights(search: Search) -> tuple[set[int], set[int]]:
    raised = [test for test in search.tests if is_raised(search, test.height_mm)]
    bad = {test.height_mm for test in raised if not is_acceptable(search, test)}
    return {test.height_mm for test in raised} - bad, bad


def _raised_heights(search: Search) -> list[int]:
    return [height for height in search.heights_mm if is_raised(search, height)]


def _raised(search: Search, reason: str, height_mm: int) -> Step:
    good, _ = _tested_heights(search)
    return Step(
        kind=StepKind.RAISE,
        reason=reason,
        load=search.loads[0],
        height_mm=height_mm,
        accepted_load=search.loads[0] if good else None,
        accepted_height_mm=min(good, default=None),
    )
