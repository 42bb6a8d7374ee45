"""Many small least-squares problems with rules at once, by a damped Gauss-Newton method.

Each problem has a handful of unknowns, residuals whose squares are summed, and rules: slacks that must be zero (equalities) or
not negative (inequalities). A rule weighs so much more than a residual that it is kept to a hair's breadth. Which inequalities
bind is settled inside each step, on the linear forecast of the slacks, so that a solution may slide along several of them.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Residuals = Callable[[Array], tuple[Array, Array]]

_ACTIVE_SET_PASSES = 2
_SETTLED = 1e-10
_STUCK = 1e4
_FEW = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """What the rows of a residual function are.

    Attributes:
        squared: how many rows come first that are squared and summed; the rest are slacks of rules.
        equal: for each rule, true where the slack must be zero, false where it must not be negative.
        weight: how many units of residual one unit of slack is worth.
    """

    squared: int
    equal: Flags
    weight: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """Where the iteration ended.

    Attributes:
        unknowns: shape (unknowns, *problems).
        cost: sum of the squared residuals, without the rules, shape (*problems).
        breach: how far each rule is broken, shape (rules, *problems).
        falling: by what share the last step still lowered cost and breach together, shape (*problems).
    """

    unknowns: Array
    cost: Array
    breach: Array
    falling: Array


def minimise(
    residuals: Residuals, start: Array, rows: Rows, *, iterations: int, reach: float, damping: float = 1e-4
) -> Solved:
    """Minimise the sum of squared residuals under the rules, for all problems at once.

    Args:
        residuals: maps unknowns of shape (unknowns, *problems) to rows (squared and slacks, *problems) and their
            slopes (rows, unknowns, *problems).
        start: first guess, shape (unknowns, *problems).
        rows: which of them are squared, which are rules.
        iterations: how many steps are tried; fewer where all problems have settled.
        reach: the longest step of any unknown.
        damping: how much a step is held back at first; a large one only mends the rules.
    """
    x, equal = start, rows.equal.reshape((-1,) + (1,) * (start.ndim - 1))
    held_back = np.full(start.shape[1:], damping)
    values, slopes = residuals(x)
    merit = _merit(values, rows, equal)
    before = merit
    for _ in range(iterations):
        trial = x + np.clip(_step(values, slopes, rows, equal, held_back), -reach, reach)
        values_there, slopes_there = residuals(trial)
        merit_there = _merit(values_there, rows, equal)
        better = merit_there <= merit
        for there, here in ((trial, x), (values_there, values), (slopes_there, slopes), (merit_there, merit)):
            np.copyto(there, here, where=~better)
        x, values, slopes = trial, values_there, slopes_there
        before, merit = merit, merit_there
        held_back = np.where(better, held_back * 0.1, np.minimum(held_back * 20.0, 1e8))
        stuck = ~better & (held_back > _STUCK)
        if (stuck | (better & (before - merit <= _SETTLED * merit))).all():
            break
    return Solved(
        unknowns=x,
        cost=(values[: rows.squared] ** 2).sum(axis=0),
        breach=broken(values[rows.squared :], rows.equal),
        falling=np.where(held_back < 1.0, before / np.maximum(merit, 1e-12) - 1.0, 1.0),
    )


def broken(slacks: Array, equal: Flags) -> Array:
    """How far each rule is broken: shape of the slacks, never negative."""
    must = equal.reshape((-1,) + (1,) * (slacks.ndim - 1))
    breach: Array = np.where(must, np.abs(slacks), np.maximum(-slacks, 0.0))
    return breach


def _step(values: Array, slopes: Array, rows: Rows, equal: Flags, damping: Array) -> Array:
    """The damped step, with the inequalities that its own linear forecast would breach."""
    slacks, turns = values[rows.squared :], slopes[rows.squared :]
    shares, pulls = values[: rows.squared], slopes[: rows.squared]
    normal = np.einsum("ra...,rb...->ab...", pulls, pulls)
    normal[range(len(normal)), range(len(normal))] += damping + 1e-9
    right = -np.einsum("ra...,r...->a...", pulls, shares)
    active = equal | (slacks < 0)
    step: Array = np.zeros_like(right)
    for _ in range(_ACTIVE_SET_PASSES):
        held = np.where(active, turns.swapaxes(0, 1), 0.0) * rows.weight**2
        stiff = normal + np.einsum("ar...,rb...->ab...", held, turns)
        step = solve_symmetric(stiff, right - np.einsum("ar...,r...->a...", held, slacks))
        changed: Flags = equal | (slacks + np.einsum("ra...,a...->r...", turns, step) < 0)
        if (changed == active).all():
            break
        active = changed
    return step


def solve_symmetric(matrix: Array, right: Array) -> Array:
    """Solve many small positive-definite systems at once by elimination without pivots.

    Args:
        matrix: shape (n, n, *problems).
        right: shape (n, *problems).
    """
    size = len(right)
    if right[0].size < _FEW:  # one call of the library costs less than many small steps of our own
        flat = right.reshape(size, -1)
        apart = np.linalg.solve(matrix.reshape(size, size, -1).transpose(2, 0, 1), flat.T[..., None])
        return np.asarray(apart[..., 0].T.reshape(right.shape), dtype=np.float64)
    a, b = matrix.copy(), right.copy()
    for i in range(size):
        for j in range(i + 1, size):
            factor = a[j, i] / a[i, i]
            a[j, i:] -= factor * a[i, i:]
            b[j] -= factor * b[i]
    for i in reversed(range(size)):
        for j in range(i + 1, size):
            b[i] -= a[i, j] * b[j]
        b[i] /= a[i, i]
    return b


def _merit(values: Array, rows: Rows, equal: Flags) -> Array:
    slacks = values[rows.squared :]
    breach = np.where(equal, slacks, np.minimum(slacks, 0.0))
    total: Array = (values[: rows.squared] ** 2).sum(axis=0) + rows.weight**2 * (breach**2).sum(axis=0)
    return total
