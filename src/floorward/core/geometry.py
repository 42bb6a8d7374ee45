"""The rules that every posture keeps: where hands, bar and feet may be, and how far joints bend.

A rule is a slack [m]: zero where the lift fixes something, not negative where it only bounds. Angles count as arcs of a
link's length. Each rule is one small function that gives its slack and how that changes with the four angles; bounds on
angles alone are rows of LIMITS.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from floorward import tables
from floorward.core.body import Body, stack
from floorward.core.effort import ARM, SHANK, THIGH, TRUNK, Strengths, moment_slopes
from floorward.core.statics import (
    GRAVITY,
    Angles,
    Holding,
    Levers,
    Moments,
    Sines,
    levers_of,
    moments_from,
    sines_of,
)
from floorward.maths.least_squares import Bounds

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """What a lift fixes for each of many cases; arrays of shape (cases,), NaN where the lift leaves it free.

    Attributes:
        holding: how the load is carried, the same for all cases; its `arm_m` is the arm's length in this grip.
        contact: whether the bar must pass in front of the leg.
        strengths: what the joints can give; upper_share: the part of everything above the hips that these legs carry.
        hand_height_m: the hands above the platform.
        hip_height_m: the hip above the platform.
        knee_rad: a given knee angle; knee_least_rad and knee_most_rad bound it where it is not given.
        turnout_rad: how far the leg's plane is turned out.
    """

    body: Body
    holding: Holding
    contact: bool
    strengths: Strengths
    upper_share: float
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

    def column(self) -> "Task":
        """The task with shape (cases, 1), to stand beside several postures each."""
        return _each(self, self.body.column(), lambda values: values[:, None])


_ARRAYS = tuple(row.name for row in fields(Task) if row.name.endswith(("_kg", "_m", "_rad")))


def _each(task: Task, body: Body, change: Callable[[Array], Array]) -> Task:
    """The task with every array of its own changed, and another body."""
    arm = np.broadcast_to(task.holding.arm_m, task.load_kg.shape)
    return Task(
        body=body,
        holding=replace(task.holding, arm_m=change(arm)),
        contact=task.contact,
        strengths=task.strengths,
        upper_share=task.upper_share,
        **{name: change(getattr(task, name)) for name in _ARRAYS},
    )


def joined(tasks: Sequence[Task]) -> Task:
    """The cases of all, in order; the tasks must be alike, as `likeness` has it."""
    first = tasks[0]
    arrays = {name: np.concatenate([getattr(task, name) for task in tasks]) for name in _ARRAYS}
    arms = [np.broadcast_to(task.holding.arm_m, task.load_kg.shape) for task in tasks]
    return Task(
        body=stack(tuple(task.body for task in tasks)),
        holding=replace(first.holding, arm_m=np.concatenate(arms)),
        contact=first.contact,
        strengths=first.strengths,
        upper_share=first.upper_share,
        **arrays,
    )


def likeness(task: Task) -> tuple[object, ...]:
    """What two tasks must have in common to be worked out together: how the load is held, the strengths, and which rules apply."""
    rules = names_of(rules_of(task))
    held = (task.holding.arms, task.holding.along, task.holding.forward_m, task.contact)
    return (*held, task.strengths, task.upper_share, bool(np.isfinite(task.trunk_rad).all()), rules)


@dataclass(frozen=True, slots=True, kw_only=True)
class At:
    """One look at many postures: what the rules read, so that nothing is worked out twice.

    Attributes:
        turns: the moments' slopes, as `effort.moment_slopes` gives them.
        off_centre_m: the whole's centre of mass in front of the middle of the foot.
    """

    task: Task
    levers: Levers
    angles: Angles
    sines: Sines
    moments: Moments
    turns: tuple[Array, ...]
    off_centre_m: Array


def look_at(task: Task, levers: Levers, angles: Angles) -> At:
    """All that rules and effort read of these postures."""
    sines = sines_of(angles)
    moments = moments_from(levers, sines)
    return At(
        task=task,
        levers=levers,
        angles=angles,
        sines=sines,
        moments=moments,
        turns=moment_slopes(levers, sines),
        off_centre_m=moments.centre_x - task.body.mid_foot_m * levers.side,
    )


Row = tuple[Array, Mapping[int, Array | float]]


def _metres(name: str) -> float:
    return float(tables.value("posture", name)) / 1000.0


def _radians(name: str) -> float:
    return float(np.radians(tables.value("posture", name)))


_ARC_M = 0.4
_BALANCE_M = _metres("balance")
_SHIN_GAP_M = _metres("shin_gap")
_THIGH_GAP_M = _metres("thigh_gap")
_SHANK_LEAST = np.pi / 2 - _radians("dorsiflexion")
_SHANK_MOST = np.pi / 2 + _radians("shank_back")
_FOLD_LEAST = np.pi - _radians("fold")
_TRUNK_MOST = np.pi / 2 + _radians("trunk_back")
_ARMS_FORWARD = _radians("arms_forward")
_ARMS_BACK = _radians("arms_back")


def hand_height(at: At) -> Row:
    """The hands are where the handle is."""
    body, sines, arm = at.task.body, at.sines, at.task.holding.arm_m
    height = (
        body.ankle_height_m
        + body.shank_m * sines.shank[0]
        + body.thigh_m * sines.thigh[0]
        + body.trunk_m * sines.trunk[0]
        - arm * sines.arm[1]
    )
    return height - at.task.hand_height_m, {
        SHANK: body.shank_m * sines.shank[1],
        THIGH: body.thigh_m * sines.thigh[1],
        TRUNK: body.trunk_m * sines.trunk[1],
        ARM: arm * sines.arm[0],
    }


def hip_height(at: At) -> Row:
    """The hip is as high as the box makes it."""
    body, angles = at.task.body, at.angles
    height = body.ankle_height_m + body.shank_m * np.sin(angles.shank) + body.thigh_m * np.sin(angles.thigh)
    return height - at.task.hip_height_m, {
        SHANK: body.shank_m * np.cos(angles.shank),
        THIGH: body.thigh_m * np.cos(angles.thigh),
    }


def trunk_angle(at: At) -> Row:
    """The trunk leans as it was given; free where it was not."""
    return _given(at.angles.trunk, at.task.trunk_rad, TRUNK)


def thigh_angle(at: At) -> Row:
    """The thigh is where the depth puts it."""
    return _given(at.angles.thigh, at.task.thigh_rad, THIGH)


def knee_angle(at: At) -> Row:
    """The knee is bent as it was measured; free where it was not."""
    return _given(at.angles.knee, at.task.knee_rad, SHANK, THIGH)


def balance_forward(at: At) -> Row:
    """The whole's centre of mass is not too far in front of the middle of the foot."""
    return _BALANCE_M - at.off_centre_m, _swaying(at, -1.0)


def balance_back(at: At) -> Row:
    """Nor too far behind it."""
    return _BALANCE_M + at.off_centre_m, _swaying(at, 1.0)


def bar_and_leg(at: At) -> Row:
    """The bar passes in front of the shin or over the thigh, both lines seen from the side and from the knee."""
    body, side, arm = at.task.body, at.levers.side, at.task.holding.arm_m
    arm_x, arm_y = arm * at.sines.arm[0], arm * at.sines.arm[1]
    thigh_y, thigh_x = body.thigh_m * at.sines.thigh[0], body.thigh_m * at.sines.thigh[1]
    trunk_y, trunk_x = body.trunk_m * at.sines.trunk[0], body.trunk_m * at.sines.trunk[1]
    place = trunk_x + arm_x - thigh_x * side, thigh_y + trunk_y - arm_y
    shin = _in_front(place, at.sines.shank, -side, _SHIN_GAP_M)
    thigh = _in_front(place, at.sines.thigh, side, _THIGH_GAP_M)
    on_shin = shin[0] >= thigh[0]
    room, turn, out, up = (np.where(on_shin, one, other) for one, other in zip(shin, thigh, strict=True))
    return room, {
        SHANK: np.where(on_shin, turn, 0.0),
        THIGH: out * thigh_y * side + up * thigh_x + np.where(on_shin, 0.0, turn),
        TRUNK: up * trunk_x - out * trunk_y,
        ARM: out * arm_y + up * arm_x,
    }


EQUAL: tuple[Callable[[At], Row], ...] = (hand_height, hip_height, trunk_angle, thigh_angle, knee_angle)
BOUNDS: tuple[Callable[[At], Row], ...] = (balance_forward, balance_back, bar_and_leg)

# Bounds on angles alone: signs of shank, thigh, arm and trunk whose sum is at least what `limits_of` says.
LIMITS: Mapping[str, tuple[int, int, int, int]] = MappingProxyType(
    {
        "dorsiflexion": (1, 0, 0, 0),
        "shank-back": (-1, 0, 0, 0),
        "knee-bend": (1, 1, 0, 0),
        "knee-straight": (-1, -1, 0, 0),
        "fold": (0, 1, 0, 1),
        "trunk-level": (0, 0, 0, 1),
        "trunk-back": (0, 0, 0, -1),
        "arms-forward": (0, 0, -1, 0),
        "arms-back": (0, 0, 1, 0),
    }
)
_SIGNS = np.array(list(LIMITS.values()), dtype=np.float64) * _ARC_M


def limits_of(task: Task) -> Bounds:
    """The bounds on angles alone, in the order of LIMITS, as arcs [m]."""
    least = (
        _SHANK_LEAST,
        -_SHANK_MOST,
        task.knee_least_rad,
        -task.knee_most_rad,
        _FOLD_LEAST,
        0.0,
        -_TRUNK_MOST,
        -_ARMS_FORWARD,
        -_ARMS_BACK,
    )
    arcs = np.stack([np.broadcast_to(bound, task.load_kg.shape) for bound in least]) * _ARC_M
    return Bounds(turns=_SIGNS, least=arcs)


def rules_of(task: Task) -> tuple[Callable[[At], Row], ...]:
    """The rules that this task has beside the limits, equalities first."""
    applies: Mapping[Callable[[At], Row], bool] = MappingProxyType(
        {
            hand_height: bool(np.isfinite(task.hand_height_m).any()),
            hip_height: bool(np.isfinite(task.hip_height_m).any()),
            trunk_angle: bool(np.isfinite(task.trunk_rad).any()),
            thigh_angle: bool(np.isfinite(task.thigh_rad).any()),
            knee_angle: bool(np.isfinite(task.knee_rad).any()),
            bar_and_leg: task.contact,
        }
    )
    return tuple(rule for rule in EQUAL + BOUNDS if applies.get(rule, True))


def names_of(rules: Sequence[Callable[[At], Row]]) -> tuple[str, ...]:
    """The names of these rules and, after them, of the limits."""
    return (*(rule.__name__.replace("_", "-") for rule in rules), *LIMITS)


def slack_rows(values: Array, slopes: Array, at: At, rules: Sequence[Callable[[At], Row]]) -> None:
    """Write the slack of every rule [m] and its change with the four angles.

    Shapes: values (rules, *cases), slopes (rules, 4, *cases), filled with zeros before.
    """
    for row, rule in enumerate(rules):
        values[row], turns = rule(at)
        for unknown, turn in turns.items():
            slopes[row, unknown] = turn


def task_levers(task: Task) -> Levers:
    """The levers of the task's bodies with their loads."""
    return levers_of(task.body, task.holding, task.load_kg, task.turnout_rad)


def _given(actual: Array, target: Array, *unknowns: int) -> Row:
    """How far an angle is off its target; nothing where there is none."""
    asked = np.isfinite(target)
    slope = np.where(asked, _ARC_M, 0.0)
    return (actual - np.where(asked, target, actual)) * _ARC_M, dict.fromkeys(unknowns, slope)


def _in_front(
    place: tuple[Array, Array], sines: tuple[Array, Array], side: Array, gap_m: float
) -> tuple[Array, Array, Array, Array]:
    """Room in front of a line through the knee, its change as the line turns, and its outward direction (x, y)."""
    x, y = place
    out, up = sines[0], sines[1] * side
    length = 1.0 / np.sqrt(out * out + up * up)
    out_x, out_y = out * length, up * length
    ahead = out_x * x + out_y * y
    turn = (sines[1] * x - out * side * y) * length
    stretch = out_x * sines[1] * (1 - side * side) * length
    return ahead - gap_m, turn - ahead * stretch, out_x, out_y


def _swaying(at: At, sign: float) -> dict[int, Array]:
    """How the centre of mass moves with the angles [m/rad], times a sign."""
    shank, thigh, arm, trunk, _ = at.turns
    scale = sign / (GRAVITY * at.levers.whole_kg)
    level = at.levers.side * scale
    return {SHANK: shank * level, THIGH: -thigh * level, ARM: arm * scale, TRUNK: trunk * scale}
