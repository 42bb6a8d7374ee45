"""How much effort a posture asks: moments as shares of what each joint can give.

Effort is the sum of (moment / capacity)² over hip, knee, L5/S1, ankle and shoulder. Capacity is a level relative to the hip's peak
times a factor of the joint's angle (tables/capacity.toml). Its absolute level cancels: the easiest posture is the same for all levels.
"""

import numpy as np
from numpy.typing import NDArray

from floorward import tables
from floorward.core.statics import Angles, Moments

Array = NDArray[np.float64]


def _curve(name: str, joint: str) -> tuple[float, float, float, float, float, float]:
    row = tables.value("capacity", name)
    scale = tables.value("capacity", "scale")[joint]
    low, high = np.radians(tables.value("capacity", "range")[f"{joint}_deg"])
    level = scale * row["level"] / tables.value("capacity", "hip")["level"]
    return (
        level,
        row["slope"],
        row["peak_rad"],
        float(low),
        float(high),
        tables.value("capacity", "floor")[name],
    )


_HIP = _curve("hip", "hip")
_KNEE = _curve("knee", "knee")
_KNEE_FLEXOR = _curve("knee_flexor", "knee")
_ANKLE = _curve("ankle", "ankle")
_ANKLE_FLEXOR = _curve("ankle_flexor", "ankle")
_SHOULDER = float(tables.value("capacity", "shoulder"))
_L5S1 = float(tables.value("capacity", "l5s1"))


def shares_of(angles: Angles, moments: Moments) -> Array:
    """Moment over capacity of hip, knee, L5/S1, ankle, shoulder, in N·m of hip peak; shape (5, *cases)."""
    knee_flexion = np.pi - angles.knee
    dorsiflexion = np.pi / 2 - angles.shank
    return np.stack(
        [
            moments.hip / _capacity(np.pi - angles.hip, _HIP),
            _either(moments.knee, knee_flexion, _KNEE, _KNEE_FLEXOR),
            moments.l5s1 / _L5S1,
            _either(moments.ankle, dorsiflexion, _ANKLE, _ANKLE_FLEXOR),
            moments.shoulder / _SHOULDER,
        ]
    )


def _either(moment: Array, flexion: Array, extensor: tuple[float, ...], flexor: tuple[float, ...]) -> Array:
    """The share of the muscles that the moment's sign calls upon."""
    return moment / np.where(moment >= 0, _capacity(flexion, extensor), _capacity(flexion, flexor))


def _capacity(flexion: Array, curve: tuple[float, ...]) -> Array:
    level, slope, peak, low, high, floor = curve
    factor = np.cos(slope * (np.minimum(np.maximum(flexion, low), high) - peak))
    found: Array = level * np.maximum(factor, floor)
    return found
