"""What a set-up asks of each region at a load: the moment, the bend, how sure that is, and the posture it is read from.

Low back: the largest L5/S1 extensor moment of the lift and how far trunk and thigh fold. Hip and knee: their own moment
and flexion. A band covers the postures that are as good as the easiest one, and the bodies that stature and tape leave possible.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from floorward import tables
from floorward.core.body import Body, bodies_like, body_of
from floorward.core.geometry import Task, joined, likeness
from floorward.core.held_trunk import held_trunk_states
from floorward.core.lifts import Lift, Model, catalogue
from floorward.core.posture import Postures, best_starts, easiest_from, near_easiest
from floorward.core.records import Person, Region, SetUp
from floorward.core.states import State, state_at
from floorward.core.tasks import NOTHING_GIVEN, Given, Place, given_of, on_the_way_up, place_of, task_of
from floorward.errors import ContractError

Array = NDArray[np.float64]

MOMENT_OF = MappingProxyType({Region.LOW_BACK: "l5s1", Region.HIP: "hip", Region.KNEE: "knee"})
BEND_OF = MappingProxyType({Region.LOW_BACK: "hip", Region.HIP: "hip", Region.KNEE: "knee"})

# shares of the way from the start to standing where the largest moment is looked for
WAY_UP = np.array([0.0, 0.08, 0.16, 0.25, 0.35, 0.45, 0.6, 0.75])
_BODIES = 16
_TWO_WAYS_DEG = float(tables.value("posture", "two_ways"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Unreachable:
    """No posture keeps all rules; `code` names the rule that gives way last, `numbers` by how much."""

    code: str
    numbers: Mapping[str, float] = field(hash=False)


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


def demand_of(person: Person, setup: SetUp, load_kg: float, *, bodies: int = _BODIES) -> Demand | Unreachable:
    """What `setup` with `load_kg` (all that is held, bar included) asks of `person`.

    Angles that were measured of this person in this set-up rule. Kept, so that asking again costs nothing.

    Raises:
        ContractError: if the lift is not modelled.
    """
    lift = catalogue()[setup.lift]
    given, unmeasured = given_of(person, setup), replace(person, measured=())
    return demand_at(unmeasured, lift, place_of(lift, setup), load_kg, given, bodies=bodies)


@lru_cache(maxsize=256)
def demands_of(person: Person, setups: tuple[SetUp, ...], load_kg: float) -> tuple[Demand | Unreachable, ...]:
    """As `demand_of` for several set-ups at one load, in their order; what they have in common is worked out once. Kept as well.

    Raises:
        ContractError: if a lift is not modelled.
    """
    unmeasured, lifts = replace(person, measured=()), catalogue()
    return demands_at(
        tuple(
            Case(
                person=unmeasured,
                lift=lifts[setup.lift],
                place=place_of(lifts[setup.lift], setup),
                load_kg=load_kg,
                given=given_of(person, setup),
            )
            for setup in setups
        )
    )


@lru_cache(maxsize=4096)
def demand_at(
    person: Person,
    lift: Lift,
    place: Place,
    load_kg: float,
    given: Given = NOTHING_GIVEN,
    *,
    way_up: bool = True,
    bodies: int = _BODIES,
) -> Demand | Unreachable:
    """As `demand_of`, for any place.

    Bands rest on so many `bodies`; more make them steadier, to be compared with one another.

    A stance, knee or trunk angle is `given` and rules over the model; what the person was measured at is not looked at. Without the `way_up` the peak
    is the start's.
    """
    case = Case(person=person, lift=lift, place=place, load_kg=load_kg, given=given, way_up=way_up)
    return demands_at((case,), bodies=bodies)[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """What `demand_at` is asked, to be answered together with others."""

    person: Person
    lift: Lift
    place: Place
    load_kg: float
    given: Given = NOTHING_GIVEN
    way_up: bool = True


def demands_at(cases: Sequence[Case], *, bodies: int = _BODIES) -> tuple[Demand | Unreachable, ...]:
    """As `demand_at`, for many cases of any persons and lifts; those that are alike are worked out at once, in a fraction of the time.

    Nothing is kept. Memory grows with the number of cases: a few hundred are many.

    Raises:
        ContractError: if a lift is not modelled.
    """
    found: dict[int, Demand | Unreachable] = {}
    alike: dict[tuple[object, ...], list[tuple[int, _Prepared]]] = {}
    for number, case in enumerate(cases):
        if not case.lift.modelled:
            raise ContractError(f"{case.lift.key} is not modelled; go by pain only")
        if case.lift.model == Model.TRUNK:
            found[number] = _held_trunk(case.person, case.lift, case.load_kg, case.given)
        else:
            one = _prepared(case, bodies)
            kind = (case.way_up, likeness(one.task), likeness(one.up))
            alike.setdefault(kind, []).append((number, one))
    for group in alike.values():
        numbers, prepared = zip(*group, strict=True)
        found.update(zip(numbers, _together(prepared), strict=True))
    return tuple(found[number] for number in range(len(cases)))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Prepared:
    """A case as tasks: the start, the way up from it, and the start of bodies that are as likely."""

    load_kg: float
    task: Task
    up: Task
    bodies: Task


def _prepared(case: Case, bodies: int) -> _Prepared:
    task = task_of(case.lift, _body(case.person), np.array([case.load_kg]), case.place, case.given)
    likely = np.full(bodies, case.load_kg)
    return _Prepared(
        load_kg=case.load_kg,
        task=task,
        up=on_the_way_up(task, case.lift, WAY_UP if case.way_up else WAY_UP[:1]),
        bodies=task_of(case.lift, _bodies(case.person, bodies), likely, case.place, case.given),
    )


def _together(group: Sequence[_Prepared]) -> list[Demand | Unreachable]:
    """The answers of tasks that are alike; the ways up first, then all bodies."""
    steps, bodies = len(group[0].up.load_kg), len(group[0].bodies.load_kg)
    up = joined([one.up for one in group])
    starts = best_starts(up)
    all_starts = np.concatenate([starts, np.repeat(starts[:, ::steps], bodies, axis=1)], axis=1)
    everybody = joined([up, *(one.bodies for one in group)])
    found = easiest_from(everybody, all_starts, careful=len(up.load_kg))
    first, last = found.cases(slice(0, len(group) * steps)), found.cases(slice(len(group) * steps, None))
    reached = np.flatnonzero(np.isfinite(first.effort[::steps]))
    styles = _styles([group[int(row)].task for row in reached], first, reached * steps)
    return [
        _answer(
            one,
            first.cases(slice(row * steps, (row + 1) * steps)),
            styles.get(row * steps),
            last.cases(slice(row * bodies, (row + 1) * bodies)),
        )
        for row, one in enumerate(group)
    ]


def _styles(tasks: Sequence[Task], postures: Postures, rows: NDArray[np.intp]) -> dict[int, Postures]:
    """By row of the start, postures about as easy."""
    if not tasks:
        return {}
    many = near_easiest(joined(tasks), postures.angles.trunk[rows], postures.effort[rows])
    tries = len(many.effort) // len(tasks)
    return {int(row): many.cases(slice(n * tries, (n + 1) * tries)) for n, row in enumerate(rows)}


def _answer(
    case: _Prepared, postures: Postures, styles: Postures | None, others: Postures
) -> Demand | Unreachable:
    if styles is None:
        return Unreachable(code=postures.worst[0], numbers={"short_mm": float(postures.breach_m[0]) * 1000.0})
    thighs = _quantities(styles)["thigh_deg"]
    return _demand(
        load_kg=case.load_kg,
        states=tuple(
            state_at(case.up, postures, int(row)) for row in np.flatnonzero(np.isfinite(postures.effort))
        ),
        spread=_spread(postures, styles, others),
        two_ways=bool(len(thighs)) and float(np.ptp(thighs)) > _TWO_WAYS_DEG,
    )


def _held_trunk(person: Person, lift: Lift, load_kg: float, given: Given) -> Demand:
    """The demand of a lift whose trunk alone is modelled; it is heaviest with the trunk level, where it is held."""
    trunk_deg = lift.numbers["trunk_deg"] if given.trunk_deg is None else given.trunk_deg
    likely = held_trunk_states(lift, _body(person), load_kg, trunk_deg)
    alike = held_trunk_states(lift, _bodies(person, _BODIES), load_kg, trunk_deg)
    spread = {
        f"{joint}_nm": np.array([state.moments_nm[joint] for state in alike]) for joint in ("hip", "l5s1")
    }
    fixed = {f"{name}_deg": np.array([angle]) for name, angle in likely[0].angles_deg.items()}
    return _demand(load_kg=load_kg, states=likely, spread=spread | fixed, two_ways=False)


def dynamic_factor(speed: str) -> float:
    """By how much the largest moment of a moving lift exceeds that of one held still: `heavy`, `moderate` or `fast`.

    Not in any answer by itself: ratios between lifts of one speed do not need it.
    """
    return float(tables.value("dynamics", speed))


@lru_cache(maxsize=256)
def _body(person: Person) -> Body:
    return body_of(person)


@lru_cache(maxsize=256)
def _bodies(person: Person, count: int) -> Body:
    return bodies_like(person, count)


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


def _demand(
    *, load_kg: float, states: tuple[State, ...], spread: Mapping[str, Array], two_ways: bool
) -> Demand:
    """All of it from the states on the way up, the start first."""
    start = states[0]
    peak = {joint: max(state.moments_nm[joint] for state in states) for joint in start.moments_nm}
    bands = {name: _band(values) for name, values in spread.items()}
    return Demand(
        load_kg=load_kg,
        start=start,
        heaviest=max(states, key=lambda state: state.moments_nm["l5s1"]),
        peak_nm=peak,
        regions={
            region: _region(region, start, peak, bands)
            for region, joint in MOMENT_OF.items()
            if joint in peak
        },
        bands=bands,
        two_ways=two_ways,
    )


def _band(values: Array) -> Band:
    low, high = np.percentile(values, [10, 90])
    return Band(p10=float(low), p90=float(high))


def _region(
    region: Region, start: State, peak: Mapping[str, float], bands: Mapping[str, Band]
) -> RegionDemand:
    """The region's largest moment, with the start's relative band around it."""
    joint = MOMENT_OF[region]
    shift = peak[joint] - start.moments_nm[joint]
    band = bands[f"{joint}_nm"]
    bend = 180.0 - start.angles_deg[BEND_OF[region]]
    return RegionDemand(
        moment_nm=peak[joint], band_nm=Band(p10=band.p10 + shift, p90=band.p90 + shift), bend_deg=bend
    )
