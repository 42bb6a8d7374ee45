"""One posture as plain numbers: what pages print, figures draw and other programs read."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from floorward import tables
from floorward.core.geometry import Task
from floorward.core.posture import Postures

Array = NDArray[np.float64]

JOINTS = ("ankle", "knee", "hip", "l5s1", "shoulder")


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """One posture, held still.

    Attributes:
        angles_deg: shank and trunk from the horizontal (leaning forward < 90), thigh (0 level, positive with the hip
            higher), knee and hip as included angles (180 straight), arm (0 hanging, positive forward).
        points_m: heel, toe, ankle, knee, hip, l5s1, shoulder, hands, load, head as (x forward of the ankle, y above the
            platform).
        moments_nm: by joint, both sides together, positive when the muscles must extend. A joint that the lift's model says
            nothing about is left out of these.
        centre_offset_m: the whole's centre of mass in front of the middle of the foot.
        lumbar_flexion_deg: estimated; nobody can see it from outside.
    """

    angles_deg: Mapping[str, float] = field(hash=False)
    points_m: Mapping[str, tuple[float, float]] = field(hash=False)
    moments_nm: Mapping[str, float] = field(hash=False)
    centre_offset_m: float
    lumbar_flexion_deg: float


def lumbar_flexion_deg(trunk_deg: Array | float) -> Array:
    """Estimated lumbar flexion at a trunk inclination from the horizontal [deg]: a share of what a free bend would give."""
    row = tables.value("posture", "rhythm")
    free = np.interp(90.0 - np.asarray(trunk_deg), row["trunk_deg"], row["lumbar_deg"])
    return np.asarray(free * tables.value("posture", "rhythm_share"))


def state_at(task: Task, postures: Postures, row: int) -> State:
    """Row `row` of many postures as plain numbers."""
    angles, moments = postures.angles, postures.moments
    turned = float(task.turnout_rad[row])
    degrees = {
        name: float(np.degrees(getattr(angles, name)[row]))
        for name in ("shank", "thigh", "trunk", "knee", "hip", "arm")
    }
    offset = float(moments.centre_x[row]) - float(task.body.mid_foot_m[row]) * float(np.cos(turned))
    return State(
        angles_deg=degrees,
        points_m=_points(task, postures, row),
        moments_nm={joint: float(getattr(moments, joint)[row]) for joint in JOINTS},
        centre_offset_m=offset,
        lumbar_flexion_deg=float(lumbar_flexion_deg(degrees["trunk"])),
    )


def _points(task: Task, postures: Postures, row: int) -> dict[str, tuple[float, float]]:
    """Joint positions with y from the platform up; the ankle stays x = 0."""
    body, joints = task.body, postures.joints
    ground = float(body.ankle_height_m[row])
    lean = float(postures.angles.trunk[row])
    side = float(np.cos(task.turnout_rad[row]))
    head = float(body.head_centre_m[row])
    foot = float(body.foot_m[row])
    heel = (
        float(body.mid_foot_m[row])
        - float(tables.value("anthropometry", "joint", "mid_foot_from_heel")) * foot
    )
    found: dict[str, tuple[float, float]] = {
        "heel": (heel * side, 0.0),
        "toe": ((heel + foot) * side, 0.0),
        "ankle": (0.0, ground),
        "head": (
            float(joints.hip_x[row]) + head * float(np.cos(lean)),
            float(joints.hip_y[row]) + head * float(np.sin(lean)) + ground,
        ),
    }
    for name in ("knee", "hip", "l5s1", "shoulder", "load"):
        found[name] = (
            float(getattr(joints, f"{name}_x")[row]),
            float(getattr(joints, f"{name}_y")[row]) + ground,
        )
    return found | {"hands": found["load"]}
