"""Where the joints are in a posture and how hard each must work to hold it: planar statics of a chain that stands on its feet.

The ankle is the origin, x points forward, y up. Angles follow the lift as a coach sees it: shank and trunk from the horizontal,
leaning forward less than 90°; the thigh is 0 when hip and knee are level, positive when the hip is higher; the arm is 0 when it hangs
straight down, positive when the hands are in front of the shoulder. A leg turned out by an angle moves in its own upright plane.

A net moment is that of everything above the joint, both sides together, positive when the muscles must extend: M = g Σ m (x - x_joint).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from floorward import tables
from floorward.core.body import Body

Array = NDArray[np.float64]

GRAVITY = float(tables.value("posture", "gravity"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Angles:
    """A posture as four angles [rad]; arrays of one shape."""

    shank: Array
    thigh: Array
    trunk: Array
    arm: Array

    @property
    def knee(self) -> Array:
        """Included knee angle, π when straight."""
        return self.shank + self.thigh

    @property
    def hip(self) -> Array:
        """Included angle of trunk and thigh, π when straight."""
        return self.trunk + self.thigh


@dataclass(frozen=True, slots=True, kw_only=True)
class Holding:
    """How the load is carried.

    Attributes:
        arms: true when straight arms hold it; then the hands are the load's place.
        along: else its place as a fraction of hip to shoulder.
        forward_m: and in front of that line.
        reach_m: how much further than its length the arm reaches by the shoulder girdle's movement, shape (cases,) or ().
    """

    arms: bool = True
    along: float = 1.0
    forward_m: float = 0.0
    arm_m: Array | float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Joints:
    """Where the joints are [m]: x forward of the ankle, y above it."""

    knee_x: Array
    knee_y: Array
    hip_x: Array
    hip_y: Array
    l5s1_x: Array
    l5s1_y: Array
    shoulder_x: Array
    shoulder_y: Array
    load_x: Array
    load_y: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Moments:
    """Net extensor moments [N·m], both sides together, and where the whole's centre of mass is [m]."""

    ankle: Array
    knee: Array
    hip: Array
    l5s1: Array
    shoulder: Array
    centre_x: Array


def joints_of(body: Body, angles: Angles, holding: Holding, turnout: Array | float = 0.0) -> Joints:
    """Forward kinematics from the ankle up. `turnout` [rad] shortens what the legs show from the side."""
    side = np.cos(turnout)
    knee_x = body.shank_m * np.cos(angles.shank) * side
    knee_y = body.shank_m * np.sin(angles.shank)
    hip_x = knee_x - body.thigh_m * np.cos(angles.thigh) * side
    hip_y = knee_y + body.thigh_m * np.sin(angles.thigh)
    up_x, up_y = np.cos(angles.trunk), np.sin(angles.trunk)
    shoulder_x = hip_x + body.trunk_m * up_x
    shoulder_y = hip_y + body.trunk_m * up_y
    if holding.arms:
        load_x = shoulder_x + holding.arm_m * np.sin(angles.arm)
        load_y = shoulder_y - holding.arm_m * np.cos(angles.arm)
    else:
        load_x = hip_x + holding.along * body.trunk_m * up_x + holding.forward_m * up_y
        load_y = hip_y + holding.along * body.trunk_m * up_y - holding.forward_m * up_x
    return Joints(
        knee_x=knee_x,
        knee_y=knee_y,
        hip_x=hip_x,
        hip_y=hip_y,
        l5s1_x=hip_x + body.lumbar_m * up_x,
        l5s1_y=hip_y + body.lumbar_m * up_y,
        shoulder_x=shoulder_x,
        shoulder_y=shoulder_y,
        load_x=load_x,
        load_y=load_y,
    )


def moments_of(
    body: Body, angles: Angles, joints: Joints, holding: Holding, load_kg: Array, turnout: Array | float = 0.0
) -> Moments:
    """Net moments of a posture that is held still.

    Sums mass and mass × position from the hands down; each joint adds what lies between it and the one above. The knee's
    moment is taken in the leg's own plane, which sees the whole lever that the side view shortens by cos(turnout).
    A load at or below L5/S1 (on a belt) does not count above the place where it hangs.
    """
    up_x = np.cos(angles.trunk)
    hands_x = joints.load_x if holding.arms else joints.shoulder_x + 0.0 * joints.load_x
    arms_x = joints.shoulder_x + body.arms_centre * (hands_x - joints.shoulder_x)
    mass = body.arms_kg + (load_kg if holding.arms else 0.0)
    lever = body.arms_kg * arms_x + (load_kg * joints.load_x if holding.arms else 0.0)
    shoulder = lever - mass * joints.shoulder_x
    torso_load = load_kg if not holding.arms and holding.along > 0 else 0.0
    mass = mass + body.torso_kg + body.head_kg + torso_load
    torso_x = joints.hip_x + body.torso_centre_m * up_x
    head_x = joints.hip_x + body.head_centre_m * up_x
    lever = lever + body.torso_kg * torso_x + body.head_kg * head_x + torso_load * joints.load_x
    l5s1 = lever - mass * joints.l5s1_x
    belt_load = load_kg if not holding.arms and holding.along <= 0 else 0.0
    mass = mass + body.pelvis_kg + belt_load
    lever = lever + body.pelvis_kg * (joints.hip_x + body.pelvis_centre_m * up_x) + belt_load * joints.load_x
    hip = lever - mass * joints.hip_x
    thigh_x = joints.knee_x + (joints.hip_x - joints.knee_x) * (body.thigh_centre_m / body.thigh_m)
    mass = mass + body.thigh_kg
    lever = lever + body.thigh_kg * thigh_x
    knee = (mass * joints.knee_x - lever) / np.cos(turnout)
    ankle = lever + body.shank_kg * joints.knee_x * (body.shank_centre_m / body.shank_m)
    whole = mass + body.shank_kg + body.foot_kg
    centre_x = (ankle + body.foot_kg * body.foot_centre_m * np.cos(turnout)) / whole
    return Moments(
        ankle=GRAVITY * ankle,
        knee=GRAVITY * knee,
        hip=GRAVITY * hip,
        l5s1=GRAVITY * l5s1,
        shoulder=GRAVITY * shoulder,
        centre_x=centre_x,
    )
