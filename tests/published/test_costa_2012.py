"""How fast healing goes: the pooled course of acute low back pain. Costa 2012, CMAJ 184:E613 (33 cohorts, 11,166 people in care).

Mean pain on 0–100 at 0, 6, 26 and 52 weeks: 52, 23, 12, 6. The model heals toward a plateau that the paper does not name; it lies
between the last two values, which bounds the share of the way that is left.
"""

import numpy as np
import pytest

from floorward.core import belief
from floorward.core.general_course import general_course

START, WEEKS_6, WEEKS_26, WEEKS_52 = 52, 23, 12, 6


def left(days):
    """Share of the way to the plateau that is left, over the prior of the healing time."""
    grid = belief.grid(3, healing=True)
    return float(np.exp(grid.log_weight) @ np.exp(-days / grid.healing_days))


def share_of_way(pain, plateau):
    return (pain - plateau) / (START - plateau)


def test_at_six_weeks_as_much_is_left_as_in_the_cohorts():
    assert share_of_way(WEEKS_6, WEEKS_26) <= left(42) <= share_of_way(WEEKS_6, WEEKS_52)


def test_at_half_a_year_no_more_is_left_than_in_the_cohorts():
    assert 0 < left(182) <= share_of_way(WEEKS_26, WEEKS_52)


@pytest.mark.parametrize(("days", "pain"), [(42, WEEKS_6), (182, WEEKS_26)])
def test_a_plateau_of_ten_gives_the_measured_means(days, pain):
    assert 10 + 42 * left(days) == pytest.approx(pain, abs=2)


@pytest.mark.parametrize(
    ("week", "acute", "persistent"), [(0, 5.2, 5.1), (6, 2.3, 3.3), (26, 1.2, 2.6), (52, 0.6, 2.3)]
)
def test_the_grey_band_runs_between_the_two_published_courses(week, acute, persistent):
    ((_, low, high),) = general_course((7 * week,))
    assert (low, high) == (pytest.approx(min(acute, persistent)), pytest.approx(max(acute, persistent)))


def test_past_a_year_nothing_is_said():
    assert [day for day, _, _ in general_course((-3, 0, 364, 365))] == [0, 364]
