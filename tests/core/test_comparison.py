"""Set-ups side by side: shares, bands, loads of equal demand, and when nothing is said."""

import pytest

from floorward.core.atlas import equal_demand_load_kg
from floorward.core.comparison import ReadOff, Side, is_loose, sides
from floorward.core.demand import Unreachable, demand_of
from floorward.core.records import Person, Region, SetUp, Sex
from floorward.core.variations import Compared

MAN = Person(stature_m=1.76, mass_kg=85, sex=Sex.MALE)
FLOOR = SetUp(lift="deadlift", height_mm=225)
BLOCKS = SetUp(lift="deadlift", height_mm=325)
LOW = SetUp(lift="trap-bar-low", height_mm=225)
HIGH = SetUp(lift="trap-bar-high", height_mm=345)
SQUAT = SetUp(lift="high-bar-squat")


ON_THE_FLOOR = ReadOff(setup=FLOOR, load_kg=110.0)


def beside(*setups, region=Region.LOW_BACK, read_off=ON_THE_FLOOR):
    return sides(MAN, FLOOR, setups, 110.0, region, read_off)


def test_the_compared_pull_is_one_and_asks_the_same_at_its_own_load():
    (floor,) = beside(FLOOR)
    assert floor.share == pytest.approx(1.0)
    assert (floor.demand, floor.bend, floor.bend_more_deg) == (Compared.SAME, Compared.SAME, 0.0)
    assert floor.equal.likely_kg == pytest.approx(110.0)


def test_handles_beside_the_body_ask_less_of_the_back_and_high_ones_least():
    low, high = beside(LOW, HIGH)
    assert high.share < low.share < 1
    assert low.demand is high.demand is Compared.LESS
    assert high.sure
    assert high.bend is Compared.LESS


def test_a_low_block_opens_the_bend_and_the_model_hardly_sees_it_in_the_moment():
    (blocks,) = beside(BLOCKS)
    assert blocks.bend is Compared.LESS
    assert blocks.bend_more_deg < -8
    assert blocks.share == pytest.approx(1.0, abs=0.05)
    assert not blocks.sure


def test_loads_of_equal_demand_are_those_of_the_curves():
    (high,) = beside(HIGH)
    low_kg, likely_kg, high_kg = equal_demand_load_kg(MAN, FLOOR, 110.0, HIGH, Region.LOW_BACK)
    assert (high.equal.p10_kg, high.equal.likely_kg, high.equal.p90_kg) == (low_kg, likely_kg, high_kg)


def test_across_families_no_load_is_carried_over():
    (squat,) = beside(SQUAT)
    assert not squat.same_family
    assert squat.equal is None


def test_without_anything_to_read_off_there_are_no_loads():
    (high,) = beside(HIGH, read_off=None)
    assert high.equal is None
    assert high.same_family


def test_the_knee_of_a_pull_is_too_loose_to_tell_set_ups_apart_by():
    assert is_loose(demand_of(MAN, FLOOR, 110.0).regions[Region.KNEE])
    (high,) = beside(HIGH, region=Region.KNEE)
    assert high.demand is None
    assert high.equal is None


def test_the_hip_is_not():
    (high,) = beside(HIGH, region=Region.HIP)
    assert high.demand is Compared.LESS
    assert high.equal is not None


def test_what_is_not_reached_says_why_among_those_that_are():
    first, second = beside(HIGH, SetUp(lift="deadlift", height_mm=1900))
    assert isinstance(first, Side)
    assert isinstance(second, Unreachable)


def test_nothing_is_compared_with_a_start_out_of_reach():
    assert sides(MAN, SetUp(lift="deadlift", height_mm=1900), [HIGH], 110.0, Region.LOW_BACK, None) == ()
