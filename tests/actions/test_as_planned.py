"""One tap says "as planned": the load, the repetitions, and no more effort than was planned."""

from decimal import Decimal

import pytest

from floorward.actions.done_sets import SetReport, log_set
from floorward.storage.models import Line, Session
from tests.conftest import at

NOW = at("2026-11-23 18:40")


@pytest.fixture
def line(lifter):
    """Three fives at 95 kg, to be stopped at RPE 7."""
    session = Session.objects.create(lifter=lifter, day=NOW.date(), started_at=NOW)
    planned = {
        "lift": "deadlift",
        "load": Decimal(95),
        "unit": "kg",
        "sets": 3,
        "reps": 5,
        "target_rpe": Decimal(7),
    }
    return Line.objects.create(
        session=session, order=1, role="usual", bar=lifter.gym.bars.get(name="Bar 1"), **planned
    )


def done(line, coach, **other):
    report = SetReport(**{"kind": "work", "load": Decimal(95), "unit": "kg", "reps": 5, "pain": 2} | other)
    return log_set(line, report, by=coach, now=NOW).row


def test_a_set_done_as_planned_took_the_planned_effort(line, coach):
    assert done(line, coach).rpe == 7


def test_what_was_said_of_the_effort_stands(line, coach):
    assert done(line, coach, rpe=Decimal(9)).rpe == 9


@pytest.mark.parametrize("other", [{"reps": 4}, {"load": Decimal(100)}, {"kind": "warm-up"}])
def test_nothing_is_made_up_for_a_set_that_was_not_as_planned(line, coach, other):
    assert done(line, coach, **other).rpe is None
