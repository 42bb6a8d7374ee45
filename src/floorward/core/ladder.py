"""The plain search for an accepted load, as a function of what has been tested today.

The bar stays at full height while the load changes; the bar goes up only when the lightest load fails there. Down is the
coach's way: one rung under the load that hurt, then two, then the lightest load and up again. Up starts at the lightest
load. Nothing is remembered between calls: the same record gives the same next step, also when the coach tested another
load than the one proposed. All thresholds are our own, in tables/ladder.toml.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from floorward.core.loadable import at_or_under, next_above, rung_below
from floorward.core.raised_start import lightest_failed
from floorward.core.search import (
    Direction,
    Search,
    Step,
    StepKind,
    Test,
    at_full_height,
    best_test,
    failed_loads,
    found,
    is_acceptable,
    nothing,
)
from floorward.tables import value

__all__ = [
    "Direction",
    "FirstDay",
    "Search",
    "Step",
    "StepKind",
    "Test",
    "acceptable_at_rest",
    "first_day_limits",
    "is_acceptable",
    "next_step",
    "one_rung_down_now",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstDay:
    """The most that the first training day after a search may hold."""

    reps: int
    sets: int


def next_step(search: Search) -> Step:
    """The next test of `search`, or its result.

    Raises:
        StopIteration: never; the last phase always answers.
    """
    return next(step for phase in PHASES if (step := phase(search)))


def acceptable_at_rest(pain: int, rest_pain: int) -> bool:
    """Whether the lightest load will do on a day that hurts at rest: at most one point more than at rest, and at most 5."""
    margin: int = value("ladder", "rest", "margin")
    most: int = value("ladder", "rest", "most")
    return pain <= min(rest_pain + margin, most)


def first_day_limits(tested_reps: int) -> FirstDay:
    """How much the first training day may hold after tests of `tested_reps` repetitions."""
    return FirstDay(
        reps=tested_reps + value("ladder", "first_day", "more_reps"),
        sets=value("ladder", "first_day", "sets"),
    )


def one_rung_down_now(
    loads: Sequence[Decimal], load: Decimal, pain: int, ceiling_set: int, percent: Decimal
) -> Decimal | None:
    """The load for the rest of today's sets when one hurt more than the ceiling; None when it did not.

    At the lightest load it stays the lightest: then the lift ends for today.
    """
    return rung_below(loads, load, percent) if pain > ceiling_set else None


def _spreading(search: Search) -> Step | None:
    if any(test.spreading for test in search.tests):
        return Step(kind=StepKind.STOP, reason="spreading", height_mm=search.full_height_mm)
    return None


def _hurts_at_rest(search: Search) -> Step | None:
    """A sore day is no day to find a limit; a ceiling of 0 still lets a lifter without pain search."""
    rest = search.rest_pain
    if rest is None or rest < max(search.ceiling, 1):
        return None
    lightest = search.loads[0]
    good = [
        t for t in search.tests if t.load == lightest and t.acceptable and acceptable_at_rest(t.pain, rest)
    ]
    if good:
        return found(search, "rest-pain", lightest, good[-1].height_mm)
    offers = ("unloaded", "unaffected") if search.tests else ("unloaded", "lightest", "unaffected")
    load = None if search.tests else lightest
    return Step(
        kind=StepKind.STOP, reason="rest-pain", load=load, height_mm=search.full_height_mm, offers=offers
    )


def _climb(search: Search) -> Step | None:
    """From the heaviest acceptable load upward, until something says stop."""
    best = best_test(search)
    if best is None:
        return None
    ended = _end_of_climb(search, best)
    load = None if ended else _next_on_climb(search, best)
    if load is None:
        return found(search, ended or "nothing-between", best.load, search.full_height_mm)
    reason = "climb-halved" if _halved(search) else "climb"
    return _test(search, reason, load)


def _end_of_climb(search: Search, best: Test) -> str:
    if search.ceiling and best.pain == search.ceiling:
        return "at-ceiling"
    verdicts = [is_acceptable(search, test) for test in at_full_height(search)]
    if False in verdicts[verdicts.index(True) :]:
        return "unacceptable"
    return "three-unacceptable" if verdicts.count(False) >= value("ladder", "stop", "unacceptable") else ""


def _next_on_climb(search: Search, best: Test) -> Decimal | None:
    top = _top_of_climb(search)
    jump = search.usual_load / value("ladder", "climb", "parts") / (2 if _halved(search) else 1)
    load = at_or_under(search.loads, min(best.load + jump, top))
    if load is None or load <= best.load:
        load = next_above(search.loads, best.load)
    return load if load is not None and load <= top else None


def _top_of_climb(search: Search) -> Decimal:
    """One rung under the load that hurt before; two under the lightest that failed today."""
    top = rung_below(search.loads, search.provoking_load, search.rung_percent)
    failed = failed_loads(search)
    if not failed:
        return top
    return min(top, _rungs_under(search, min(failed), value("ladder", "down", "rungs_under_failure")))


def _halved(search: Search) -> bool:
    """Jumps shrink once a set near the present load has hurt enough; failures high up on the way down do not count."""
    failed = min(failed_loads(search), default=None)
    near = [t.pain for t in at_full_height(search) if failed is None or t.load < failed]
    halve_at: int = value("ladder", "climb", "halve_at")
    return max(near, default=0) >= halve_at


def _enough(search: Search) -> Step | None:
    failed = [test for test in search.tests if not is_acceptable(search, test)]
    if len(failed) >= value("ladder", "stop", "unacceptable"):
        return nothing(search, "three-unacceptable", ("unloaded", "unaffected"))
    return None


def _begin(search: Search) -> Step:
    """The first tests: down by one rung, by two, then the lightest; or the lightest at once."""
    failed = failed_loads(search)
    if search.direction is Direction.UP or len(failed) > 1:
        return _test(search, "lightest", search.loads[0])
    if not failed:
        return _test(search, "one-rung-under", _rungs_under(search, search.provoking_load, 1))
    rungs = value("ladder", "down", "rungs_after_one")
    return _test(search, "two-rungs-under", _rungs_under(search, min(failed), rungs))


def _rungs_under(search: Search, load: Decimal, rungs: int) -> Decimal:
    for _ in range(rungs):
        load = rung_below(search.loads, load, search.rung_percent)
    return load


def _test(search: Search, reason: str, load: Decimal) -> Step:
    best = best_test(search)
    return Step(
        kind=StepKind.TEST,
        reason=reason,
        load=load,
        height_mm=search.full_height_mm,
        accepted_load=best.load if best else None,
        accepted_height_mm=search.full_height_mm if best else None,
    )


PHASES: tuple[Callable[[Search], Step | None], ...] = (
    _spreading,
    _hurts_at_rest,
    _climb,
    lightest_failed,
    _enough,
    _begin,
)
