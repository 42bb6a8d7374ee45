"""A lift, a body and a load made into the task that a posture must meet: at the start or bottom, and on the way up."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from floorward import tables
from floorward.core.body import Body
from floorward.core.effort import STRENGTHS, Strengths
from floorward.core.geometry import Task
from floorward.core.lifts import Fixes, Held, Lift, Model, catalogue
from floorward.core.records import Measured, Person, SetUp
from floorward.core.statics import Holding

Array = NDArray[np.float64]

_KNEE_BEND_DEG = float(tables.value("posture", "knee_bend"))
_KNEE_STRAIGHT_DEG = float(tables.value("posture", "knee_straight"))
_REACH_M = float(tables.value("posture", "girdle_reach")) / 1000.0
_ABDUCTION_DEG = float(tables.value("posture", "abduction"))
_SEAT_M = float(tables.value("posture", "hip_above_seat")) / 1000.0
_STANDING_THIGH_DEG = 80.0
_STANDING_TRUNK_DEG = 85.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """What a coach measured or chose beside the set-up; 0 or None where nothing was."""

    stance_mm: float = 0.0
    knee_deg: float | None = None
    trunk_deg: float | None = None


NOTHING_GIVEN = Given()


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where the lift starts or turns; only what the lift fixes counts. Scalars or shape (cases,)."""

    hand_height_m: Array | float = 0.0
    depth_deg: Array | float = 0.0
    box_m: Array | float = 0.0


def place_of(lift: Lift, setup: SetUp) -> Place:
    """Where the set-up starts or turns, with the lift's own height where the set-up names none."""
    numbers = lift.numbers
    return Place(
        hand_height_m=(setup.height_mm or lift.default_height_mm) / 1000.0,
        depth_deg=float(setup.depth_deg or numbers.get("depth_deg", 0.0)),
        box_m=(setup.box_mm or numbers.get("box_mm", 0.0)) / 1000.0,
    )


def given_of(person: Person, setup: SetUp) -> Given:
    """What was measured of this person at this start; a start within what `measured` allows counts as the same."""
    for one in person.measured:
        if rules_at(one, setup):
            return Given(knee_deg=one.knee_deg, trunk_deg=one.trunk_deg)
    return NOTHING_GIVEN


def rules_at(measured: Measured, setup: SetUp) -> bool:
    """Whether what was measured counts in a set-up: the same lift, from the same start as near as it can be built."""
    lift = catalogue().get(setup.lift)
    if lift is None or measured.lift != setup.lift:
        return False
    return _is_near(lift, measured_setup(measured), setup)


def measured_setup(measured: Measured) -> SetUp:
    """The set-up that was measured."""
    return SetUp(
        lift=measured.lift,
        height_mm=measured.height_mm,
        depth_deg=measured.depth_deg,
        box_mm=measured.box_mm,
    )


def _is_near(lift: Lift, one: SetUp, other: SetUp) -> bool:
    """Whether two set-ups of a lift start at the same place, as near as it can be built."""
    mine, theirs = place_of(lift, one), place_of(lift, other)
    length_m = float(tables.value("posture", "same_start", "length")) / 1000.0
    near = float(tables.value("posture", "same_start", "depth"))
    off_m = max(_off(mine.hand_height_m, theirs.hand_height_m), _off(mine.box_m, theirs.box_m))
    return off_m <= length_m + 1e-9 and _off(mine.depth_deg, theirs.depth_deg) <= near


def _off(one: Array | float, other: Array | float) -> float:
    return float(np.abs(np.subtract(one, other)))


def task_of(lift: Lift, body: Body, load_kg: Array, place: Place, given: Given = NOTHING_GIVEN) -> Task:
    """The task at the start of a pull or the bottom of another lift, shape (cases,) of body and load alike."""
    numbers, fixes = lift.numbers, lift.fixes
    cases = load_kg.shape
    bounds = (
        numbers if given.knee_deg is None else {}
    )  # a measured knee rules over how the lift is meant to be done
    share = lift.front_share
    alone = lift.model == Model.FRONT_LEG
    trunk = numbers.get("trunk_deg") if given.trunk_deg is None else given.trunk_deg
    return Task(
        body=_on_one_leg(body, share) if alone else body,
        holding=_holding(lift, body),
        contact=lift.held == Held.HANDS_FRONT,
        strengths=one_leg_strengths(share) if alone else STRENGTHS,
        upper_share=share,
        load_kg=load_kg * share,
        hand_height_m=_filled(place.hand_height_m if fixes == Fixes.HEIGHT else None, cases),
        hip_height_m=_filled(place.box_m + _SEAT_M if fixes == Fixes.BOX else None, cases),
        thigh_rad=np.radians(_filled(place.depth_deg if fixes == Fixes.THIGH else None, cases)),
        knee_rad=np.radians(_filled(given.knee_deg, cases)),
        knee_least_rad=np.radians(_filled(bounds.get("knee_least_deg", 180.0 - _KNEE_BEND_DEG), cases)),
        knee_most_rad=np.radians(_filled(bounds.get("knee_most_deg", _KNEE_STRAIGHT_DEG), cases)),
        trunk_rad=np.radians(_filled(trunk, cases)),
        turnout_rad=np.full(cases, turnout_rad(given.stance_mm or numbers["stance_mm"])),
    )


def on_the_way_up(task: Task, lift: Lift, shares: Array) -> Task:
    """The same cases at shares (0 to 1) of the way from the task's start to standing, shape (cases × shares,), case by case.

    Measured angles rule at the start only.
    """
    rows = np.repeat(np.arange(len(task.load_kg)), len(shares))
    up = task.take(rows)
    share = np.tile(shares, len(task.load_kg))
    moved = share > 0
    body = up.body
    top = body.ankle_height_m + 0.985 * (body.shank_m + body.thigh_m) + 0.99 * body.trunk_m - up.holding.arm_m
    hip_top = body.ankle_height_m + 0.985 * (body.shank_m + body.thigh_m)
    trunk = np.where(moved, np.nan, up.trunk_rad)
    if lift.fixes == Fixes.TRUNK:
        trunk = _between(up.trunk_rad, np.radians(_STANDING_TRUNK_DEG), share)
    return replace(
        up,
        hand_height_m=_between(up.hand_height_m, top, share),
        hip_height_m=_between(up.hip_height_m, hip_top, share),
        thigh_rad=_between(up.thigh_rad, np.radians(_STANDING_THIGH_DEG), share),
        trunk_rad=trunk,
        knee_rad=np.where(moved, np.nan, up.knee_rad),
    )


def turnout_rad(stance_mm: float) -> float:
    """How far a leg's plane is turned out [rad]: feet turn with the stance as lifters' do, thighs only so far."""
    narrow, wide = tables.value("posture", "turnout", "narrow"), tables.value("posture", "turnout", "wide")
    slope = (wide["foot_deg"] - narrow["foot_deg"]) / (wide["stance_mm"] - narrow["stance_mm"])
    foot = narrow["foot_deg"] + slope * (stance_mm - narrow["stance_mm"])
    return float(np.radians(min(max(foot, 0.0), _ABDUCTION_DEG)))


def one_leg_strengths(share: float) -> Strengths:
    """Capacities against one leg's hip: the trunk's are twice as large, and only a share of what it bears is in the sums."""
    return replace(STRENGTHS, l5s1=2 * share * STRENGTHS.l5s1, shoulder=2 * share * STRENGTHS.shoulder)


def _on_one_leg(body: Body, share: float) -> Body:
    """One leg under its share of everything above the hips."""
    return replace(
        body,
        foot_kg=body.foot_kg / 2,
        shank_kg=body.shank_kg / 2,
        thigh_kg=body.thigh_kg / 2,
        pelvis_kg=body.pelvis_kg * share,
        torso_kg=body.torso_kg * share,
        head_kg=body.head_kg * share,
        arms_kg=body.arms_kg * share,
    )


def _holding(lift: Lift, body: Body) -> Holding:
    numbers = lift.numbers
    if not lift.hands:
        return Holding(arms=False, along=numbers["along"], forward_m=numbers["forward_mm"] / 1000.0)
    half = (numbers["grip_mm"] / 1000.0 - body.shoulder_width_m) / 2
    return Holding(arms=True, arm_m=np.sqrt(np.maximum(body.arm_m**2 - half**2, 0.01)) + _REACH_M)


def _between(start: Array, end: Array | float, share: Array) -> Array:
    """From start to end, never back: a start beyond the end stays."""
    return start + share * np.maximum(end - start, 0.0)


def _filled(value: Array | float | None, shape: tuple[int, ...]) -> Array:
    """The value for each case; NaN where there is none."""
    return np.broadcast_to(np.asarray(np.nan if value is None else value, dtype=np.float64), shape).copy()
