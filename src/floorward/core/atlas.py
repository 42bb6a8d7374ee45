"""What every set-up asks of one lifter over a range of loads, worked out at once and kept, so that pages only look up.

A curve is one set-up of one lifter: moments and bends against load, and by what factors equally easy postures and equally
likely bodies would change them. Two curves of one family give the load that asks the same of a region.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from floorward.core.body import Body, bodies_like, body_of, stack
from floorward.core.demand import BEND_OF, MOMENT_OF, WAY_UP
from floorward.core.geometry import Task
from floorward.core.lifts import Lift, catalogue
from floorward.core.posture import Postures, best_starts, easiest_from, near_easiest, two_ways
from floorward.core.records import Person, Region, SetUp
from floorward.core.tasks import Given, Place, given_of, on_the_way_up, place_of, task_of

Array = NDArray[np.float64]

LOADS_KG = np.array([0.0, 30.0, 60.0, 100.0, 150.0, 200.0, 260.0, 330.0, 420.0, 540.0, 700.0])
_BODIES = 12
_KEY_LOADS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Postures of one lift at several places and loads; arrays of shape (places, loads), NaN where nothing reaches.

    Attributes:
        moments_nm: by joint name.
        angles_deg: by angle name.
    """

    loads_kg: Array
    moments_nm: dict[str, Array] = field(hash=False)
    angles_deg: dict[str, Array] = field(hash=False)

    @property
    def reached(self) -> NDArray[np.bool_]:
        """Where a posture keeps all rules."""
        return np.isfinite(self.moments_nm["l5s1"])


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """One set-up of one lifter over LOADS_KG.

    Attributes:
        moment_nm: by region, the largest moment of the lift, shape (loads,), NaN where nothing reaches.
        bend_deg: by region, at the start or bottom, shape (loads,).
        bodies: by region, factors of equally likely bodies, shape (bodies,); the same bodies in every curve of a person.
        styles: by region, factors of equally easy postures.
    """

    lift: Lift
    loads_kg: Array = field(hash=False)
    moment_nm: dict[Region, Array] = field(hash=False)
    bend_deg: dict[Region, Array] = field(hash=False)
    bodies: dict[Region, Array] = field(hash=False)
    styles: dict[Region, Array] = field(hash=False)


def grid_of(body: Body, lift: Lift, places: Sequence[Place], loads_kg: Array) -> Grid:
    """All places × loads of one lift for one body.

    The whole range of the trunk is looked over at a few loads only; the others start from what was found there, which
    gives the same postures at a fraction of the time.
    """
    keys = np.unique(np.linspace(0, len(loads_kg) - 1, min(_KEY_LOADS, len(loads_kg))).round().astype(int))
    shape = (4, len(places), len(keys), 2)
    ways = two_ways(_tasks(body, lift, places, loads_kg[keys])).reshape(shape)
    starts = _between_keys(ways, loads_kg[keys], loads_kg).reshape(4, len(places) * len(loads_kg), -1)
    found = easiest_from(_tasks(body, lift, places, loads_kg), starts, steps=3, near=True)
    return _grid(found, loads_kg, (len(places), len(loads_kg)))


def _between_keys(ways: Array, key_loads_kg: Array, loads_kg: Array) -> Array:
    """Starts for every load from the two ways at the loads around it: on the lines between, and each one's first as it is.

    Shapes: ways (4, places, keys, 2), result (4, places, loads, 4).
    """
    after = np.minimum(np.searchsorted(key_loads_kg, loads_kg), len(key_loads_kg) - 1)
    before = np.maximum(after - 1, 0)
    gap = np.maximum(key_loads_kg[after] - key_loads_kg[before], 1e-9)
    share = np.clip((loads_kg - key_loads_kg[before]) / gap, 0.0, 1.0)[:, None]
    line = (1 - share) * ways[:, :, before] + share * ways[:, :, after]
    return np.concatenate([line, ways[:, :, before, :1], ways[:, :, after, :1]], axis=-1)


def curve_of(person: Person, setup: SetUp) -> Curve | None:
    """The curve of a set-up, kept by person; None where the lift is not modelled or never reached.

    Angles that were measured of this person in this set-up rule at every load.
    """
    lift = catalogue()[setup.lift]
    if not lift.linked:
        return None
    return _curve(replace(person, measured=()), lift, place_of(lift, setup), given_of(person, setup))


@lru_cache(maxsize=1024)
def _curve(person: Person, lift: Lift, place: Place, given: Given) -> Curve | None:
    body = body_of(person)
    task = task_of(lift, _repeated(body, len(LOADS_KG)), LOADS_KG, place, given)
    up = on_the_way_up(task, lift, WAY_UP)
    starts = best_starts(up)
    found = easiest_from(up, starts)
    reached = np.isfinite(found.effort).reshape(len(LOADS_KG), -1)
    if not reached[:, 0].any():
        return None
    middle = int(np.flatnonzero(reached[:, 0])[reached[:, 0].sum() // 2])
    row = middle * len(WAY_UP)
    alike = bodies_like(person, _BODIES)
    bodies = easiest_from(
        task_of(lift, alike, np.full(_BODIES, LOADS_KG[middle]), place, given),
        np.repeat(starts[:, row : row + 1], _BODIES, axis=1),
    )
    styles = near_easiest(
        up.take(np.array([row])), found.angles.trunk[row : row + 1], found.effort[row : row + 1]
    )
    likely = {region: float(getattr(found.moments, MOMENT_OF[region])[row]) for region in MOMENT_OF}
    return Curve(
        lift=lift,
        loads_kg=LOADS_KG,
        moment_nm={region: _peaks(found, region, reached) for region in MOMENT_OF},
        bend_deg={region: _bends(found, region, reached) for region in MOMENT_OF},
        bodies={region: _moments(bodies, region) / likely[region] for region in MOMENT_OF},
        styles={region: _easy(styles, region, likely[region]) for region in MOMENT_OF},
    )


def equal_demand_load_kg(
    person: Person, from_setup: SetUp, from_load_kg: float, to_setup: SetUp, region: Region
) -> tuple[float, float, float] | None:
    """The load on `to_setup` that asks as much of `region` as `from_load_kg` on `from_setup`: (p10, p50, p90).

    None across families, where people differ too much for a load to be carried over, where a lift is not modelled, or
    where no load asks as much.
    """
    if catalogue()[from_setup.lift].family != catalogue()[to_setup.lift].family:
        return None
    one, other = curve_of(person, from_setup), curve_of(person, to_setup)
    if one is None or other is None:
        return None
    asked = float(np.interp(from_load_kg, *_known(one, region)))
    if from_setup == to_setup:
        return from_load_kg, from_load_kg, from_load_kg
    loads, moments = _known(other, region)
    most_likely = float(_loads_at(np.array([asked]), loads, moments)[0])
    if np.isnan(most_likely):
        return None
    bodies = one.bodies[region] / other.bodies[region]
    styles = np.outer(one.styles[region], 1.0 / other.styles[region]).ravel()
    factors = np.outer(bodies, styles).ravel()
    spread = _loads_at(asked * factors[np.isfinite(factors)], loads, moments)
    reached = spread[np.isfinite(spread)]
    low, high = np.percentile(reached if len(reached) else np.array([most_likely]), [10, 90])
    return min(float(low), most_likely), most_likely, max(float(high), most_likely)


def _loads_at(asked_nm: Array, loads_kg: Array, moments_nm: Array) -> Array:
    """The lightest loads at which the moment reaches each of `asked_nm`; NaN where none does, or bare body weight asks more."""
    rising = np.maximum.accumulate(moments_nm)
    within = (rising[0] <= asked_nm) & (asked_nm <= rising[-1])
    return np.where(within, np.interp(asked_nm, rising, loads_kg), np.nan)


def _known(curve: Curve, region: Region) -> tuple[Array, Array]:
    there = np.isfinite(curve.moment_nm[region])
    return curve.loads_kg[there], curve.moment_nm[region][there]


def _tasks(body: Body, lift: Lift, places: Sequence[Place], loads_kg: Array) -> Task:
    """Places × loads, loads running fastest."""
    cases = len(places) * len(loads_kg)
    place = Place(
        hand_height_m=np.repeat([one.hand_height_m for one in places], len(loads_kg)),
        depth_deg=np.repeat([one.depth_deg for one in places], len(loads_kg)),
        box_m=np.repeat([one.box_m for one in places], len(loads_kg)),
    )
    return task_of(lift, _repeated(body, cases), np.tile(loads_kg, len(places)), place)


def _repeated(body: Body, cases: int) -> Body:
    return stack((body,)).take(np.zeros(cases, dtype=np.intp))


def _grid(found: Postures, loads_kg: Array, shape: tuple[int, int]) -> Grid:
    reached = np.isfinite(found.effort)

    def laid(values: Array) -> Array:
        """Places × loads, empty where nothing reaches."""
        return np.where(reached, values, np.nan).reshape(shape)

    moments = {name: laid(getattr(found.moments, name)) for name in ("ankle", "knee", "hip", "l5s1")}
    angles = {
        name: laid(np.degrees(getattr(found.angles, name)))
        for name in ("shank", "thigh", "trunk", "knee", "hip", "arm")
    }
    return Grid(loads_kg=loads_kg, moments_nm=moments, angles_deg=angles)


def _peaks(found: Postures, region: Region, reached: NDArray[np.bool_]) -> Array:
    """The largest moment on the way up at each load; NaN where the start itself is not reached."""
    moments = getattr(found.moments, MOMENT_OF[region]).reshape(reached.shape)
    peaks = np.where(reached, moments, -np.inf).max(axis=1)
    return np.where(reached[:, 0], peaks, np.nan)


def _bends(found: Postures, region: Region, reached: NDArray[np.bool_]) -> Array:
    angle = np.degrees(getattr(found.angles, BEND_OF[region])).reshape(reached.shape)[:, 0]
    return np.where(reached[:, 0], 180.0 - angle, np.nan)


def _moments(found: Postures, region: Region) -> Array:
    """The region's moment of each body; NaN where it reaches nothing."""
    return np.where(np.isfinite(found.effort), getattr(found.moments, MOMENT_OF[region]), np.nan)


def _easy(found: Postures, region: Region, likely_nm: float) -> Array:
    """The region's moment of every easy posture against the likeliest's."""
    moments = _moments(found, region)
    easy = moments[np.isfinite(moments)] / likely_nm
    return easy if len(easy) else np.ones(1)
