"""Warm-up sets on the way to the work load."""

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from floorward.core.plates import loads
from floorward.core.warm_up import warm_ups
from tests.core.iron import KG_GYM

LOADS = loads(KG_GYM)


def pairs(sets):
    return [(float(one.load), one.reps) for one in sets]


def test_a_hundred_and_eighty_is_met_by_way_of_the_bar_and_three_sets():
    assert pairs(warm_ups(LOADS, Decimal(180))) == [(25, 8), (70, 5), (107.5, 3), (142.5, 2)]


def test_the_lightest_load_needs_no_warm_up():
    assert warm_ups(LOADS, LOADS[0]) == ()


def test_a_load_near_the_lightest_has_no_set_a_whisker_under_it():
    assert pairs(warm_ups(LOADS, Decimal("27.5"))) == []


def test_what_was_already_done_today_is_not_warmed_up_for_again():
    assert pairs(warm_ups(LOADS, Decimal(180), done_today=Decimal("107.5"))) == [(142.5, 2)]


def test_nothing_to_load_gives_no_sets():
    assert warm_ups((), Decimal(100)) == ()


@given(work=st.decimals(20, 300, places=1), done=st.decimals(0, 300, places=1))
def test_warm_ups_rise_can_be_loaded_and_stay_under_the_work(work, done):
    sets = warm_ups(LOADS, work, done)
    found = [one.load for one in sets]
    assert found == sorted(set(found))
    assert all(load in LOADS and done < load < work for load in found)
    assert [one.reps for one in sets] == sorted((one.reps for one in sets), reverse=True)
