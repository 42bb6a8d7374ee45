"""The catalogue: whole, consistent, and with every lift that a gym of strength trainees does."""

import pytest
from bench import lifts_page

from floorward.core.lifts import Family, Fixes, Held, Model, catalogue

WANTED = {
    "deadlift", "sumo-deadlift", "trap-bar-low", "trap-bar-high", "frame-deadlift", "romanian-deadlift",
    "stiff-leg-deadlift", "good-morning", "high-bar-squat", "low-bar-squat", "front-squat", "safety-bar-squat",
    "goblet-squat", "box-squat", "belt-squat", "split-squat", "rear-foot-elevated-split-squat", "step-up",
    "hip-thrust", "leg-press", "back-extension", "reverse-hyper", "kettlebell-deadlift", "suitcase-carry",
    "farmers-carry", "bodyweight-hinge", "bodyweight-squat", "dumbbell-deadlift", "dumbbell-romanian-deadlift",
}  # fmt: skip
LIFTS = list(catalogue().values())
each_lift = pytest.mark.parametrize("lift", LIFTS, ids=lambda lift: lift.key)


def test_the_catalogue_has_forty_lifts_and_all_that_were_wanted():
    assert len(LIFTS) >= 40
    assert set(catalogue()) >= WANTED


@each_lift
def test_every_lift_trains_something_and_needs_only_words_of_the_trade(lift):
    assert lift.name
    assert lift.direct
    assert lift.learning in {1, 2, 3}
    assert set(lift.set_up) <= {"belt", "straps", "shoes", "tempo", "pause", "range"}
    assert set(lift.contest) <= {"powerlifting", "strongman"}


@each_lift
def test_every_lift_leads_back_within_the_catalogue_and_never_in_a_circle(lift):
    seen = [lift.key]
    while catalogue()[seen[-1]].leads_back_to:
        seen.append(catalogue()[seen[-1]].leads_back_to)
        assert len(seen) < 8
    assert len(set(seen)) == len(seen)


@each_lift
def test_what_the_geometry_needs_is_there(lift):
    if not lift.linked:
        return
    assert lift.numbers["stance_mm"] > 0
    if lift.hands:
        assert lift.numbers["grip_mm"] > 0
    else:
        assert {"along", "forward_mm"} <= set(lift.numbers)
    needs = {
        Fixes.HEIGHT: "height_mm",
        Fixes.THIGH: "depth_deg",
        Fixes.TRUNK: "trunk_deg",
        Fixes.BOX: "box_mm",
    }
    assert needs[lift.fixes] in lift.numbers


@each_lift
def test_only_what_is_modelled_has_numbers(lift):
    assert bool(lift.numbers) == lift.modelled


def test_machines_and_carries_are_not_modelled():
    unknown = {lift.family for lift in LIFTS if lift.model == Model.NONE}
    assert {Family.MACHINE, Family.CARRY} <= unknown


def test_a_front_leg_carries_a_share_and_both_legs_the_whole():
    assert 0.5 < catalogue()["split-squat"].front_share < 1
    assert catalogue()["deadlift"].front_share == 1


def test_the_bar_passes_the_shins_only_where_it_is_in_front():
    assert catalogue()["deadlift"].held == Held.HANDS_FRONT
    assert catalogue()["trap-bar-low"].held == Held.HANDS_BESIDE


def test_sumo_carries_its_caution():
    assert "sumo-hips" in catalogue()["sumo-deadlift"].cautions


def test_the_page_of_lifts_is_current():
    assert lifts_page.PAGE.read_text(encoding="utf-8") == lifts_page.page()
