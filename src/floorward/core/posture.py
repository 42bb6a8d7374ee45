"""The posture of least effort: how a lifter is likely to stand, within the rules of geometry, balance and the lift.

For each inclination of the trunk the easiest posture is found that keeps every rule; the easiest of these is the answer. Looking along
the whole range of the trunk finds both valleys where there are two (sitting into the lift, or hips high), which a search from one
start would miss. docs/science/posture.md says what this can and cannot tell.
"""

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from floorward import tables
from floorward.core.body import Body
from floorward.core.effort import shares_of
from floorward.core.statics import GRAVITY, Angles, Holding, Joints, Moments, joints_of, moments_of
from floorward.maths.least_squares import Rows, Solved, broken, minimise

Array = NDArray[np.float64]

RULES = (
    "hand-height", "trunk-angle", "thigh-angle", "knee-angle", "hip-height",
    "balance-forward", "balance-back", "bar-and-leg", "dorsiflexion", "shank-back",
    "knee-bend", "knee-straight", "fold", "trunk-level", "arms-forward", "arms-back",
)  # fmt: skip
_EQUAL = np.array([True] * 5 + [False] * 11)
_BREACH_M = 5e-4
_ANGLE_ARM_M = 0.4
_ROWS = Rows(squared=5, equal=_EQUAL, weight=300.0)
_EXACT = Rows(squared=5, equal=_EQUAL, weight=3e4)
_TRUNK_RAD = np.radians(np.linspace(1.0, 89.0, 34))
_REACH_RAD = 0.35
_NEAR_LEAST = float(tables.value("posture", "near_least"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """What a lift fixes for each of many cases; arrays of shape (cases,), NaN where the lift leaves it free.

    Attributes:
        holding: how the load is carried, the same for all cases; its `arm_m` is the arm's length in this grip.
        contact: whether the bar must pass in front of the leg.
        hand_height_m: the hands above the platform.
        hip_height_m: the hip above the platform.
        knee_rad: a given knee angle; knee_least_rad and knee_most_rad bound it where it is not given.
        turnout_rad: how far the leg's plane is turned out.
    """

    body: Body
    holding: Holding
    contact: bool
    load_kg: Array
    hand_height_m: Array
    hip_height_m: Array
    thigh_rad: Array
    knee_rad: Array
    knee_least_rad: Array
    knee_most_rad: Array
    trunk_rad: Array
    turnout_rad: Array

    def take(self, rows: NDArray[np.intp]) -> "Task":
        """The cases of these rows."""
        return _each(self, self.body.take(rows), lambda values: values[rows])


_ARRAYS = tuple(row.name for row in fields(Task) if row.name.endswith(("_kg", "_m", "_rad")))


@dataclass(frozen=True, slots=True, kw_only=True)
class Postures:
    """Postures with all that follows from them; every array has the shape of the cases.

    Attributes:
        effort: Σ (moment / capacity)², (N·m)² of hip peak; infinite where no posture keeps the rules.
        breach_m: by how much the worst rule is broken [m].
        worst: index into RULES of that rule.
    """

    angles: Angles
    joints: Joints
    moments: Moments
    effort: Array
    breach_m: Array
    worst: NDArray[np.intp]


def easiest(task: Task) -> Postures:
    """The posture of least effort of every case, shape (cases,)."""
    column = _column(task)
    trunk = _trunk_grid(task)
    guided = replace(column, trunk_rad=trunk)
    look = _solve(guided, _first_guess(guided), 8)
    effort = np.where(look.breach.max(axis=0) <= _BREACH_M, look.cost, 1e3 + 1e3 * look.breach.max(axis=0))
    rows, valleys = np.arange(len(effort))[:, None], _two_valleys(effort)
    found = _solve(column, look.unknowns[:, rows, valleys], 12)
    cost = np.where(found.breach.max(axis=0) <= _BREACH_M, found.cost, 1e3 + 1e3 * found.breach.max(axis=0))
    best = found.unknowns[:, rows, cost.argmin(axis=1)[:, None]]
    return described(task, _angles(_solve(column, best, 3, _EXACT).unknowns[..., 0]))


def near_easiest(task: Task, best: Postures) -> Postures:
    """Postures about as easy as the easiest of one case: the easiest at each trunk inclination whose effort is within the table's share.

    Args:
        task: one case.
        best: its solution; further rows are not read.
    """
    guided = replace(_column(task), trunk_rad=_fine_grid(task, float(best.angles.trunk[0])))
    look = _solve(guided, _first_guess(guided), 8)
    keeps = (look.breach.max(axis=0) <= _BREACH_M)[0]
    angles = _angles(look.unknowns[:, 0, keeps])
    found = described(task.take(np.zeros(keeps.sum(), dtype=np.intp)), angles)
    easy = found.effort <= best.effort[0] * (1.0 + _NEAR_LEAST)
    return replace(found, effort=np.where(easy, found.effort, np.inf))


def _fine_grid(task: Task, trunk: float) -> Array:
    """Inclinations close to the answer and over the whole range, shape (1, tries)."""
    if np.isfinite(task.trunk_rad[0]):
        return task.trunk_rad[:1, None]
    return np.sort(np.concatenate([trunk + np.radians(np.linspace(-12.0, 12.0, 25)), _TRUNK_RAD]))[None, :]


def described(task: Task, angles: Angles) -> Postures:
    """Moments, effort and rules of given postures, one a case."""
    joints = joints_of(task.body, angles, task.holding, task.turnout_rad)
    moments = moments_of(task.body, angles, joints, task.holding, task.load_kg, task.turnout_rad)
    breach = broken(_slacks(task, angles, joints, moments), _EQUAL)
    most = breach.max(axis=0)
    effort = (shares_of(angles, moments) ** 2).sum(axis=0)
    return Postures(
        angles=angles,
        joints=joints,
        moments=moments,
        effort=np.where(most <= _BREACH_M, effort, np.inf),
        breach_m=most,
        worst=breach.argmax(axis=0),
    )


def _column(task: Task) -> Task:
    """The task with shape (cases, 1), to stand beside several postures each."""
    return _each(task, task.body.column(), lambda values: values[:, None])


def _each(task: Task, body: Body, change: Callable[[Array], Array]) -> Task:
    """The task with every array of its own changed, and another body."""
    arm = np.broadcast_to(task.holding.arm_m, task.load_kg.shape)
    return Task(
        body=body,
        holding=replace(task.holding, arm_m=change(arm)),
        contact=task.contact,
        **{name: change(getattr(task, name)) for name in _ARRAYS},
    )


def _trunk_grid(task: Task) -> Array:
    """Inclinations to try, shape (cases, tries); only the given one where it is given to all."""
    fixed = task.trunk_rad[:, None]
    if np.isfinite(fixed).all():
        return fixed
    return np.where(np.isfinite(fixed), fixed, _TRUNK_RAD)


def _first_guess(task: Task) -> Array:
    """Shank, thigh, arm and trunk to start from: shank a little forward, arms hanging, the thigh where the hands' height puts it."""
    trunk = task.trunk_rad
    shank = np.full(trunk.shape, np.radians(75.0))
    if task.holding.arms:
        hip_y = (
            task.hand_height_m
            - task.body.ankle_height_m
            + task.holding.arm_m
            - task.body.trunk_m * np.sin(trunk)
        )
    else:
        hip_y = task.hip_height_m - task.body.ankle_height_m + 0.0 * trunk
    rise = np.clip((hip_y - task.body.shank_m * np.sin(shank)) / task.body.thigh_m, -0.6, 0.95)
    thigh = np.where(np.isfinite(rise), np.arcsin(np.where(np.isfinite(rise), rise, 0.0)), 0.3)
    knee = np.clip(
        np.where(np.isfinite(task.knee_rad), task.knee_rad, shank + thigh),
        task.knee_least_rad,
        task.knee_most_rad,
    )
    thigh = np.where(np.isfinite(task.thigh_rad), task.thigh_rad, np.clip(knee - shank, -0.6, 1.5))
    return np.stack([shank, thigh, np.zeros_like(trunk), trunk])


def _solve(task: Task, start: Array, iterations: int, rows: Rows = _ROWS) -> Solved:
    """Least effort from `start`; the stiffer rows of _EXACT bring a solution onto its rules to a micrometre."""
    scale = 1.0 / ((task.load_kg + task.body.mass_kg) * GRAVITY * 0.25)
    return minimise(partial(_residuals, task, scale), start, rows, iterations=iterations, reach=_REACH_RAD)


def _angles(unknowns: Array) -> Angles:
    shank, thigh, arm, trunk = unknowns
    return Angles(shank=shank, thigh=thigh, trunk=trunk, arm=arm)


def _residuals(task: Task, scale: Array, unknowns: Array) -> Array:
    angles = _angles(unknowns)
    joints = joints_of(task.body, angles, task.holding, task.turnout_rad)
    moments = moments_of(task.body, angles, joints, task.holding, task.load_kg, task.turnout_rad)
    return np.concatenate([shares_of(angles, moments) * scale, _slacks(task, angles, joints, moments)])


def _metres(name: str) -> float:
    return float(tables.value("posture", name)) / 1000.0


def _radians(name: str) -> float:
    return float(np.radians(tables.value("posture", name)))


_BALANCE_M = _metres("balance")
_SHIN_GAP_M = _metres("shin_gap")
_THIGH_GAP_M = _metres("thigh_gap")
_SHANK_LEAST = np.pi / 2 - _radians("dorsiflexion")
_SHANK_MOST = np.pi / 2 + _radians("shank_back")
_FOLD_LEAST = np.pi - _radians("fold")
_ARM_MOST = _radians("arm_swing")


def _slacks(task: Task, angles: Angles, joints: Joints, moments: Moments) -> Array:
    """How much room every rule leaves [m], in the order of RULES; angles count as arcs of a link's length."""
    body, arc = task.body, _ANGLE_ARM_M
    free = np.zeros_like(angles.shank)
    room = np.full_like(free, 1.0)
    off_centre = moments.centre_x - body.mid_foot_m * np.cos(task.turnout_rad)
    hands = task.holding.arms
    return np.stack([
        _given(task.hand_height_m, joints.load_y + body.ankle_height_m) if hands else free,
        _given(task.trunk_rad, angles.trunk) * arc,
        _given(task.thigh_rad, angles.thigh) * arc,
        _given(task.knee_rad, angles.knee) * arc,
        _given(task.hip_height_m, joints.hip_y + body.ankle_height_m),
        _BALANCE_M - off_centre,
        _BALANCE_M + off_centre,
        _clearance(angles, joints) if task.contact else room,
        (angles.shank - _SHANK_LEAST) * arc,
        (_SHANK_MOST - angles.shank) * arc,
        (angles.knee - task.knee_least_rad) * arc,
        (task.knee_most_rad - angles.knee) * arc,
        (angles.hip - _FOLD_LEAST) * arc,
        angles.trunk * arc,
        (_ARM_MOST - angles.arm) * arc if hands else room,
        (_ARM_MOST + angles.arm) * arc if hands else room,
    ])  # fmt: skip


def _given(target: Array, actual: Array) -> Array:
    """How far off the target; nothing where there is none."""
    return np.where(np.isnan(target), 0.0, actual - np.where(np.isnan(target), 0.0, target))


def _clearance(angles: Angles, joints: Joints) -> Array:
    """Room between bar and leg: it must pass in front of the shin or over the thigh."""
    shin = np.sin(angles.shank) * joints.load_x - np.cos(angles.shank) * joints.load_y - _SHIN_GAP_M
    beyond_x, beyond_y = joints.load_x - joints.knee_x, joints.load_y - joints.knee_y
    thigh = np.sin(angles.thigh) * beyond_x + np.cos(angles.thigh) * beyond_y - _THIGH_GAP_M
    return np.maximum(shin, thigh)


def _two_valleys(effort: Array) -> NDArray[np.intp]:
    """Columns of the lowest and the second lowest local minimum of each row (the lowest twice where there is one)."""
    wall = np.full((len(effort), 1), np.inf)
    padded = np.concatenate([wall, effort, wall], axis=1)
    lowest = (padded[:, 1:-1] <= padded[:, :-2]) & (padded[:, 1:-1] <= padded[:, 2:])
    ranked = np.where(lowest & np.isfinite(effort), effort, np.inf)
    first = ranked.argmin(axis=1)
    ranked[np.arange(len(effort)), first] = np.inf
    second = np.where(np.isfinite(ranked.min(axis=1)), ranked.argmin(axis=1), first)
    return np.stack([first, second], axis=1)
