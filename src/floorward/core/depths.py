"""Depths that a rack's pins mark: where the bar of a squat would meet them, so that a shorter range is the same every time.

A squat to the pins ends where the bar touches them. How far the thigh is above level there follows from the lifter's body; the
load moves it by a few degrees, so that one load stands for all.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from floorward import tables
from floorward.core.body import body_of, stack
from floorward.core.heights import Stand, on_pins
from floorward.core.lifts import Fixes, Lift
from floorward.core.posture import easiest
from floorward.core.records import Person, RackPins
from floorward.core.tasks import Place, task_of

Array = NDArray[np.float64]

_GRID_DEG = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Depth:
    """A shorter range: the thigh so far above level, the bar on the pins there."""

    depth_deg: int
    stand: Stand


def marked_depths(person: Person, lift: Lift, load_kg: float, racks: Iterable[RackPins]) -> tuple[Depth, ...]:
    """Every depth of a squat, shorter than in full, that a hole of a rack marks; the deepest first.

    Each depth comes once, and none that is so near to the full one or so high that it is of no use
    (`comparison.depths`). None for lifts that are not squats with a bar.
    """
    if lift.fixes is not Fixes.THIGH or lift.hands:
        return ()
    full_deg, within = lift.numbers["depth_deg"], tables.value("comparison", "depths")
    least, most = full_deg + within["least"], full_deg + within["most"]
    depths = np.arange(full_deg, most + _GRID_DEG, _GRID_DEG)
    heights = bar_heights_mm(person, lift, load_kg, depths)
    there = np.isfinite(heights)
    if there.sum() < 2:
        return ()
    rising = np.maximum.accumulate(heights[there])
    found: dict[int, Depth] = {}
    for stand in on_pins(racks):
        depth = float(np.interp(float(stand.height_mm), rising, depths[there], left=np.nan, right=np.nan))
        if least <= depth <= most:
            found.setdefault(round(depth), Depth(depth_deg=round(depth), stand=stand))
    return tuple(found[depth] for depth in sorted(found))


def bar_heights_mm(person: Person, lift: Lift, load_kg: float, depths_deg: Array) -> Array:
    """The load above the platform at the bottom of a squat of each depth; NaN where the body does not get there."""
    cases = len(depths_deg)
    bodies = stack((body_of(person),)).take(np.zeros(cases, dtype=np.intp))
    found = easiest(task_of(lift, bodies, np.full(cases, load_kg), Place(depth_deg=depths_deg)))
    height_m = found.joints.load_y + bodies.ankle_height_m
    return np.where(np.isfinite(found.effort), height_m * 1000.0, np.nan)
