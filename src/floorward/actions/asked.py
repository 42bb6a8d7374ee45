"""What one set-up asks of a lifter's sore region, load by load, ready to be looked up."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from floorward.core.atlas import curve_of
from floorward.core.lifts import catalogue
from floorward.core.records import Person, Region, SetUp
from floorward.core.tolerance_log import FOLDED_DEG


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One set-up of one lifter: demands that never fall as the load rises, and how far the start is bent.

    Attributes:
        loads_kg, moments_nm: points of a line, ascending.
        bend: 0 upright to 1 folded, in the middle of the loads.
    """

    loads_kg: tuple[float, ...]
    moments_nm: tuple[float, ...]
    bend: float

    def demand(self, load_kg: float) -> float:
        """What a load asks [N·m]."""
        return float(np.interp(load_kg, self.loads_kg, self.moments_nm))

    def demands(self, loads_kg: tuple[float, ...]) -> tuple[float, ...]:
        """What each load asks [N·m]."""
        found: list[float] = np.interp(loads_kg, self.loads_kg, self.moments_nm).tolist()
        return tuple(found)

    def load_kg(self, demand_nm: float) -> float:
        """The load that asks as much; 0 where the body alone asks more."""
        return float(np.interp(demand_nm, self.moments_nm, self.loads_kg))


@lru_cache(maxsize=2048)
def asked_of(person: Person, region: Region, setup: SetUp) -> Asked | None:
    """What a set-up asks of `region`; None where the lift is not modelled or the lifter never reaches its start.

    Kept, because a page asks for the same few set-ups again and again.
    """
    if setup.lift not in catalogue():
        return None
    curve = curve_of(person, setup)
    if curve is None:
        return None
    moments, there = curve.moment_nm[region], np.isfinite(curve.moment_nm[region])
    if there.sum() < 2 or moments[there].max() <= 0:
        return None
    rising = np.maximum(np.maximum.accumulate(moments[there]), 1.0)
    return Asked(
        loads_kg=tuple(curve.loads_kg[there].tolist()),
        moments_nm=tuple(rising.tolist()),
        bend=float(np.median(curve.bend_deg[region][there])) / FOLDED_DEG,
    )
