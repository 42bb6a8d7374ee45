"""Moments against sums by hand, virtual work and the sum rule."""

import numpy as np
import pytest

from floorward.core.body import bodies_like
from floorward.core.records import Person, Sex
from floorward.core.statics import GRAVITY, Angles, Holding, joints_of, levers_of, moments_of

BODIES = bodies_like(Person(stature_m=1.76, mass_kg=85, sex=Sex.MALE), 200)
LOAD = np.linspace(0, 400, 200)
IN_HANDS = Holding(arms=True, arm_m=BODIES.arm_m + 0.05)
ON_BACK = Holding(arms=False, along=1.09, forward_m=-0.05)
ON_BELT = Holding(arms=False, along=0.0, forward_m=0.03)
HOLDINGS = pytest.mark.parametrize("holding", [IN_HANDS, ON_BACK, ON_BELT], ids=["hands", "back", "belt"])


def random_angles(seed=1, count=200):
    rng = np.random.default_rng(seed)
    low, high = np.radians([55, -20, 5, -35]), np.radians([105, 80, 88, 35])
    shank, thigh, trunk, arm = rng.uniform(low[:, None], high[:, None], (4, count))
    return Angles(shank=shank, thigh=thigh, trunk=trunk, arm=arm)


def solved(angles, holding, turnout=0.0):
    joints = joints_of(BODIES, angles, holding, turnout)
    return joints, moments_of(levers_of(BODIES, holding, LOAD, turnout), angles)


def potential(angles, holding):
    """Potential energy of everything above the ground [J]: masses at their heights, nothing else."""
    joints = joints_of(BODIES, angles, holding)
    up = np.sin(angles.trunk)
    hands_y = joints.load_y if holding.arms else joints.shoulder_y
    heights = [
        (BODIES.shank_kg, np.sin(angles.shank) * BODIES.shank_centre_m),
        (BODIES.thigh_kg, joints.knee_y + np.sin(angles.thigh) * BODIES.thigh_centre_m),
        (BODIES.pelvis_kg, joints.hip_y + BODIES.pelvis_centre_m * up),
        (BODIES.torso_kg, joints.hip_y + BODIES.torso_centre_m * up),
        (BODIES.head_kg, joints.hip_y + BODIES.head_centre_m * up),
        (BODIES.arms_kg, joints.shoulder_y + BODIES.arms_centre * (hands_y - joints.shoulder_y)),
        (LOAD, joints.load_y),
    ]
    return GRAVITY * sum(mass * height for mass, height in heights)


@HOLDINGS
@pytest.mark.parametrize(
    ("joint", "angle", "sign"), [("ankle", "shank", -1), ("knee", "thigh", -1), ("hip", "trunk", -1)]
)
def test_virtual_work_agrees_with_the_sums(holding, joint, angle, sign):
    """Turn a joint a little, keep what is above it rigid: the work of its moment is the potential energy gained."""
    angles = random_angles()
    turn = {
        "ankle": ("shank", "thigh", "trunk", "arm"),
        "knee": ("thigh", "trunk", "arm"),
        "hip": ("trunk", "arm"),
    }[joint]
    signs = {"shank": 1, "thigh": -1, "trunk": 1, "arm": 1}
    step = 1e-5

    def turned(by):
        fields = {name: getattr(angles, name) for name in ("shank", "thigh", "trunk", "arm")}
        for name in turn:
            fields[name] = fields[name] + by * signs[name]
        return potential(Angles(**fields), holding)

    _, moments = solved(angles, holding)
    work = (turned(step) - turned(-step)) / (2 * step)
    expected = moments.knee * -1 if joint == "knee" else getattr(moments, joint)
    assert work == pytest.approx(expected, rel=1e-6, abs=1e-4)


def test_an_arm_hanging_straight_down_asks_nothing_of_the_shoulder():
    angles = random_angles()
    hanging = Angles(shank=angles.shank, thigh=angles.thigh, trunk=angles.trunk, arm=0 * angles.arm)
    _, moments = solved(hanging, IN_HANDS)
    assert moments.shoulder == pytest.approx(0.0, abs=1e-9)


def test_a_load_on_a_belt_asks_nothing_of_the_back():
    angles = random_angles()
    _, moments = solved(angles, ON_BELT)
    without = moments_of(levers_of(BODIES, ON_BELT, 0 * LOAD), angles)
    assert moments.l5s1 == pytest.approx(without.l5s1)


@HOLDINGS
def test_hip_and_knee_share_a_sum_that_only_the_thigh_decides(holding):
    """With vertical loads M_hip + M_knee depends on thigh angle and mass above, not on shank, trunk or where the bar lies."""
    one, other = random_angles(1), random_angles(2)
    other = Angles(shank=other.shank, thigh=one.thigh, trunk=other.trunk, arm=other.arm)
    sums = []
    for angles in (one, other):
        _, moments = solved(angles, holding)
        sums.append(moments.hip + moments.knee)
    assert sums[0] == pytest.approx(sums[1], abs=1e-6)


@HOLDINGS
def test_a_turned_out_leg_keeps_the_hip_and_back_of_its_side_view(holding):
    """Projection: a leg turned out by an angle is a flat leg with horizontal reaches shortened by its cosine."""
    angles = random_angles()
    joints, moments = solved(angles, holding, turnout=0.6)
    by_hand = GRAVITY * sum(
        mass * (x - joints.knee_x) for mass, x in parts_above_the_knee(angles, joints, holding)
    )
    assert moments.knee * np.cos(0.6) == pytest.approx(-by_hand, abs=1e-9)


def parts_above_the_knee(angles, joints, holding):
    hands = joints.load_x if holding.arms else joints.shoulder_x
    out = np.cos(angles.trunk)
    return [
        (LOAD, joints.load_x),
        (BODIES.arms_kg, joints.shoulder_x + BODIES.arms_centre * (hands - joints.shoulder_x)),
        (BODIES.head_kg, joints.hip_x + BODIES.head_centre_m * out),
        (BODIES.torso_kg, joints.hip_x + BODIES.torso_centre_m * out),
        (BODIES.pelvis_kg, joints.hip_x + BODIES.pelvis_centre_m * out),
        (
            BODIES.thigh_kg,
            joints.knee_x + (joints.hip_x - joints.knee_x) * BODIES.thigh_centre_m / BODIES.thigh_m,
        ),
    ]
