"""2–10 % more once the repetitions are there: American College of Sports Medicine 2009, Med Sci Sports Exerc 41:687."""

from datetime import date
from decimal import Decimal

import pytest

from floorward.core.plan_change import next_load
from floorward.core.protocol import protocol_from
from floorward.core.rules import Exposure, propose

LOADS = tuple(Decimal(20) + Decimal("2.5") * step for step in range(73))
DONE = Exposure(
    day=date(2026, 3, 2),
    load=Decimal(100),
    reps=6,
    target_reps=5,
    rpe=7,
    before=1,
    during=1,
    after=1,
    morning=1,
)


@pytest.mark.parametrize("percent", [2, 5, 10])
def test_a_step_forward_from_100_kilograms_is_within_two_to_ten_percent(percent):
    protocol, _ = protocol_from({"forward_percent": percent})
    ruling = propose((DONE,), protocol, today=date(2026, 3, 3))
    assert Decimal("102.5") <= next_load(ruling, Decimal(100), LOADS, protocol) <= 110


@pytest.mark.parametrize("percent", [1, 11])
def test_a_gym_may_not_leave_that_range(percent):
    assert protocol_from({"forward_percent": percent})[1]
