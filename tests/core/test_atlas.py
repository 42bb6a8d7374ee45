"""What is looked up is what would be worked out, and loads are compared within one family only."""

import numpy as np
import pytest

from floorward.core.atlas import LOADS_KG, curve_of, equal_demand_load_kg, grid_of
from floorward.core.body import body_of
from floorward.core.demand import demand_of
from floorward.core.lifts import catalogue
from floorward.core.records import Measured, Person, Region, SetUp, Sex
from floorward.core.tasks import Place

MAN = Person(stature_m=1.76, mass_kg=85, sex=Sex.MALE)
FLOOR = SetUp(lift="deadlift")


def equal(to, region=Region.LOW_BACK, load_kg=180.0):
    return equal_demand_load_kg(MAN, FLOOR, load_kg, to, region)


def test_a_grid_holds_what_single_cases_would_give():
    heights, loads = (0.225, 0.3, 0.45), np.linspace(20, 300, 15)
    places = [Place(hand_height_m=height) for height in heights]
    grid = grid_of(body_of(MAN), catalogue()["trap-bar-low"], places, loads)
    assert grid.reached.all()
    for row, height in enumerate(heights):
        one = demand_of(MAN, SetUp(lift="trap-bar-low", height_mm=round(height * 1000)), float(loads[7]))
        assert grid.moments_nm["l5s1"][row, 7] == pytest.approx(one.start.moments_nm["l5s1"], rel=2e-3)


def test_places_that_cannot_be_reached_are_empty_not_wrong():
    grid = grid_of(body_of(MAN), catalogue()["deadlift"], [Place(hand_height_m=1.2)], np.array([50.0, 100.0]))
    assert not grid.reached.any()
    assert np.isnan(grid.angles_deg["trunk"]).all()


def test_the_same_set_up_asks_the_same_at_the_same_load():
    assert equal(FLOOR) == (180.0, 180.0, 180.0)


@pytest.mark.parametrize("region", [Region.LOW_BACK, Region.HIP])
def test_a_trap_bar_carries_more_for_the_same_demand(region):
    low, likely, high = equal(SetUp(lift="trap-bar-high"), region)
    assert low <= likely <= high
    assert likely > 190


def test_equal_demand_is_equal():
    _, load_kg, _ = equal(SetUp(lift="romanian-deadlift"))
    asked = demand_of(MAN, FLOOR, 180.0).regions[Region.LOW_BACK].moment_nm
    given = demand_of(MAN, SetUp(lift="romanian-deadlift"), load_kg).regions[Region.LOW_BACK].moment_nm
    assert given == pytest.approx(asked, rel=0.02)


def test_nothing_is_carried_across_families():
    assert equal(SetUp(lift="high-bar-squat")) is None


def test_a_lift_that_is_not_modelled_has_no_curve():
    assert curve_of(MAN, SetUp(lift="leg-press")) is None


def test_a_demand_below_bare_body_weight_has_no_load():
    easy, hard = SetUp(lift="pin-pull", height_mm=700), SetUp(lift="good-morning")
    assert equal_demand_load_kg(MAN, easy, 0.0, hard, Region.LOW_BACK) is None


def test_moments_rise_with_the_load():
    moments = curve_of(MAN, FLOOR).moment_nm[Region.LOW_BACK]
    assert (np.diff(moments[np.isfinite(moments)]) > 0).all()


@pytest.mark.parametrize("load_kg", [60.0, 150.0])
def test_a_curve_stands_on_measured_angles_as_a_single_case_does(load_kg):
    one = Measured(lift="trap-bar-low", height_mm=225, trunk_deg=50.0)
    man = Person(stature_m=1.76, mass_kg=85, sex=Sex.MALE, measured=(one,))
    curve, bare = curve_of(man, SetUp(lift="trap-bar-low")), curve_of(MAN, SetUp(lift="trap-bar-low"))
    at_load = list(curve.loads_kg).index(load_kg)
    asked = demand_of(man, SetUp(lift="trap-bar-low"), load_kg).regions[Region.LOW_BACK]
    assert curve.moment_nm[Region.LOW_BACK][at_load] == pytest.approx(asked.moment_nm, rel=0.02)
    assert abs(curve.bend_deg[Region.LOW_BACK][at_load] - bare.bend_deg[Region.LOW_BACK][at_load]) > 3
    assert curve_of(man, FLOOR) == curve_of(MAN, FLOOR)


def test_a_measured_start_moves_the_load_of_equal_demand():
    one = Measured(lift="trap-bar-low", height_mm=225, trunk_deg=50.0)
    man = Person(stature_m=1.76, mass_kg=85, sex=Sex.MALE, measured=(one,))
    handles = SetUp(lift="trap-bar-low")
    _, likely, _ = equal_demand_load_kg(man, FLOOR, 150.0, handles, Region.LOW_BACK)
    _, bare, _ = equal_demand_load_kg(MAN, FLOOR, 150.0, handles, Region.LOW_BACK)
    assert (
        likely < bare
    )  # leaning so upright on bent knees, they find these handles harder than the easiest way


@pytest.mark.parametrize("key", ["high-bar-squat", "front-squat"])
@pytest.mark.parametrize("region", [Region.LOW_BACK, Region.HIP, Region.KNEE])
def test_a_curve_and_the_demand_of_one_set_up_say_the_same_at_every_depth(key, region):
    """A map looks up curves, the page of a start works its demand out; at a load of the curves they are one number."""
    for depth_deg in range(0, 40, 5):
        setup = SetUp(lift=key, depth_deg=depth_deg)
        asked = demand_of(MAN, setup, 100.0).regions[region].moment_nm
        kept = curve_of(MAN, setup).moment_nm[region][LOADS_KG.tolist().index(100.0)]
        assert kept == pytest.approx(asked, rel=0.005)
