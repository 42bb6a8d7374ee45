"""Smallest change a 0–10 score can tell from noise: 2 points. Childs 2005, Spine 30:1331."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from floorward.core.belief import report_noise, setting
from floorward.core.plan_change import next_load
from floorward.core.rules import Change, Exposure, propose

LOADS = tuple(Decimal(20) + Decimal("2.5") * step for step in range(73))
DONE = Exposure(
    day=date(2026, 3, 2),
    load=Decimal(100),
    reps=5,
    target_reps=5,
    rpe=7,
    before=1,
    during=2,
    after=1,
    morning=1,
)


@pytest.mark.parametrize(("morning", "change", "load"), [(2, Change.HOLD, 100), (3, Change.BACK, 90)])
def test_one_point_of_morning_pain_holds_and_two_step_back_a_rung(morning, change, load):
    ruling = propose((replace(DONE, morning=morning),), today=date(2026, 3, 3))
    assert ruling.change is change
    assert next_load(ruling, Decimal(100), LOADS) == load


def test_reports_of_a_steady_lifter_stray_as_far_as_measured():
    """Standard error of a report over days: 1.02 points, here of noise and good and bad days together."""
    noise = report_noise()
    by_day = setting("prior", "slope") * setting("day", "deviation")
    assert ((noise.share * noise.deviation**2).sum() + by_day**2) ** 0.5 == pytest.approx(1.02, abs=0.1)
