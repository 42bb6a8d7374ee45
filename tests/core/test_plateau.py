"""A lift that has stopped moving: six weeks of a deadlift that was 200 kg, twice a week."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from floorward.core.exposures import Exposure
from floorward.core.plateau import is_plateau

START = date(2026, 3, 2)
TODAY = START + timedelta(days=42)
STUCK = (80, 85, 90, 90, 90, 90, 90, 90, 90, 90, 90, 90)


def evening(number, load, **more):
    about = {"height_mm": 225, "reps": 5, "target_reps": 5, "during": 2, "sets": 3, **more}
    return Exposure(day=START + timedelta(days=round(3.5 * number)), load=Decimal(load), **about)


def weeks(*loads, **last):
    """One evening after another; what is different is said of the last."""
    usual = [evening(number, load) for number, load in enumerate(loads)]
    return [*usual[:-1], evening(len(loads) - 1, loads[-1], **last)]


def stuck(exposures, goal=180):
    return is_plateau(exposures, TODAY, goal=Decimal(goal), full_mm=225, ceiling=5)


def test_three_weeks_at_the_same_load_are_a_plateau():
    assert stuck(weeks(*STUCK))


@pytest.mark.parametrize("last", [{"height_mm": 205}, {"sets": 4}, {"setup": "trap-bar"}])
def test_a_lower_bar_another_set_or_another_set_up_is_a_step(last):
    assert not stuck(weeks(*STUCK, **last))


def test_one_heavier_evening_is_a_step_when_it_was_acceptable():
    assert not stuck(weeks(*STUCK[:-1], 95))
    assert stuck(weeks(*STUCK[:-1], 95, during=6))
    assert stuck(weeks(*STUCK[:-1], 95, acceptable=False))


def test_a_lift_that_goes_back_has_not_moved_either():
    assert stuck(weeks(*STUCK[:6], 85, 80, 80, 75, 75, 75))


def test_who_is_back_at_the_old_load_from_the_floor_may_stay_there():
    assert not stuck(weeks(*STUCK), goal=90)
    assert stuck([evening(n, load, height_mm=325) for n, load in enumerate(STUCK)], goal=90)


def test_a_lift_that_was_hardly_trained_lately_or_is_new_has_none():
    assert not stuck(weeks(*STUCK[:9]))
    assert not stuck([evening(number, 90) for number in range(7, 12)])
    assert not stuck([])
