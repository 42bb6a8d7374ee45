"""What a set-up asks of each region at a load: the moment, the bend, how sure that is, and the posture it is read from.

Low back: the largest L5/S1 extensor moment of the lift and how far trunk and thigh fold. Hip and knee: their own moment and flexion.
A band covers the postures that are as good as the easiest one, and the bodies that stature and tape leave possible.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from floorward import tables
from floorward.core.body import Body, bodies_like, body_of
from floorward.core.geometry import Task
from floorward.core.lifts import Lift, catalogue
from floorward.core.posture import Postures, best_starts, easiest_from, near_easiest
from floorward.core.records import Person, Region, SetUp
from floorward.core.tasks import Given, Place, on_the_way_up, task_of

Array = NDArray[np.float64]

JOINTS = ("ankle", "knee", "hip", "l5s1", "shoulder")
MOMENT_OF = MappingProxyType({Region.LOW_BACK: "l5s1", Region.HIP: "hip", Region.KNEE: "knee"})
BEND_OF = MappingProxyType({Region.LOW_BACK: "hip", Region.HIP: "hip", Region.KNEE: "knee"})

_WAY_UP = np.array([0.0, 0.08, 0.16, 0.25, 0.35, 0.45, 0.6, 0.75])
_BODIES = 16
_UNMEASURED = Given()


@dataclass(frozen=True, slots=True, kw_only=True)
class Unreachable:
    """No posture keeps all rules; `code` names the rule that gives way last, `numbers` by how much."""

    code: str
    numbers: Mapping[str, float] = field(hash=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """One posture, held still.

    Attributes:
        angles_deg: shank and trunk from the horizontal (leaning forward < 90), thigh (0 level, positive with the hip higher), knee and
            hip as included angles (180 straight), arm (0 hanging, positive forward).
        points_m: heel, toe, ankle, knee, hip, l5s1, shoulder, hands, load, head as (x forward of the ankle, y above the platform).
        moments_nm: by joint, both sides together, positive when the muscles must extend.
        centre_offset_m: the whole's centre of mass in front of the middle of the foot.
        lumbar_flexion_deg: estimated; nobody can see it from outside.
    """

    angles_deg: Mapping[str, float] = field(hash=False)
    points_m: Mapping[str, tuple[float, float]] = field(hash=False)
    moments_nm: Mapping[str, float] = field(hash=False)
    centre_offset_m: float
    lumbar_flexion_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """Ten and ninety per cent of what may be."""

    p10: float
    p90: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RegionDemand:
    """What a region is asked: the largest moment of the lift, its band, and the bend at the start or bottom."""

    moment_nm: float
    band_nm: Band
    bend_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """All that mechanics say of one set-up at one load.

    Attributes:
        start: the posture at the start of a pull or the bottom of another lift.
        heaviest: the posture at the largest L5/S1 moment on the way up.
        peak_nm: each joint's largest extensor moment on the way up.
        bands: by name (l5s1_nm, hip_nm, knee_nm, trunk_deg, thigh_deg, knee_deg, hip_deg), at the start.
        two_ways: whether two clearly different postures are about equally easy.
    """

    load_kg: float
    start: State
    heaviest: State
    peak_nm: Mapping[str, float] = field(hash=False)
    regions: Mapping[Region, RegionDemand] = field(hash=False)
    bands: Mapping[str, Band] = field(hash=False)
    two_ways: bool


def demand_of(person: Person, setup: SetUp, load_kg: float) -> Demand | Unreachable:
    """What `setup` with `load_kg` (all that is held, bar included) asks of `person`. Kept, so that asking again costs nothing."""
    lift = catalogue()[setup.lift]
    return demand_at(person, lift, place_of(lift, setup), load_kg)


@lru_cache(maxsize=4096)
def demand_at(
    person: Person,
    lift: Lift,
    place: Place,
    load_kg: float,
    given: Given = _UNMEASURED,
    *,
    way_up: bool = True,
) -> Demand | Unreachable:
    """As `demand_of`, for any place.

    A stance, knee or trunk angle that was measured is `given` and rules over the model. Without the `way_up` the peak is the start's.
    """
    task = task_of(lift, _body(person), np.array([load_kg]), place, given)
    up = on_the_way_up(task, lift, _WAY_UP if way_up else _WAY_UP[:1])
    starts = best_starts(up)
    postures = easiest_from(up, starts)
    if not np.isfinite(postures.effort[0]):
        return Unreachable(code=postures.worst[0], numbers={"short_mm": float(postures.breach_m[0]) * 1000.0})
    styles = near_easiest(task, float(postures.angles.trunk[0]), float(postures.effort[0]))
    alike = task_of(lift, _bodies(person), np.full(_BODIES, load_kg), place, given)
    bodies = easiest_from(alike, np.repeat(starts[:, :1], _BODIES, axis=1))
    return _demand(load_kg, up, postures, _spread(postures, styles, bodies))


def place_of(lift: Lift, setup: SetUp) -> Place:
    """Where the set-up starts or turns, with the lift's own height where the set-up names none."""
    numbers = lift.numbers
    return Place(
        hand_height_m=(setup.height_mm or lift.default_height_mm) / 1000.0,
        depth_deg=float(setup.depth_deg or numbers.get("depth_deg", 0.0)),
        box_m=(setup.box_mm or numbers.get("box_mm", 0.0)) / 1000.0,
    )


def lumbar_flexion_deg(trunk_deg: Array | float) -> Array:
    """Estimated lumbar flexion at a trunk inclination from the horizontal [deg]: a share of what a free bend would give."""
    row = tables.value("posture", "rhythm")
    free = np.interp(90.0 - np.asarray(trunk_deg), row["trunk_deg"], row["lumbar_deg"])
    return np.asarray(free * tables.value("posture", "rhythm_share"))


@lru_cache(maxsize=256)
def _body(person: Person) -> Body:
    return body_of(person)


@lru_cache(maxsize=256)
def _bodies(person: Person) -> Body:
    return bodies_like(person, _BODIES)


def _spread(postures: Postures, styles: Postures, bodies: Postures) -> dict[str, Array]:
    """Values of every banded quantity: equally easy postures and, around them, what other likely bodies would change."""
    centre = {name: values[:1] for name, values in _quantities(postures).items()}
    easy, alike = _quantities(styles), _quantities(bodies)
    return {
        name: np.add.outer(_or(easy[name], own), _or(alike[name] - own, 0.0 * own)).ravel()
        for name, own in centre.items()
    }


def _or(values: Array, otherwise: Array) -> Array:
    return values if len(values) else otherwise


def _quantities(postures: Postures) -> dict[str, Array]:
    reached = np.isfinite(postures.effort)
    angles, moments = postures.angles, postures.moments
    found = {
        "l5s1_nm": moments.l5s1,
        "hip_nm": moments.hip,
        "knee_nm": moments.knee,
        "trunk_deg": np.degrees(angles.trunk),
        "thigh_deg": np.degrees(angles.thigh),
        "knee_deg": np.degrees(angles.knee),
        "hip_deg": np.degrees(angles.hip),
    }
    return {name: values[reached] for name, values in found.items()}


def _demand(load_kg: float, task: Task, postures: Postures, near: Mapping[str, Array]) -> Demand:
    reached = np.isfinite(postures.effort)
    peak = {
        joint: float(np.max(getattr(postures.moments, joint), where=reached, initial=-np.inf))
        for joint in JOINTS
    }
    heaviest = int(np.where(reached, postures.moments.l5s1, -np.inf).argmax())
    start = state_at(task, postures, 0)
    bands = {
        name: Band(p10=float(np.percentile(v, 10)), p90=float(np.percentile(v, 90)))
        for name, v in near.items()
    }
    return Demand(
        load_kg=load_kg,
        start=start,
        heaviest=state_at(task, postures, heaviest),
        peak_nm=peak,
        regions={region: _region(region, start, peak, bands) for region in Region if region in MOMENT_OF},
        bands=bands,
        two_ways=bands["thigh_deg"].p90 - bands["thigh_deg"].p10 > _TWO_WAYS_DEG,
    )


_TWO_WAYS_DEG = 25.0


def _region(
    region: Region, start: State, peak: Mapping[str, float], bands: Mapping[str, Band]
) -> RegionDemand:
    """The region's largest moment, with the start's relative band around it."""
    joint = MOMENT_OF[region]
    shift = peak[joint] - start.moments_nm[joint]
    band = bands[f"{joint}_nm"]
    bend = 180.0 - start.angles_deg["knee" if region == Region.KNEE else "hip"]
    return RegionDemand(
        moment_nm=peak[joint], band_nm=Band(p10=band.p10 + shift, p90=band.p90 + shift), bend_deg=bend
    )


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
