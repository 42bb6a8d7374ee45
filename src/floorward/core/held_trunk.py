"""A trunk that hinges on held legs, as on a back extension bench: no posture to look for, only the upper body's own levers.

The model says nothing of knee and ankle, whose loads the bench decides, and leaves them out.
"""

import numpy as np

from floorward.core.body import Body
from floorward.core.lifts import Lift
from floorward.core.states import State, lumbar_flexion_deg
from floorward.core.statics import GRAVITY, Holding, levers_of

_HIP_HEIGHT_M = 0.9
_UPRIGHT_DEG = 90.0


def held_trunk_states(lift: Lift, bodies: Body, load_kg: float, trunk_deg: float) -> tuple[State, ...]:
    """The posture of every body with the trunk at `trunk_deg` from the horizontal and the legs along the bench."""
    holding = Holding(arms=False, along=lift.numbers["along"], forward_m=lift.numbers["forward_mm"] / 1000.0)
    levers = levers_of(bodies, holding, np.full(len(bodies.mass_kg), load_kg))
    level, upright = np.cos(np.radians(trunk_deg)), np.sin(np.radians(trunk_deg))
    hip = GRAVITY * (levers.hip_level * level + levers.hip_upright * upright)
    l5s1 = GRAVITY * (levers.l5s1_level * level + levers.l5s1_upright * upright)
    return tuple(
        State(
            angles_deg={"trunk": trunk_deg, "thigh": 0.0, "hip": 180.0 - _fold_deg(trunk_deg)},
            points_m=_points(bodies, holding, row, float(level), float(upright)),
            moments_nm={"hip": float(hip[row]), "l5s1": float(l5s1[row])},
            centre_offset_m=0.0,
            lumbar_flexion_deg=float(lumbar_flexion_deg(trunk_deg)),
        )
        for row in range(len(bodies.mass_kg))
    )


def _fold_deg(trunk_deg: float) -> float:
    """Trunk on thigh: none with a level trunk, for the legs lie level behind it."""
    return max(-trunk_deg, 0.0)


def _points(
    bodies: Body, holding: Holding, row: int, level: float, upright: float
) -> dict[str, tuple[float, float]]:
    def up_the_trunk(along_m: float, forward_m: float = 0.0) -> tuple[float, float]:
        """A place so far up the trunk and in front of it."""
        return (
            along_m * level + forward_m * upright,
            _HIP_HEIGHT_M + along_m * upright - forward_m * level,
        )

    thigh, shank = float(bodies.thigh_m[row]), float(bodies.shank_m[row])
    trunk = float(bodies.trunk_m[row])
    load = up_the_trunk(holding.along * trunk, holding.forward_m)
    return {
        "ankle": (-thigh - shank, _HIP_HEIGHT_M),
        "knee": (-thigh, _HIP_HEIGHT_M),
        "hip": (0.0, _HIP_HEIGHT_M),
        "l5s1": up_the_trunk(float(bodies.lumbar_m[row])),
        "shoulder": up_the_trunk(trunk),
        "head": up_the_trunk(float(bodies.head_centre_m[row])),
        "load": load,
        "hands": load,
    }
