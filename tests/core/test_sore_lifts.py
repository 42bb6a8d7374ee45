"""What leaves a sore region alone, and what is found anew beside a lift that hurt. Common practice, no source."""

import pytest

from floorward.core.lifts import catalogue
from floorward.core.sore_lifts import Sore, goes_by_pain, is_unaffected, kin_of
from floorward.tables import load


@pytest.mark.parametrize(
    ("lift", "sore", "as_usual"),
    [
        ("deadlift", "shoulder", True),
        ("low-bar-squat", "shoulder", False),
        ("safety-bar-squat", "shoulder", True),
        ("bench-press", "low-back", True),
        ("bench-press", "elbow", False),
        ("biceps-curl", "elbow", False),
        ("leg-curl", "shoulder", True),
        ("deadlift", "knee", False),
    ],
)
def test_what_leaves_the_arm_alone_goes_on_as_usual(lift, sore, as_usual):
    assert (
        is_unaffected(lift, Sore(spells=frozenset({(sore, "leg-curl" if sore == "knee" else "dip")})))
        is as_usual
    )


@pytest.mark.parametrize(
    ("region", "hurt", "lift", "as_usual"),
    [
        ("elbow", "deadlift", "deadlift", False),
        ("elbow", "deadlift", "trap-bar-high", False),
        ("elbow", "deadlift", "high-bar-squat", True),
        ("low-back", "bench-press", "bench-press", False),
        ("low-back", "bench-press", "floor-press", False),
        ("low-back", "bench-press", "pull-up", True),
        ("low-back", "overhead-press", "bench-press", True),
        ("knee", "pull-up", "pull-up", False),
    ],
)
def test_a_lift_that_hurt_does_not_go_on_as_usual_nor_does_its_family(region, hurt, lift, as_usual):
    assert is_unaffected(lift, Sore(spells=frozenset({(region, hurt)}))) is as_usual


@pytest.mark.parametrize(
    ("lift", "as_usual"),
    [("deadlift", False), ("farmers-carry", False), ("leg-curl", True), ("belt-squat", True)],
)
def test_nothing_hangs_from_the_hands_while_an_arm_is_locked(lift, as_usual):
    assert is_unaffected(lift, Sore(spells=frozenset({("shoulder", "dip")}), arm_locked=True)) is as_usual


def test_every_lift_that_is_said_to_load_an_arm_is_of_the_catalogue():
    known = load("lifts")
    assert {lift for row in load("arms").values() for lift in row["value"]} <= set(known)


@pytest.mark.parametrize(
    ("region", "lift", "by_pain"),
    [
        ("shoulder", "low-bar-squat", True),
        ("low-back", "barbell-row", True),
        ("knee", "leg-press", True),
        ("low-back", "deadlift", False),
    ],
)
def test_an_arm_and_a_lift_that_is_not_modelled_go_by_pain(region, lift, by_pain):
    assert goes_by_pain(region, lift) is by_pain


@pytest.mark.parametrize(
    ("region", "lift", "others"),
    [
        ("shoulder", "bench-press", {"floor-press", "overhead-press"}),
        ("elbow", "pull-up", {"bench-press", "floor-press"}),
        ("elbow", "low-bar-squat", {"front-squat", "safety-bar-squat"}),
        ("elbow", "deadlift", {"sumo-deadlift", "trap-bar-high"}),
        ("low-back", "deadlift", {"front-squat", "box-squat"}),
        ("low-back", "barbell-row", {"front-squat", "box-squat"}),
    ],
)
def test_beside_a_sore_lift_others_of_its_kind_are_found_anew(region, lift, others):
    kin = kin_of(region, lift)
    assert others <= set(kin)
    assert len({catalogue()[one].family for one in kin if one in catalogue()}) <= 1
