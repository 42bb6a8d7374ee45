"""What a set-up asks: the record that pages and cards read."""

from itertools import pairwise
from math import log

import pytest

from floorward.core.demand import (
    Demand,
    Unreachable,
    demand_at,
    demand_of,
    demands_of,
    dynamic_factor,
)
from floorward.core.lifts import Fixes, Model, catalogue
from floorward.core.records import Measured, Person, Region, SetUp, Sex, Tape
from floorward.core.states import lumbar_flexion_deg
from floorward.core.tasks import Given, Place, place_of
from floorward.errors import ContractError

MAN = Person(stature_m=1.76, mass_kg=85, sex=Sex.MALE)
PULL = SetUp(lift="deadlift")
LINKED = [lift.key for lift in catalogue().values() if lift.linked]


@pytest.mark.parametrize("key", LINKED)
def test_every_linked_lift_answers_at_its_usual_place(key):
    found = demand_of(MAN, SetUp(lift=key), 40.0)
    assert isinstance(found, Demand)
    assert found.start.moments_nm["hip"] > 0
    assert set(found.regions) == {Region.LOW_BACK, Region.HIP, Region.KNEE}
    assert found.peak_nm["l5s1"] >= found.start.moments_nm["l5s1"] - 1e-9
    assert found.heaviest.moments_nm["l5s1"] == pytest.approx(found.peak_nm["l5s1"])


@pytest.mark.parametrize("region", [Region.LOW_BACK, Region.HIP, Region.KNEE])
def test_each_region_has_its_moment_band_and_bend(region):
    asked = demand_of(MAN, PULL, 180.0).regions[region]
    assert asked.band_nm.p10 < asked.band_nm.p90
    assert 60 < asked.bend_deg < 150


def test_the_bend_is_what_the_fold_leaves():
    found = demand_of(MAN, PULL, 180.0)
    assert found.regions[Region.LOW_BACK].bend_deg == pytest.approx(180 - found.start.angles_deg["hip"])
    assert found.regions[Region.KNEE].bend_deg == pytest.approx(180 - found.start.angles_deg["knee"])


def test_the_joints_stand_where_the_links_put_them():
    points = demand_of(MAN, PULL, 180.0).start.points_m
    assert points["heel"][0] < 0 < points["toe"][0]
    assert points["ankle"][1] < points["knee"][1] < points["hip"][1] < points["shoulder"][1]
    assert points["hands"] == points["load"]
    assert points["load"][1] == pytest.approx(0.225, abs=1e-5)
    assert points["head"][1] > points["shoulder"][1]


def test_the_whole_is_balanced_over_the_foot():
    for key in LINKED:
        assert abs(demand_of(MAN, SetUp(lift=key), 40.0).start.centre_offset_m) <= 0.0551


def test_a_tape_measure_narrows_the_band():
    taped = Person(
        stature_m=1.76, mass_kg=85, sex=Sex.MALE,
        tape=Tape(span_m=1.818, crotch_m=0.848, sitting_height_m=0.92, knee_height_m=0.5555, sleeve_m=0.5945),
    )  # fmt: skip
    setup = SetUp(lift="good-morning")
    loose, tight = (demand_of(person, setup, 140.0).bands["l5s1_nm"] for person in (MAN, taped))
    assert tight.p90 - tight.p10 < loose.p90 - loose.p10


def test_a_height_of_none_is_the_lifts_own():
    lift = catalogue()["trap-bar-high"]
    assert place_of(lift, SetUp(lift="trap-bar-high")).hand_height_m == pytest.approx(0.345)
    assert place_of(lift, SetUp(lift="trap-bar-high", height_mm=400)).hand_height_m == pytest.approx(0.4)


def test_what_is_not_reached_says_which_rule_and_by_how_much():
    found = demand_of(MAN, SetUp(lift="deadlift", height_mm=1100), 60.0)
    assert found == Unreachable(code="hand-height", numbers=found.numbers)
    assert found.numbers["short_mm"] > 10


def test_what_is_not_modelled_is_not_asked():
    with pytest.raises(ContractError, match="pain only"):
        demand_of(MAN, SetUp(lift="leg-press"), 100.0)


def test_one_leg_carries_its_share_and_the_back_all_of_it():
    """Half a squat on each of two legs: moments of the front leg are near half, the back's are whole."""
    split = demand_of(MAN, SetUp(lift="step-up", depth_deg=10), 40.0).start.moments_nm
    both = demand_of(MAN, SetUp(lift="dumbbell-squat", depth_deg=10), 40.0).start.moments_nm
    assert split["l5s1"] == pytest.approx(both["l5s1"], rel=0.25)
    assert split["hip"] > 0.7 * both["hip"]


def test_a_longer_front_share_asks_more_of_the_front_leg():
    split = demand_of(MAN, SetUp(lift="split-squat"), 40.0).start.moments_nm["hip"]
    raised = demand_of(MAN, SetUp(lift="rear-foot-elevated-split-squat"), 40.0).start.moments_nm["hip"]
    assert raised > split


def test_a_held_trunk_asks_the_most_when_it_is_level():
    """On a back extension bench: W times the horizontal distance, nothing else; limit case upright: nearly nothing."""
    lift = catalogue()["back-extension"]
    assert lift.model == Model.TRUNK
    level = demand_at(MAN, lift, Place(), 0.0, Given(trunk_deg=0.0))
    steep = demand_at(MAN, lift, Place(), 0.0, Given(trunk_deg=60.0))
    assert steep.peak_nm["l5s1"] == pytest.approx(level.peak_nm["l5s1"] / 2, rel=1e-6)
    assert set(level.regions) == {Region.LOW_BACK, Region.HIP}
    assert demand_of(MAN, SetUp(lift="back-extension"), 20.0).peak_nm["l5s1"] > level.peak_nm["l5s1"]


@pytest.mark.parametrize(("stance_mm", "other_mm"), [(300, 700)])
def test_a_wider_stance_makes_the_trunk_more_upright(stance_mm, other_mm):
    lift, place = catalogue()["sumo-deadlift"], Place(hand_height_m=0.225)
    narrow, wide = (
        demand_at(MAN, lift, place, 180.0, Given(stance_mm=mm)).start.angles_deg["trunk"]
        for mm in (stance_mm, other_mm)
    )
    assert wide > narrow + 4


def test_two_ways_of_one_lift_are_pointed_out():
    woman = Person(stature_m=1.63, mass_kg=68, sex=Sex.FEMALE)
    assert demand_of(woman, PULL, 110.0).two_ways
    assert not demand_of(MAN, SetUp(lift="trap-bar-high"), 180.0).two_ways


@pytest.mark.parametrize(("trunk_deg", "lumbar_deg"), [(90, 0.0), (60, 9.85), (30, 16.95), (0, 21.2)])
def test_lumbar_flexion_is_a_share_of_the_free_bend(trunk_deg, lumbar_deg):
    """Esola 1996: 19.7, 33.9 and 42.4 degrees at 30, 60 and 90 degrees of trunk; half of it in a braced lift (judgement)."""
    assert lumbar_flexion_deg(trunk_deg) == pytest.approx(lumbar_deg)


def test_faster_lifts_peak_higher():
    assert 1.0 < dynamic_factor("heavy") < dynamic_factor("moderate") < dynamic_factor("fast") < 1.5


def test_asking_again_gives_the_kept_answer():
    assert demand_of(MAN, PULL, 181.0) is demand_of(MAN, PULL, 181.0)


def test_every_lift_that_fixes_a_height_has_one():
    for lift in catalogue().values():
        if lift.fixes == Fixes.HEIGHT:
            assert lift.numbers["lowest_mm"] <= lift.default_height_mm <= lift.numbers["highest_mm"]


MEASURED = Measured(lift="deadlift", height_mm=225, knee_deg=110.0, trunk_deg=28.0)


def measured(one):
    return Person(stature_m=MAN.stature_m, mass_kg=MAN.mass_kg, sex=MAN.sex, measured=(one,))


def test_measured_angles_rule_over_the_posture_of_least_effort():
    found = demand_of(measured(MEASURED), PULL, 100.0)
    assert found.start.angles_deg["knee"] == pytest.approx(110.0, abs=0.1)
    assert found.start.angles_deg["trunk"] == pytest.approx(28.0, abs=0.1)
    assert found.bands["trunk_deg"].p90 - found.bands["trunk_deg"].p10 < 0.5
    given = Given(knee_deg=110.0, trunk_deg=28.0)
    assert found == demand_at(
        MAN, catalogue()["deadlift"], place_of(catalogue()["deadlift"], PULL), 100.0, given
    )


@pytest.mark.parametrize("height_mm", [212, 225, 238])
def test_a_measure_counts_where_the_start_is_as_near_as_it_can_be_built(height_mm):
    found = demand_of(measured(MEASURED), SetUp(lift="deadlift", height_mm=height_mm), 100.0)
    assert found.start.angles_deg["trunk"] == pytest.approx(28.0, abs=0.1)


@pytest.mark.parametrize(
    "setup",
    [SetUp(lift="deadlift", height_mm=275), SetUp(lift="sumo-deadlift"), SetUp(lift="high-bar-squat")],
)
def test_a_measure_says_nothing_of_another_start_or_lift(setup):
    assert demand_of(measured(MEASURED), setup, 100.0) == demand_of(MAN, setup, 100.0)


def test_the_depth_of_a_squat_tells_one_bottom_from_another():
    one = Measured(lift="high-bar-squat", depth_deg=20, trunk_deg=45.0)
    at_it = demand_of(measured(one), SetUp(lift="high-bar-squat", depth_deg=22), 80.0)
    deeper = demand_of(measured(one), SetUp(lift="high-bar-squat"), 80.0)
    assert at_it.start.angles_deg["trunk"] == pytest.approx(45.0, abs=0.1)
    assert deeper == demand_of(MAN, SetUp(lift="high-bar-squat"), 80.0)


@pytest.mark.parametrize("key", ["high-bar-squat", "low-bar-squat", "front-squat", "safety-bar-squat"])
@pytest.mark.parametrize("person", [MAN, Person(stature_m=1.62, mass_kg=60, sex=Sex.FEMALE)])
def test_a_squat_a_degree_shorter_is_not_another_squat(key, person):
    """No jump from one posture to another, and no region that is asked less and more by turns."""
    depths = range(int(catalogue()[key].numbers["depth_deg"]), 40)
    found = demands_of(person, tuple(SetUp(lift=key, depth_deg=deg) for deg in depths), 100.0)
    for deeper, shorter in pairwise(found):
        for region, most in ((Region.LOW_BACK, 0.05), (Region.HIP, 0.05), (Region.KNEE, 0.03)):
            one, other = deeper.regions[region], shorter.regions[region]
            assert abs(log(other.moment_nm / one.moment_nm)) < most
            assert -4 < other.bend_deg - one.bend_deg < 0
