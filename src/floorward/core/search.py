"""The nouns of a search for an accepted load, and what can be read off its record.

Loads are decimals in the unit of one bar; heights are where the hands grip, in millimetres above the platform.
"""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from floorward.core.loadable import rung_below
from floorward.core.records import FULL_HEIGHT_MM
from floorward.tables import value


class Direction(StrEnum):
    """Which end of the loads the search begins at."""

    DOWN = "down"
    UP = "up"


class StepKind(StrEnum):
    """What to do next: a set at a load, the same set again, a set with the bar raised, or no more sets."""

    TEST = "test"
    REPEAT = "repeat"
    RAISE = "raise"
    DONE = "done"
    STOP = "stop"


@dataclass(frozen=True, slots=True, kw_only=True)
class Test:
    """One set of a search as it was done; `load` in the unit of the bar, `pain` the worst of the set."""

    __test__ = False  # a word of the trade, not a test of this program

    load: Decimal
    height_mm: int = FULL_HEIGHT_MM
    reps: int = 3
    pain: int
    acceptable: bool
    spreading: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """All that a search knows.

    Attributes:
        loads: what can be loaded, ascending; the first is the lightest load at full height.
        provoking_load: the load that hurt.
        usual_load: what the lifter usually does for such a set; the climb's jumps are a share of it.
        rest_pain: pain before any set today, None when not asked.
        heights_mm: heights above full height that can be built, ascending, the last one just below the knee.
        full_height_mm: where the bar stands today at full height.
        tests: today's tests, in order; warm-up sets are not among them.
    """

    loads: tuple[Decimal, ...]
    provoking_load: Decimal
    usual_load: Decimal
    direction: Direction = Direction.UP
    ceiling: int = value("protocol", "ceiling_finding")
    rung_percent: Decimal = Decimal(value("protocol", "rung_percent"))
    rest_pain: int | None = None
    heights_mm: tuple[int, ...] = ()
    full_height_mm: int = FULL_HEIGHT_MM
    tests: tuple[Test, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """What comes next, and what has been found so far.

    Attributes:
        load: the load of the next set; with `rest-pain` the load on offer; else None.
        reason: code of why.
        accepted_load: heaviest acceptable load at `accepted_height_mm`, None while there is none.
        training_load: one rung under it; where training starts.
        offers: what is left when no load at full height was found.
    """

    kind: StepKind
    reason: str
    load: Decimal | None = None
    height_mm: int = FULL_HEIGHT_MM
    accepted_load: Decimal | None = None
    accepted_height_mm: int | None = None
    training_load: Decimal | None = None
    offers: tuple[str, ...] = ()


def usual_direction(days: int) -> Direction:
    """Where a search begins `days` after the pain began, unless the coach chooses: from below while it is fresh."""
    return Direction.UP if days <= value("ladder", "up", "days_most") else Direction.DOWN


def is_acceptable(search: Search, test: Test) -> bool:
    """Whether a test counts: at or under the ceiling, called acceptable, nothing spreading."""
    return test.pain <= search.ceiling and test.acceptable and not test.spreading


def is_raised(search: Search, height_mm: int) -> bool:
    """Whether `height_mm` is above full height by more than a lifter would notice."""
    tolerance_mm: int = value("ladder", "height", "resolution")
    return height_mm > search.full_height_mm + tolerance_mm


def at_full_height(search: Search) -> list[Test]:
    """Today's tests with the bar where a full pull starts."""
    return [test for test in search.tests if not is_raised(search, test.height_mm)]


def failed_loads(search: Search) -> list[Decimal]:
    """Loads whose latest set at full height was not acceptable."""
    latest = {test.load: is_acceptable(search, test) for test in at_full_height(search)}
    return [load for load, good in latest.items() if not good]


def best_test(search: Search) -> Test | None:
    """The heaviest acceptable set at full height that is lighter than every load that failed."""
    failed = min(failed_loads(search), default=None)
    good = [
        t for t in at_full_height(search) if is_acceptable(search, t) and (failed is None or t.load < failed)
    ]
    return max(good, key=lambda test: test.load, default=None)


def found(search: Search, reason: str, load: Decimal, height_mm: int) -> Step:
    """The end of a search that found `load` at `height_mm`; training starts one rung under it."""
    return Step(
        kind=StepKind.DONE,
        reason=reason,
        height_mm=height_mm,
        accepted_load=load,
        accepted_height_mm=height_mm,
        training_load=rung_below(search.loads, load, search.rung_percent),
    )


def nothing(search: Search, reason: str, offers: tuple[str, ...]) -> Step:
    """The end of a search that found no load today, and what is on offer instead."""
    return Step(kind=StepKind.STOP, reason=reason, height_mm=search.full_height_mm, offers=offers)
