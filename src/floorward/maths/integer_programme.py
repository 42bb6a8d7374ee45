"""Choosing whole numbers: variables, limits on sums of them, and a sum to make as large as it can be.

A thin layer over SciPy's `linprog` and `milp`, which call the solver HiGHS (branch and bound, one thread, the same answer each time unless
the time runs out). A sum is a mapping from variables to their factors.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from math import inf
from typing import NewType

import numpy as np
from numpy.typing import NDArray
from scipy import optimize, sparse

Variable = NewType("Variable", int)
Sum = Mapping[Variable, float]

_NEAR_WHOLE = 1e-6
_ASIDE = (
    0.03  # of the bound; more leaves more to solve, less has to be solved twice more often (bench/builder.py)
)


class Status(StrEnum):
    """How a search for the best ended."""

    PROVEN = "proven"
    WITHIN_GAP = "within-gap"
    STOPPED = "stopped"
    IMPOSSIBLE = "impossible"
    UNBOUNDED = "unbounded"


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A sum that must lie between two numbers."""

    terms: Sum = field(hash=False)
    least: float
    most: float


@dataclass(slots=True, kw_only=True)
class Programme:
    """What may vary, what must hold, and what should be large. It only remembers; `solve` does the work."""

    least: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    limits: list[Limit] = field(default_factory=list)
    goal: dict[Variable, float] = field(default_factory=dict)

    def amount(self, least: float = 0.0, most: float = inf) -> Variable:
        """A new variable of any value from `least` to `most`."""
        return self._variable(least, most, whole=False)

    def count(self, least: int, most: int) -> Variable:
        """A new variable of whole numbers."""
        return self._variable(least, most, whole=True)

    def choice(self) -> Variable:
        """A new variable that is 0 or 1."""
        return self.count(0, 1)

    def at_most(self, terms: Sum, most: float) -> None:
        """Hold a sum at or under `most`."""
        self.limits.append(Limit(terms=terms, least=-inf, most=most))

    def at_least(self, terms: Sum, least: float) -> None:
        """Hold a sum at or over `least`."""
        self.limits.append(Limit(terms=terms, least=least, most=inf))

    def exactly(self, terms: Sum, amount: float) -> None:
        """Hold a sum at `amount`."""
        self.limits.append(Limit(terms=terms, least=amount, most=amount))

    def fix(self, variable: Variable, amount: float) -> None:
        """Hold one variable at `amount`."""
        self.least[variable] = self.most[variable] = amount

    def free(self, variable: Variable, least: float, most: float) -> None:
        """Let one variable go from `least` to `most`."""
        self.least[variable], self.most[variable] = least, most

    def reward(self, variable: Variable, factor: float) -> None:
        """Add `factor` times `variable` to what should be large."""
        self.goal[variable] = self.goal.get(variable, 0.0) + factor

    def copy(self) -> "Programme":
        """The same programme, to be changed on its own."""
        return Programme(
            least=[*self.least],
            most=[*self.most],
            whole=[*self.whole],
            limits=[*self.limits],
            goal={**self.goal},
        )

    def _variable(self, least: float, most: float, *, whole: bool) -> Variable:
        self.least.append(least)
        self.most.append(most)
        self.whole.append(whole)
        return Variable(len(self.whole) - 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """The best that was found.

    Attributes:
        status: proven best, within the gap asked for, stopped by the clock, impossible or unbounded.
        goal: what was reached; minus infinity where nothing was found.
        bound: what no solution can exceed.
        values: of each variable; empty where nothing was found.
    """

    status: Status
    goal: float
    bound: float
    values: tuple[float, ...] = ()

    @property
    def found(self) -> bool:
        """Whether there is anything to go by."""
        return bool(self.values)

    @property
    def gap(self) -> float:
        """How much better another solution might be at most, as a share of this one; 0 when proven."""
        return max(self.bound - self.goal, 0.0) / max(abs(self.goal), 1e-9) if self.found else inf

    def __getitem__(self, variable: Variable) -> float:
        return self.values[variable]


def solve(programme: Programme, *, seconds: float = inf, gap: float = 0.0) -> Solution:
    """The values that make the goal largest.

    To prove the best, the programme is first solved in parts, as if nothing had to be whole. That bounds the goal, and says of each
    variable how much the bound falls at least when it leaves the end of its range. Variables that cost more than a small share of the
    bound stay at their end, and the rest is solved in whole numbers. If its best is within that share of the bound, nothing that stayed
    could better it; else all is solved again with those kept at their end that cost more than what lies between.

    Args:
        programme: with at least one variable.
        seconds: when to stop with the best so far; all again has as many again.
        gap: how far from the best is near enough, as a share of the goal; 0 proves it.

    Returns:
        A solution, whose whole variables are exactly whole. Without one the status says why.
    """
    matrix = _matrix(programme)
    parts = _in_parts(programme, matrix) if gap == 0 and any(programme.goal.values()) else None
    if parts is None:
        return _in_wholes(programme, matrix, seconds=seconds, gap=gap)
    aside = _ASIDE * abs(parts.bound)
    first = _in_wholes(programme, matrix, parts.keeping(aside), seconds=seconds)
    if first.found:
        first = _bounded(first, parts.bound - aside)
        if first.status is not Status.WITHIN_GAP:
            return first
        aside = parts.bound - first.goal
    return _in_wholes(programme, matrix, parts.keeping(aside if first.found else inf), seconds=seconds)


Numbers = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Parts:
    """The best in parts.

    Attributes:
        bound: what was reached, so that nothing whole exceeds it.
        least, most: each variable's ends.
        costs: how much the bound falls for each whole step from the lower end; negative for steps from the upper one; 0 where not whole.
    """

    bound: float
    least: Numbers
    most: Numbers
    costs: Numbers

    def keeping(self, aside: float) -> optimize.Bounds:
        """The ends, drawn together for those that cost more than `aside`."""
        aside += _NEAR_WHOLE
        most = np.where(self.costs > aside, self.least, self.most)
        least = np.where(self.costs < -aside, self.most, self.least)
        return optimize.Bounds(least, most)


def _in_parts(programme: Programme, matrix: sparse.csr_array) -> _Parts | None:
    """None where there is no best in parts: not all limits can hold, or the goal has no bound."""
    factors = matrix.toarray()
    least = np.array([limit.least for limit in programme.limits])
    most = np.array([limit.most for limit in programme.limits])
    above, below = np.isfinite(most), np.isfinite(least)
    found = optimize.linprog(
        -_dense(programme.goal, len(programme.whole)),
        A_ub=np.concatenate([factors[above], -factors[below]]),
        b_ub=np.concatenate([most[above], -least[below]]),
        bounds=list(zip(programme.least, programme.most, strict=True)),
        method="highs",
    )
    if found.status != 0 or found.fun is None:
        return None
    costs = (found.lower.marginals + found.upper.marginals) * np.asarray(programme.whole)
    return _Parts(
        bound=-float(found.fun),
        least=np.array(programme.least),
        most=np.array(programme.most),
        costs=costs,
    )


def _in_wholes(
    programme: Programme,
    matrix: sparse.csr_array,
    bounds: optimize.Bounds | None = None,
    *,
    seconds: float,
    gap: float = 0.0,
) -> Solution:
    limits = programme.limits
    result = optimize.milp(
        -_dense(programme.goal, len(programme.whole)),
        integrality=np.asarray(programme.whole, dtype=int),
        bounds=bounds or optimize.Bounds(programme.least, programme.most),
        constraints=optimize.LinearConstraint(
            matrix, [limit.least for limit in limits], [limit.most for limit in limits]
        )
        if limits
        else None,
        options={"mip_rel_gap": gap, **({"time_limit": seconds} if seconds < inf else {})},
    )
    if result.x is None:
        return _nothing(result.status)
    values = _rounded(np.asarray(result.x), programme.whole)
    goal = -float(result.fun)
    bound = goal if result.mip_dual_bound is None else max(-float(result.mip_dual_bound), goal)
    status = Status.PROVEN if result.status == 0 else Status.STOPPED
    return _bounded(Solution(status=status, goal=goal, bound=bound, values=tuple(map(float, values))), bound)


def _bounded(found: Solution, bound: float) -> Solution:
    """The same, where no solution exceeds `bound` or its own, whichever is more."""
    found = replace(found, bound=max(found.bound, bound))
    if found.status is Status.STOPPED:
        return found
    return replace(found, status=Status.PROVEN if found.gap <= _NEAR_WHOLE else Status.WITHIN_GAP)


def _nothing(status: int) -> Solution:
    impossible, unbounded = 2, 3
    if status == impossible:
        return Solution(status=Status.IMPOSSIBLE, goal=-inf, bound=-inf)
    ended = Status.UNBOUNDED if status == unbounded else Status.STOPPED
    return Solution(status=ended, goal=-inf, bound=inf)


def _matrix(programme: Programme) -> sparse.csr_array:
    """The limits' factors: a row for each limit, a column for each variable."""
    limits = programme.limits
    rows = np.array([row for row, limit in enumerate(limits) for _ in limit.terms], dtype=np.int64)
    columns = np.array([variable for limit in limits for variable in limit.terms], dtype=np.int64)
    factors = np.array([factor for limit in limits for factor in limit.terms.values()], dtype=np.float64)
    shape = (len(limits), len(programme.whole))
    return sparse.coo_array((factors, (rows, columns)), shape=shape).tocsr()


def _dense(terms: Sum, width: int) -> NDArray[np.float64]:
    row = np.zeros(width)
    for variable, factor in terms.items():
        row[variable] = factor
    return row


def _rounded(values: NDArray[np.float64], whole: list[bool]) -> NDArray[np.float64]:
    return np.where(whole, np.round(values), values) + 0.0  # no negative zeros
