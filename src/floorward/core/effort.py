"""How much effort a posture asks: moments as shares of what each joint can give, and how they change with the posture.

Effort is the sum of (moment / capacity)² over hip, knee, L5/S1, ankle and shoulder. Capacity is a level relative to the
hip's peak times a factor of the joint's angle (tables/capacity.toml). Its absolute level cancels: the easiest posture is the
same for all levels.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from floorward import tables
from floorward.core.statics import GRAVITY, Angles, Levers, Moments, Sines

Array = NDArray[np.float64]

SHARES = ("hip", "knee", "l5s1", "ankle", "shoulder")
SHANK, THIGH, ARM, TRUNK = range(4)

_ROUND = float(tables.value("capacity", "floor_round"))


class Curve(NamedTuple):
    """Capacity of a muscle group against its joint's flexion [rad], relative to the hip's peak; or of many, as arrays."""

    level: float | Array
    slope: float | Array
    peak: float | Array
    low: float | Array
    high: float | Array
    flexed_floor: float | Array
    extended_floor: float | Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Strengths:
    """The capacity of every joint; the shipped one is STRENGTHS, another answers "what if"."""

    hip: Curve
    knee: Curve
    knee_flexor: Curve
    ankle: Curve
    ankle_flexor: Curve
    l5s1: float | Array
    shoulder: float | Array


def _curve(name: str, joint: str) -> Curve:
    row = tables.value("capacity", name)
    scale = tables.value("capacity", "scale")[joint]
    low, high = np.radians(tables.value("capacity", "range")[f"{joint}_deg"])
    level = scale * row["level"] / tables.value("capacity", "hip")["level"]
    floors = [tables.value("capacity", "floor", side)[name] for side in ("flexed", "extended")]
    return Curve(level, row["slope"], row["peak_rad"], float(low), float(high), *floors)


STRENGTHS = Strengths(
    hip=_curve("hip", "hip"),
    knee=_curve("knee", "knee"),
    knee_flexor=_curve("knee_flexor", "knee"),
    ankle=_curve("ankle", "ankle"),
    ankle_flexor=_curve("ankle_flexor", "ankle"),
    l5s1=float(tables.value("capacity", "l5s1")),
    shoulder=float(tables.value("capacity", "shoulder")),
)


def capacity(flexion: Array, curve: Curve) -> tuple[Array, Array]:
    """Capacity at a joint's flexion [rad], and its change per radian.

    A curve runs into its floor along a parabola. A corner there would have a posture as easy on either side of it, and a
    bar a centimetre higher would jump from the one to the other.
    """
    held = np.minimum(np.maximum(flexion, curve.low), curve.high)
    turn = curve.slope * (held - curve.peak)
    floor = np.where(turn > 0, curve.flexed_floor, curve.extended_floor)
    over = np.cos(turn) - floor
    share = np.minimum(np.maximum((over + _ROUND) / (2.0 * _ROUND), 0.0), 1.0)
    factor = floor + np.where(share < 1.0, _ROUND * share**2, over)
    slope = np.where(held != flexion, 0.0, -curve.level * curve.slope * np.sin(turn) * share)
    return curve.level * factor, slope


def effort_of(angles: Angles, moments: Moments, strengths: Strengths = STRENGTHS) -> Array:
    """Σ (moment / capacity)², in (N·m)² of hip peak."""
    (hip, knee, knee_flexor, ankle, ankle_flexor), _ = _capacities(angles, strengths)
    shares = (
        moments.hip / hip,
        moments.knee / np.where(moments.knee >= 0, knee, knee_flexor),
        moments.l5s1 / strengths.l5s1,
        moments.ankle / np.where(moments.ankle >= 0, ankle, ankle_flexor),
        moments.shoulder / strengths.shoulder,
    )
    return sum((share**2 for share in shares), start=np.zeros_like(moments.hip))


def fill_shares(
    values: Array,
    slopes: Array,
    side: Array,
    angles: Angles,
    moments: Moments,
    turns: tuple[Array, ...],
    strengths: Strengths,
) -> None:
    """Write the five shares into the first rows of `values` (rows, *cases) and `slopes` (rows, 4, *cases).

    Slopes are against SHANK, THIGH, ARM, TRUNK; `turns` are the `moment_slopes`, `side` the cosine of the turnout.
    A share m/c changes by (m' - m c'/c) / c.
    """
    levels, turned = _capacities(angles, strengths)
    hip, hip_turn = levels[0], turned[0]
    knee, knee_turn = _called_upon(moments.knee, levels[1:3], turned[1:3])
    ankle, ankle_turn = _called_upon(moments.ankle, levels[3:5], turned[3:5])
    values[0] = moments.hip / hip
    values[1] = moments.knee / knee
    values[2] = moments.l5s1 / strengths.l5s1
    values[3] = moments.ankle / ankle
    values[4] = moments.shoulder / strengths.shoulder
    shank, thigh, arm, trunk, l5s1_trunk = turns
    slopes[0, ARM] = arm / hip
    slopes[0, TRUNK] = (trunk + values[0] * hip_turn) / hip
    slopes[0, THIGH] = values[0] * hip_turn / hip
    slopes[1, ARM] = -arm / (side * knee)
    slopes[1, TRUNK] = -trunk / (side * knee)
    slopes[1, SHANK] = values[1] * knee_turn / knee
    slopes[1, THIGH] = slopes[1, SHANK] + thigh / knee
    slopes[2, ARM] = arm / strengths.l5s1
    slopes[2, TRUNK] = l5s1_trunk / strengths.l5s1
    slopes[3, ARM] = arm / ankle
    slopes[3, TRUNK] = trunk / ankle
    slopes[3, THIGH] = -side * thigh / ankle
    slopes[3, SHANK] = (side * shank + values[3] * ankle_turn) / ankle
    slopes[4, ARM] = arm / strengths.shoulder


def moment_slopes(levers: Levers, sines: Sines) -> tuple[Array, Array, Array, Array, Array]:
    """How moments change per radian: the shank's and thigh's own levers, the arm's, the trunk's at hip and at L5/S1."""
    up, level = sines.trunk
    return (
        -GRAVITY * levers.shank * sines.shank[0],
        -GRAVITY * levers.thigh * sines.thigh[0],
        GRAVITY * levers.hands * sines.arm[1],
        GRAVITY * (levers.hip_upright * level - levers.hip_level * up),
        GRAVITY * (levers.l5s1_upright * level - levers.l5s1_level * up),
    )


def _capacities(angles: Angles, strengths: Strengths) -> tuple[Array, Array]:
    """Capacities and their slopes of hip, knee, knee flexors, ankle and ankle flexors, shape (5, *cases), in one go."""
    knee, ankle = np.pi - angles.knee, np.pi / 2 - angles.shank
    flexion = np.stack([np.pi - angles.hip, knee, knee, ankle, ankle])
    curves = (strengths.hip, strengths.knee, strengths.knee_flexor, strengths.ankle, strengths.ankle_flexor)
    table = np.array(curves).reshape(len(curves), -1, *(1,) * (flexion.ndim - 1))
    return capacity(flexion, Curve(*table.swapaxes(0, 1)))


def _called_upon(moment: Array, levels: Array, slopes: Array) -> tuple[Array, Array]:
    """Capacity and its slope of the muscles that the moment's sign calls upon: extensors first, flexors second."""
    extends = moment >= 0
    return np.where(extends, levels[0], levels[1]), np.where(extends, slopes[0], slopes[1])
