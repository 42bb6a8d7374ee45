"""From high and light on the back to the floor, in near-even steps over what a gym can build."""

from itertools import pairwise

import pytest

from floorward.core.records import Person, Region, SetUp, Sex
from floorward.core.way_back import leads_to, step_size, way_back

MAN = Person(stature_m=1.76, mass_kg=85, sex=Sex.MALE)
FLOOR = SetUp(lift="deadlift", height_mm=225)
HEIGHTS = {
    "trap-bar-high": (345, 395, 445, 495),
    "trap-bar-low": (225, 275, 325, 375),
    "deadlift": (225, 275, 325, 375, 425, 475, 525),
}
GYM = [SetUp(lift=lift, height_mm=height) for lift, heights in HEIGHTS.items() for height in heights]


def way(today, region=Region.LOW_BACK, options=GYM):
    return way_back(MAN, today, FLOOR, options, 140.0, region)


def test_the_way_begins_today_and_ends_with_the_full_lift():
    stages = way(SetUp(lift="trap-bar-high", height_mm=495))
    assert stages[0].setup == SetUp(lift="trap-bar-high", height_mm=495)
    assert stages[-1].setup == FLOOR
    assert stages[-1].share == pytest.approx(1.0)
    assert len(stages) > 3


def test_no_stage_asks_clearly_less_than_the_one_before():
    stages = way(SetUp(lift="trap-bar-high", height_mm=495))
    for one, other in pairwise(stages):
        assert other.moment_nm >= one.moment_nm * 0.97
        assert other.bend_deg >= one.bend_deg - 4


def test_the_steps_are_near_even():
    sizes = [stage.step for stage in way(SetUp(lift="deadlift", height_mm=525))[1:]]
    assert max(sizes) < 1.6
    assert max(sizes) < 2.5 * min(sizes)


SQUAT = SetUp(lift="high-bar-squat")
DEPTHS = [SetUp(lift="high-bar-squat", depth_deg=deg) for deg in (7, 14, 21, 29, 37)]
BOXES = [SetUp(lift="box-squat", box_mm=mm) for mm in (400, 450, 500)]


def squat_way(today, region=Region.LOW_BACK, options=(*DEPTHS, *BOXES)):
    return way_back(MAN, today, SQUAT, options, 80.0, region)


@pytest.mark.parametrize("region", [Region.LOW_BACK, Region.HIP])
def test_a_squat_comes_down_over_its_depths(region):
    stages = squat_way(DEPTHS[-1], region)
    assert [stage.setup.depth_deg for stage in stages] == sorted(
        (stage.setup.depth_deg for stage in stages), reverse=True
    )
    assert len(stages) >= 5
    assert stages[-1].setup == SQUAT
    for one, other in pairwise(stages):
        assert other.moment_nm >= one.moment_nm * 0.97
        assert other.bend_deg >= one.bend_deg - 4


def test_a_squats_steps_are_near_even():
    sizes = [stage.step for stage in squat_way(DEPTHS[3])[1:]]
    assert max(sizes) < 2
    assert max(sizes) < 1.6 * sum(sizes) / len(sizes)


def test_from_a_high_box_the_boxes_come_down_first():
    stages = squat_way(BOXES[-1])
    assert [stage.setup.box_mm for stage in stages] == [500, 450, 400, 0]


def test_a_sore_knees_way_bends_further_at_every_stage():
    stages = squat_way(DEPTHS[-1], Region.KNEE)
    assert all(other.bend_deg > one.bend_deg for one, other in pairwise(stages))


def test_the_way_does_not_go_to_and_fro_between_two_bars():
    safety = [SetUp(lift="safety-bar-squat", depth_deg=deg) for deg in (7, 14, 21, 29, 37)]
    stages = squat_way(DEPTHS[-1], options=(*DEPTHS, *safety))
    lifts = [stage.setup.lift for stage in stages]
    assert sum(one != other for one, other in pairwise(lifts)) <= 2


def test_a_lift_that_is_not_modelled_has_no_way():
    thrust = SetUp(lift="hip-thrust")
    assert way_back(MAN, thrust, thrust, (), 80.0, Region.HIP) == ()


def test_with_nothing_in_between_there_is_one_step():
    stages = way(SetUp(lift="deadlift", height_mm=525), options=())
    assert [stage.setup.height_mm for stage in stages] == [525, 225]
    assert stages[1].step == pytest.approx(step_size(stages[0], stages[1]))


def test_the_full_lift_is_its_own_way():
    assert [stage.setup for stage in way(FLOOR)] == [FLOOR]


def test_a_lift_that_is_harder_to_learn_is_no_stage():
    stages = way(SetUp(lift="trap-bar-high", height_mm=495), options=[*GYM, SetUp(lift="sumo-deadlift")])
    assert "sumo-deadlift" not in {stage.setup.lift for stage in stages}


def test_a_squat_is_no_stage_of_a_pull():
    stages = way(SetUp(lift="trap-bar-high", height_mm=495), options=[SetUp(lift="goblet-squat")])
    assert len(stages) == 2


@pytest.mark.parametrize("today", [SetUp(lift="leg-press"), SetUp(lift="deadlift", height_mm=1400)])
def test_what_is_not_modelled_or_reached_has_no_way(today):
    assert way(today) == ()


def test_asking_less_of_the_knee_is_no_large_step():
    stages = way(SetUp(lift="trap-bar-high", height_mm=495), Region.KNEE)
    assert all(stage.step < 3 for stage in stages)


def test_lifts_lead_back_over_one_another():
    assert leads_to("trap-bar-high", "deadlift")
    assert not leads_to("deadlift", "trap-bar-high")
