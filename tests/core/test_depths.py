"""Where a rack's pins end a squat: the depth that each hole marks for this body."""

from itertools import pairwise

import numpy as np
import pytest

from floorward.core.demand import demand_of
from floorward.core.depths import bar_heights_mm, marked_depths
from floorward.core.lifts import catalogue
from floorward.core.records import Person, RackPins, SetUp, Sex

MAN = Person(stature_m=1.76, mass_kg=85, sex=Sex.MALE)
SQUAT = catalogue()["high-bar-squat"]
RACK = RackPins(first_mm=300, spacing_mm=50, holes=25)


def test_the_bar_is_higher_the_shorter_the_squat():
    heights = bar_heights_mm(MAN, SQUAT, 85.0, np.arange(0.0, 50.0, 5.0))
    assert all(one < other for one, other in pairwise(heights))


@pytest.mark.parametrize("load_kg", [20.0, 85.0, 180.0])
def test_at_a_marked_depth_the_bar_is_at_its_hole(load_kg):
    for depth in marked_depths(MAN, SQUAT, load_kg, [RACK]):
        start = demand_of(MAN, SetUp(lift=SQUAT.key, depth_deg=depth.depth_deg), load_kg).start
        assert 1000 * start.points_m["load"][1] == pytest.approx(float(depth.stand.height_mm), abs=15)


def test_a_load_moves_a_marked_depth_by_a_few_degrees_only():
    by_hole = {
        load: {depth.stand.hole: depth.depth_deg for depth in marked_depths(MAN, SQUAT, load, [RACK])}
        for load in (40.0, 85.0, 150.0)
    }
    for hole, depth in by_hole[85.0].items():
        for load in (40.0, 150.0):
            assert abs(by_hole[load].get(hole, depth) - depth) <= 5


def test_finer_holes_mark_more_depths_each_once():
    coarse = marked_depths(MAN, SQUAT, 85.0, [RACK])
    fine = marked_depths(MAN, SQUAT, 85.0, [RackPins(first_mm=300, spacing_mm=25, holes=50), RACK])
    assert len(fine) > 1.5 * len(coarse)
    assert len({depth.depth_deg for depth in fine}) == len(fine)


def test_taller_lifters_use_higher_holes():
    tall = Person(stature_m=1.95, mass_kg=95, sex=Sex.MALE)
    assert (
        marked_depths(tall, SQUAT, 85.0, [RACK])[0].stand.hole
        > marked_depths(MAN, SQUAT, 85.0, [RACK])[0].stand.hole
    )


@pytest.mark.parametrize("lift", ["deadlift", "box-squat", "dumbbell-squat", "good-morning"])
def test_only_squats_with_a_bar_end_on_pins(lift):
    assert marked_depths(MAN, catalogue()[lift], 85.0, [RACK]) == ()


def test_pins_out_of_reach_mark_nothing():
    assert marked_depths(MAN, SQUAT, 85.0, [RackPins(first_mm=100, spacing_mm=50, holes=8)]) == ()
