"""One evening at the platform and the next morning, worked out by hand.

Usual 200 kg hurt 7 of 10. Bar 20 kg, 2.5 kg steps, the gym's ceilings as shipped.
"""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from floorward.core.ladder import Direction, Search, StepKind, Test, first_day_limits, next_step
from floorward.core.plan_change import next_load
from floorward.core.rules import Change, Exposure, propose, settled_in_row

LOADS = tuple(Decimal(20) + Decimal("2.5") * step for step in range(93))
MONDAY = date(2026, 3, 2)
SEARCH = Search(loads=LOADS, provoking_load=Decimal(200), usual_load=Decimal(200), direction=Direction.DOWN)
EVENING = (("180", 6, False), ("142.5", 5, False), ("20", 0, True), ("45", 0, True))
EVENING += (("70", 1, True), ("95", 2, True), ("107.5", 3, True))
TRAINED = Exposure(
    day=MONDAY, load=Decimal(95), reps=5, target_reps=5, rpe=7, before=1, during=2, after=1, morning=1
)


def logged(count: int) -> Search:
    rows = EVENING[:count]
    return replace(
        SEARCH, tests=tuple(Test(load=Decimal(kg), pain=pain, acceptable=ok) for kg, pain, ok in rows)
    )


@pytest.mark.parametrize("count", range(len(EVENING)))
def test_each_set_of_the_evening_is_the_one_proposed(count):
    step = next_step(logged(count))
    assert step.kind is StepKind.TEST
    assert step.load == Decimal(EVENING[count][0])
    assert step.height_mm == 225


def test_the_evening_ends_at_the_ceiling_and_training_starts_a_rung_under():
    step = next_step(logged(len(EVENING)))
    assert (step.kind, step.reason) == (StepKind.DONE, "at-ceiling")
    assert (step.accepted_load, step.accepted_height_mm) == (Decimal("107.5"), 225)
    assert step.training_load == Decimal(95)


def test_the_first_day_is_short():
    limits = first_day_limits(tested_reps=3)
    assert (limits.reps, limits.sets) == (5, 3)


@pytest.mark.parametrize(
    ("morning", "change", "load"),
    [(1, Change.FORWARD, "97.5"), (None, Change.HOLD, "95"), (3, Change.BACK, "85")],
)
def test_the_morning_decides_the_next_load(morning, change, load):
    done = (replace(TRAINED, morning=morning),)
    ruling = propose(done, today=MONDAY + timedelta(days=1))
    assert ruling.change is change
    assert next_load(ruling, Decimal(95), LOADS, settled_in_row=settled_in_row(done)) == Decimal(load)
