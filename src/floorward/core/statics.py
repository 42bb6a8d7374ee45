"""Where the joints are in a posture and how hard each must work to hold it: planar statics of a chain that stands on its feet.

The ankle is the origin, x points forward, y up. Angles follow the lift as a coach sees it: shank and trunk from the
horizontal, leaning forward less than 90°; the thigh is 0 when hip and knee are level, positive when the hip is higher; the
arm is 0 when it hangs straight down, positive when the hands are in front of the shoulder. A leg that is turned out moves
in its own upright plane.

A net moment is that of everything above the joint, both sides together, positive when the muscles must extend:
M = g Σ m (x - x_joint). Every x is a sum of link lengths times sines and cosines, so every moment is a sum of fixed levers
[kg·m] times cos(shank), cos(thigh), cos(trunk), sin(trunk) and sin(arm). `Levers` holds them for a body, a load and a hold.
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
class Sines:
    """Sine and cosine of each angle, worked out once for all that reads them."""

    shank: tuple[Array, Array]
    thigh: tuple[Array, Array]
    trunk: tuple[Array, Array]
    arm: tuple[Array, Array]


@dataclass(frozen=True, slots=True, kw_only=True)
class Holding:
    """How the load is carried.

    Attributes:
        arms: true when straight arms hold it; then the hands are the load's place.
        along: else its place as a fraction of hip to shoulder; 0 and less hangs below L5/S1, as on a belt.
        forward_m: and in front of that line.
        arm_m: how far the hands hang from the shoulder in this grip, shape (cases,) or ().
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
class Levers:
    """First moments of mass [kg·m] by the sine or cosine that they go with, and the whole's mass [kg].

    A `level` lever goes with cos(trunk), an `upright` one with sin(trunk), `hands` with sin(arm), `thigh` and `shank` with
    the cosine of their own angle; `side` is the cosine of the turnout.
    """

    hands: Array
    l5s1_level: Array
    l5s1_upright: Array
    hip_level: Array
    hip_upright: Array
    thigh: Array
    shank: Array
    foot: Array
    whole_kg: Array
    side: Array


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


def levers_of(body: Body, holding: Holding, load_kg: Array, turnout: Array | float = 0.0) -> Levers:
    """The levers of every joint, worked out from the hands down.

    The knee's moment is taken in the leg's own plane, which sees the whole lever that the side view shortens by cos(turnout).
    A load that hangs at or below L5/S1 does not count above the place where it hangs.
    """
    side = np.cos(turnout)
    in_hands, on_trunk, on_belt = (load_kg * share for share in _carried(holding))
    hands = (body.arms_kg * body.arms_centre + in_hands) * (holding.arm_m if holding.arms else 0.0)
    above_kg = body.arms_kg + body.torso_kg + body.head_kg + in_hands + on_trunk
    level = (
        (body.arms_kg + in_hands) * body.trunk_m
        + body.torso_kg * body.torso_centre_m
        + body.head_kg * body.head_centre_m
        + on_trunk * holding.along * body.trunk_m
    )
    upper_kg = above_kg + body.pelvis_kg + on_belt
    leg_kg = upper_kg + body.thigh_kg
    return Levers(
        hands=hands,
        l5s1_level=level - above_kg * body.lumbar_m,
        l5s1_upright=on_trunk * holding.forward_m,
        hip_level=level + body.pelvis_kg * body.pelvis_centre_m + on_belt * holding.along * body.trunk_m,
        hip_upright=(on_trunk + on_belt) * holding.forward_m,
        thigh=upper_kg * body.thigh_m + body.thigh_kg * body.thigh_centre_m,
        shank=leg_kg * body.shank_m + body.shank_kg * body.shank_centre_m,
        foot=body.foot_kg * body.foot_centre_m * side,
        whole_kg=leg_kg + body.shank_kg + body.foot_kg,
        side=side + 0.0 * load_kg,
    )


def moments_of(levers: Levers, angles: Angles) -> Moments:
    """Net moments of a posture that is held still."""
    return moments_from(levers, sines_of(angles))


def sines_of(angles: Angles) -> Sines:
    """Sine and cosine of each angle."""
    return Sines(
        shank=(np.sin(angles.shank), np.cos(angles.shank)),
        thigh=(np.sin(angles.thigh), np.cos(angles.thigh)),
        trunk=(np.sin(angles.trunk), np.cos(angles.trunk)),
        arm=(np.sin(angles.arm), np.cos(angles.arm)),
    )


def moments_from(levers: Levers, sines: Sines) -> Moments:
    """As `moments_of`, from sines and cosines at hand."""
    upright, level = sines.trunk
    hands = levers.hands * sines.arm[0]
    hip = levers.hip_level * level + levers.hip_upright * upright + hands
    thigh = levers.thigh * sines.thigh[1]
    ankle = hip + (levers.shank * sines.shank[1] - thigh) * levers.side
    return Moments(
        ankle=GRAVITY * ankle,
        knee=GRAVITY * (thigh - hip / levers.side),
        hip=GRAVITY * hip,
        l5s1=GRAVITY * (levers.l5s1_level * level + levers.l5s1_upright * upright + hands),
        shoulder=GRAVITY * hands,
        centre_x=(ankle + levers.foot) / levers.whole_kg,
    )


def _carried(holding: Holding) -> tuple[float, float, float]:
    """Shares of the load in the hands, on the trunk and below L5/S1: one of them is all."""
    if holding.arms:
        return 1.0, 0.0, 0.0
    return (0.0, 1.0, 0.0) if holding.along > 0 else (0.0, 0.0, 1.0)
