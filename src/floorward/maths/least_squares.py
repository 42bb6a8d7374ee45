"""Many small least-squares problems with rules at once, by a damped Gauss-Newton method.

Each problem has a handful of unknowns, residuals whose squares are summed, and rules: slacks that must be zero (equalities) or
not negative (inequalities). A rule weighs so much more than a residual that it is kept to a hair's breadth. Which inequalities
bind is settled inside each step, on the linear forecast of the slacks, so that a solution may slide along several of them.
Bounds are rules whose slack is a sum of unknowns: what they ask is the same matrix for all problems, and cheap.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Residuals = Callable[[Array], tuple[Array, Array]]

_SETTLED = 1e-9  # the share of cost and breach that is not worth another step
_NOTHING = 1e-12
_NO_WORSE = 1.0 + 1e-12  # what rounding alone may add
# how much a step is held back: at first, after one that helped, after one that did not; tried on an atlas of 20,720 postures
DAMPING, _LOOSER, _TIGHTER = 0.3, 0.5, 10.0
_FREE = 1.0  # held back less than this, a step that tells nothing says that a problem has settled
_STUCK = 1e4  # held back more than this, no step helps any more


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
class Bounds:
    """Rules that are linear in the unknowns: `turns` @ unknowns must be at least `least`.

    Attributes:
        turns: shape (bounds, unknowns), the same for all problems.
        least: shape (bounds, *problems), or one that spreads to it.
    """

    turns: Array
    least: Array

    def slacks(self, unknowns: Array) -> Array:
        """What is left until each is broken, shape (bounds, *problems)."""
        left: Array = np.einsum("bu,u...->b...", self.turns, unknowns) - self.least
        return left


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """Where the iteration ended.

    Attributes:
        unknowns: shape (unknowns, *problems).
        cost: sum of the squared residuals, without the rules, shape (*problems).
        breach: how far each rule is broken, and after them each bound, shape (rules and bounds, *problems).
        falling: by what share the last step that was hardly held back still lowered cost and breach together, shape
            (*problems); infinite where none was, zero where no step at all lowers them.
    """

    unknowns: Array
    cost: Array
    breach: Array
    falling: Array


@dataclass(frozen=True, slots=True)
class _Look:
    """What is known at some unknowns; the problems run along the last axis of every array.

    Attributes:
        values: residuals and slacks, one row each; slopes: how they change with every unknown.
        left: the slacks of the bounds.
        merit: the sum of the squared residuals and of all that is broken, weighed.
    """

    unknowns: Array
    values: Array
    slopes: Array
    left: Array
    merit: Array

    def take(self, columns: NDArray[np.intp]) -> "_Look":
        """Those problems alone."""
        return _Look(*(getattr(self, name).take(columns, axis=-1) for name in self.__slots__))

    def put(self, columns: NDArray[np.intp], other: "_Look") -> None:
        """Write what another look has of these problems into this one."""
        for name in self.__slots__:
            getattr(self, name)[..., columns] = getattr(other, name)[..., columns]


def minimise(
    residuals: Residuals,
    start: Array,
    rows: Rows,
    bounds: Bounds,
    *,
    iterations: int,
    reach: float,
    damping: float = DAMPING,
) -> Solved:
    """Minimise the sum of squared residuals under the rules, for all problems at once.

    Args:
        residuals: maps unknowns of shape (unknowns, *problems) to rows (squared and slacks, *problems) and their
            slopes (rows, unknowns, *problems).
        start: first guess, shape (unknowns, *problems).
        rows: which of them are squared, which are rules.
        bounds: the rules that are linear.
        iterations: how many steps are tried; a problem that has settled stays where it is, so that its answer does not
            hang on its company.
        reach: the longest step of any unknown.
        damping: how much a step is held back at first; a large one only mends the rules.
    """
    problems = start.shape[1:]

    def look(unknowns: Array) -> _Look:
        laid = unknowns.reshape(start.shape)
        values, slopes = residuals(laid)
        values, slopes = values.reshape(len(values), -1), slopes.reshape(*slopes.shape[:2], -1)
        left = bounds.slacks(laid).reshape(len(bounds.turns), unknowns.shape[1])
        return _Look(unknowns, values, slopes, left, _merit(values, left, rows))

    here = look(start.reshape(len(start), -1))
    held_back, falling = np.full(here.merit.shape, damping), np.full(here.merit.shape, np.inf)
    settled = np.zeros(here.merit.shape, dtype=bool)
    for _ in range(iterations):
        step = _step(here, rows, bounds, held_back)
        there, before = look(here.unknowns + np.clip(step, -reach, reach)), here.merit
        better = there.merit <= before * _NO_WORSE
        there.put(np.flatnonzero(~better | settled), here)
        here = there
        told = better & (held_back <= _FREE)
        falling = np.where(told, before / np.maximum(here.merit, _NOTHING) - 1.0, falling)
        held_back = np.where(better, held_back * _LOOSER, held_back * _TIGHTER)
        falling[held_back > _STUCK] = 0.0
        settled |= falling <= _SETTLED
        if settled.all():
            break
    breach = np.concatenate([broken(here.values[rows.squared :], rows.equal), np.maximum(-here.left, 0.0)])
    shares = here.values[: rows.squared]
    return Solved(
        unknowns=here.unknowns.reshape(start.shape),
        cost=_product(shares, shares).reshape(problems),
        breach=breach.reshape(-1, *problems),
        falling=falling.reshape(problems),
    )


def broken(slacks: Array, equal: Flags) -> Array:
    """How far each rule is broken: shape of the slacks, never negative."""
    must = equal.reshape((-1,) + (1,) * (slacks.ndim - 1))
    breach: Array = np.where(must, np.abs(slacks), np.maximum(-slacks, 0.0))
    return breach


def _step(at: _Look, rows: Rows, bounds: Bounds, damping: Array) -> Array:
    """The damped step, with the inequalities that its own linear forecast would breach."""
    equal = rows.equal[:, None]
    binding, held = equal | (at.values[rows.squared :] < 0), at.left < 0
    step = _step_along(at, rows, bounds, damping, binding, held)
    turned = np.einsum("rap,ap->rp", at.slopes[rows.squared :], step)
    binds, holds = (
        equal | (at.values[rows.squared :] + turned < 0),
        at.left + np.einsum("bu,up->bp", bounds.turns, step) < 0,
    )
    anew = np.flatnonzero((binds != binding).any(axis=0) | (holds != held).any(axis=0))
    if len(anew):
        step[:, anew] = _step_along(
            at.take(anew), rows, bounds, damping[anew], binds[:, anew], holds[:, anew]
        )
    return step


def _step_along(at: _Look, rows: Rows, bounds: Bounds, damping: Array, binding: Flags, held: Flags) -> Array:
    """The damped step with these rules binding and these bounds held, as though both were equalities."""
    count, weights = len(at.unknowns), rows.weight * binding
    pulls, shares = at.slopes[: rows.squared], at.values[: rows.squared]
    turns, slacks = at.slopes[rows.squared :] * weights[:, None], at.values[rows.squared :] * weights
    squares = rows.weight**2 * np.einsum("ba,bc->acb", bounds.turns, bounds.turns)
    stiff = np.einsum("acb,bp->acp", squares, held.astype(float))
    right = -np.einsum("ba,bp->ap", rows.weight**2 * bounds.turns, held * at.left)
    for one in range(count):
        right[one] -= _product(pulls[:, one], shares) + _product(turns[:, one], slacks)
        for other in range(one, count):
            stiff[one, other] += _product(pulls[:, one], pulls[:, other])
            stiff[one, other] += _product(turns[:, one], turns[:, other])
        stiff[one, one] += damping + 1e-9
    return solve_symmetric(stiff, right)


def solve_symmetric(matrix: Array, right: Array) -> Array:
    """Solve many small positive-definite systems at once by elimination without pivots.

    Args:
        matrix: shape (n, n, problems); only what is on and above the diagonal is read.
        right: shape (n, problems).
    """
    a, b = matrix.copy(), right.copy()
    size = len(b)
    for i in range(size):
        for j in range(i + 1, size):
            factor = a[i, j] / a[i, i]
            a[j, j:] -= factor * a[i, j:]
            b[j] -= factor * b[i]
    for i in reversed(range(size)):
        for j in range(i + 1, size):
            b[i] -= a[i, j] * b[j]
        b[i] /= a[i, i]
    return b


def _merit(values: Array, left: Array, rows: Rows) -> Array:
    slacks = values[rows.squared :]
    breach = np.where(rows.equal[:, None], slacks, np.minimum(slacks, 0.0))
    shares, over = values[: rows.squared], np.minimum(left, 0.0)
    return _product(shares, shares) + rows.weight**2 * (_product(breach, breach) + _product(over, over))


def _product(one: Array, other: Array) -> Array:
    """The sum over the rows of two arrays of shape (rows, problems), problem by problem."""
    summed: Array = np.einsum("rp,rp->p", one, other)
    return summed
