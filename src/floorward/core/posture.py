"""The posture of least effort: how a lifter is likely to stand, within the rules of geometry, balance and the lift.

The easiest posture is looked for at every inclination of the trunk; from the best few the answer is worked out exactly.
Looking along the whole range finds both valleys where there are two (sitting into the lift, or hips high), which a search
from one start would miss. docs/science/posture.md says what this can and cannot tell.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from floorward import tables
from floorward.core.effort import SHANK, SHARES, effort_of, fill_shares
from floorward.core.geometry import (
    EQUAL,
    At,
    Row,
    Task,
    limits_of,
    look_at,
    names_of,
    rules_of,
    slack_rows,
    task_levers,
)
from floorward.core.statics import GRAVITY, Angles, Joints, Moments, joints_of
from floorward.maths.least_squares import DAMPING, Rows, Solved, broken, minimise

Array = NDArray[np.float64]
_Part = TypeVar("_Part", Angles, Joints, Moments)

_BREACH_M = 5e-4
_SOFT_M = 0.02
_TRUNK_RAD = np.radians(np.linspace(1.0, 89.0, 18))
_VALLEYS = 2
_LOOK, _LONGER, _EXACT = 4, 12, 3
_SETTLED = 1e-6
_BLOCK = 3000
_REACH_RAD = 0.35
_DIFFERENT_RAD = 0.05
_PLAINEST = 3.0
# how strong the back is said to be when near-easiest postures are looked for, and how far the shank first leans from its usual
# start with each: on either side of a kink in what a joint can give there may be a posture as easy as the other
_BACKS = np.array([0.6, 0.8, 1.0, 1.25, 1.7])
_SHANKS_RAD = np.radians([-5.0, 8.0, 0.0, 5.0, 12.0])
_NEAR_LEAST = float(tables.value("posture", "near_least"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Postures:
    """Postures with all that follows from them; every array has the shape of the cases.

    Attributes:
        effort: Σ (moment / capacity)², (N·m)² of hip peak; infinite where no posture keeps the rules.
        breach_m: by how much the worst rule is broken [m].
        worst: the name of that rule, one a case.
    """

    angles: Angles
    joints: Joints
    moments: Moments
    effort: Array
    breach_m: Array
    worst: tuple[str, ...]

    def cases(self, rows: slice) -> "Postures":
        """Those cases alone."""
        return Postures(
            angles=_sliced(self.angles, rows),
            joints=_sliced(self.joints, rows),
            moments=_sliced(self.moments, rows),
            effort=self.effort[rows],
            breach_m=self.breach_m[rows],
            worst=self.worst[rows],
        )


def _sliced(part: _Part, rows: slice) -> _Part:
    return replace(part, **{row.name: getattr(part, row.name)[rows] for row in fields(part)})


def easiest(task: Task) -> Postures:
    """The posture of least effort of every case, shape (cases,)."""
    return easiest_from(task, best_starts(task))


def easiest_from(
    task: Task, starts: Array, steps: int = 8, *, near: bool = False, careful: int | None = None
) -> Postures:
    """As `easiest`, from given starts of shape (4, cases, starts) instead of a look over the whole range.

    Every start is followed for `steps` before the best is chosen. Where the starts are `near` solutions themselves, few steps
    do, and only the best start of a case that is not settled by then is followed longer. Where only the first cases must be
    exact, `careful` says how many; the others may stay a little short of their end.
    """
    blocks = _blocks(len(task.load_kg), starts.shape[2])
    last = len(task.load_kg) if careful is None else careful
    found = [
        _closed_in(task.take(rows), starts[:, rows], steps, near=near, careful=rows < last) for rows in blocks
    ]
    return described(task, _angles(np.concatenate(found, axis=1)))


def two_ways(task: Task) -> Array:
    """The easiest posture of each case and the easiest clearly different one (or the same again), shape (4, cases, 2)."""
    found = _solve(task.column(), best_starts(task), 10)
    score = _score(found)
    first = score.argmin(axis=1)[:, None]
    trunk = found.unknowns[3]
    alike = np.abs(trunk - np.take_along_axis(trunk, first, axis=1)) < _DIFFERENT_RAD
    others = np.where(alike, np.inf, score)
    second = np.where(np.isfinite(others.min(axis=1)), others.argmin(axis=1), first[:, 0])[:, None]
    return _pick(found.unknowns, np.concatenate([first, second], axis=1))


def _blocks(cases: int, tries: int) -> list[NDArray[np.intp]]:
    """Rows in portions that keep the memory small and the processor's cache warm."""
    return np.array_split(np.arange(cases), max(1, cases * tries // _BLOCK))


def _closed_in(task: Task, starts: Array, steps: int, *, near: bool, careful: NDArray[np.bool_]) -> Array:
    """The best of the starts followed to its end, unknowns of shape (4, cases); the few slow cases are followed longer."""
    found = _solve(task.column(), starts, steps)
    column = _score(found).argmin(axis=1)[:, None]
    best = _pick(found.unknowns, column)
    unsure = (found.falling > _SETTLED) | (found.breach.max(axis=0) > _BREACH_M)
    slow = np.flatnonzero(np.take_along_axis(unsure, column, axis=1)[:, 0] & careful)
    if len(slow):
        starts = best[:, slow] if near else found.unknowns[:, slow]
        longer = _solve(task.take(slow).column(), starts, _LONGER)
        best[:, slow] = _pick(longer.unknowns, _score(longer).argmin(axis=1)[:, None])
    return _mended(task.column(), best)[..., 0]


def best_starts(task: Task) -> Array:
    """Postures in the best valleys along the trunk's range and beside the best one, shape (4, cases, starts)."""
    return np.concatenate(
        [_looked(task.take(rows)) for rows in _blocks(len(task.load_kg), len(_TRUNK_RAD))], axis=1
    )


def _looked(task: Task) -> Array:
    guided = replace(task.column(), trunk_rad=_trunk_grid(task))
    look = _solve(guided, _first_guess(guided), _LOOK)
    return _pick(look.unknowns, _valleys(_score(look)))


def near_easiest(task: Task, trunk_rad: Array, effort: Array) -> Postures:
    """Postures that are about as easy as each case's easiest, which leans by `trunk_rad` and costs `effort`; as many of every case, in order.

    Looked for at many trunk inclinations, each with the back made weaker and stronger than it is, so that postures which
    spare or ask more of it come up too. Those that are not so easy have infinite effort.
    """
    trunk = _fine_grid(task, trunk_rad)
    back = np.repeat(_BACKS, trunk.shape[1])[None, :] * task.strengths.l5s1
    guided = replace(
        task.column(),
        trunk_rad=np.tile(trunk, len(_BACKS)),
        strengths=replace(task.strengths, l5s1=back),
    )
    guess = _first_guess(guided)
    guess[SHANK] += np.repeat(_SHANKS_RAD, trunk.shape[1])
    look = _solve(guided, guess, _LOOK + 2)
    cases, tries = look.cost.shape
    many = task.take(np.repeat(np.arange(cases), tries))
    found = described(many, _angles(look.unknowns.reshape(4, -1)))
    easy = found.effort <= np.repeat(effort, tries) * (1.0 + _NEAR_LEAST)
    return replace(found, effort=np.where(easy, found.effort, np.inf))


def described(task: Task, angles: Angles) -> Postures:
    """Moments, effort and rules of given postures, one a case."""
    at = look_at(task, task_levers(task), angles)
    moments, rules = at.moments, rules_of(task)
    names = names_of(rules)
    slacks, slopes = np.empty((len(rules), len(task.load_kg))), np.zeros((len(rules), 4, len(task.load_kg)))
    slack_rows(slacks, slopes, at, rules)
    over = np.maximum(-limits_of(task).slacks(_unknowns(angles)), 0.0)
    breach = np.concatenate([broken(slacks, _equal(rules)), over])
    most = breach.max(axis=0)
    # Hands that do not get there are the plainest reason, also where something else gives way a little more.
    blame = np.array([[_PLAINEST if name == "hand-height" else 1.0] for name in names])
    effort = effort_of(angles, moments, task.strengths)
    whole = {"l5s1": moments.l5s1 / task.upper_share, "shoulder": moments.shoulder / task.upper_share}
    return Postures(
        angles=angles,
        joints=joints_of(task.body, angles, task.holding, task.turnout_rad),
        moments=replace(moments, **whole),
        effort=np.where(most <= _BREACH_M, effort, np.inf),
        breach_m=most,
        worst=tuple(names[row] for row in (breach * blame).argmax(axis=0)),
    )


def _mended(task: Task, start: Array) -> Array:
    """A solution brought onto its rules to a micrometre, with the least change."""
    return _solve(task, start, _EXACT, weight=3e4, damping=30.0).unknowns


def _solve(
    task: Task, start: Array, iterations: int, weight: float = 300.0, damping: float = DAMPING
) -> Solved:
    """Least effort from `start`, at each case's own trunk inclination where it is given."""
    levers = task_levers(task)
    rules = rules_of(task)
    scale = task.strengths.hip.level / (levers.whole_kg * GRAVITY * 0.25)
    count, shares = len(SHARES) + len(rules), len(SHARES)

    def rows(unknowns: Array) -> tuple[Array, Array]:
        """Shares and slacks at these angles, and their slopes."""
        angles = _angles(unknowns)
        at = look_at(task, levers, angles)
        values, slopes = np.empty((count, *unknowns.shape[1:])), np.zeros((count, *unknowns.shape))
        fill_shares(values, slopes, levers.side, angles, at.moments, at.turns, task.strengths)
        values[:shares] *= scale
        slopes[:shares] *= scale
        slack_rows(values[shares:], slopes[shares:], at, rules)
        return values, slopes

    kinds = Rows(squared=shares, equal=_equal(rules), weight=weight)
    return minimise(
        rows, start, kinds, limits_of(task), iterations=iterations, reach=_REACH_RAD, damping=damping
    )


def _equal(rules: Sequence[Callable[[At], Row]]) -> NDArray[np.bool_]:
    """Which rules must be zero."""
    return np.array([rule in EQUAL for rule in rules])


def _angles(unknowns: Array) -> Angles:
    shank, thigh, arm, trunk = unknowns
    return Angles(shank=shank, thigh=thigh, trunk=trunk, arm=arm)


def _unknowns(angles: Angles) -> Array:
    return np.stack([angles.shank, angles.thigh, angles.arm, angles.trunk])


def _score(found: Solved) -> Array:
    """Effort, made worse by what rules are still broken."""
    breach = found.breach.max(axis=0)
    score: Array = found.cost * (1.0 + breach / _SOFT_M) + np.where(breach > _SOFT_M, breach * 1e3, 0.0)
    return score


def _pick(unknowns: Array, columns: NDArray[np.intp]) -> Array:
    """The unknowns of some columns of each case, shape (4, cases, columns)."""
    return unknowns[:, np.arange(len(columns))[:, None], columns]


def _trunk_grid(task: Task) -> Array:
    """Inclinations to try, shape (cases, tries); only the given one where it is given to all."""
    fixed = task.trunk_rad[:, None]
    if np.isfinite(fixed).all():
        return fixed
    return np.where(np.isfinite(fixed), fixed, _TRUNK_RAD)


def _fine_grid(task: Task, trunk_rad: Array) -> Array:
    """Inclinations close to each answer and over the whole range, shape (cases, tries)."""
    if np.isfinite(task.trunk_rad).all():
        return task.trunk_rad[:, None]
    close = trunk_rad[:, None] + np.radians(np.linspace(-12.0, 12.0, 17))
    whole = np.broadcast_to(_TRUNK_RAD, (len(close), len(_TRUNK_RAD)))
    return np.sort(np.concatenate([close, whole], axis=1))


def _first_guess(task: Task) -> Array:
    """Where to start: shank a little forward, arms hanging, the thigh where the hands' height puts it."""
    trunk, body = task.trunk_rad, task.body
    shank = np.full(trunk.shape, np.radians(75.0))
    if task.holding.arms:
        hip_y = task.hand_height_m - body.ankle_height_m + task.holding.arm_m - body.trunk_m * np.sin(trunk)
    else:
        hip_y = task.hip_height_m - body.ankle_height_m + 0.0 * trunk
    rise = np.clip((hip_y - body.shank_m * np.sin(shank)) / body.thigh_m, -0.6, 0.95)
    thigh = np.where(np.isfinite(rise), np.arcsin(np.where(np.isfinite(rise), rise, 0.0)), 0.3)
    bent = np.where(np.isfinite(task.knee_rad), task.knee_rad, shank + thigh)
    thigh = np.clip(np.clip(bent, task.knee_least_rad, task.knee_most_rad) - shank, -0.6, 1.5)
    thigh = np.where(np.isfinite(task.thigh_rad), task.thigh_rad, thigh)
    return np.stack([shank, thigh, np.zeros_like(trunk), trunk])


def _valleys(score: Array) -> NDArray[np.intp]:
    """Columns of each row's lowest local minima, best first, and of the best one's neighbours."""
    wall = np.full((len(score), 1), np.inf)
    padded = np.concatenate([wall, score, wall], axis=1)
    lowest = (padded[:, 1:-1] <= padded[:, :-2]) & (padded[:, 1:-1] <= padded[:, 2:])
    order = np.where(lowest, score, np.inf).argsort(axis=1)[:, :_VALLEYS]
    best, last = order[:, :1], score.shape[1] - 1
    return np.concatenate([order, np.maximum(best - 1, 0), np.minimum(best + 1, last)], axis=1)
