"""Choosing whole numbers: variables, limits on sums of them, and a sum to make as large as it can be.

A thin layer over SciPy's `milp`, which calls the solver HiGHS (branch and bound, one thread, the same answer each time unless the
time runs out). A sum is a mapping from variables to their factors.
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

    Args:
        programme: with at least one variable.
        seconds: when to stop with the best so far.
        gap: how far from the best is near enough, as a share of the goal; 0 proves it.

    Returns:
        A solution, whose whole variables are exactly whole. Without one the status says why.
    """
    result = optimize.milp(
        -_dense(programme.goal, len(programme.whole)),
        integrality=np.asarray(programme.whole, dtype=int),
        bounds=optimize.Bounds(programme.least, programme.most),
        constraints=_constraints(programme),
        # the solver's presolve costs these small programmes more than it saves (bench/builder.py)
        options={
            "mip_rel_gap": gap,
            "presolve": False,
            **({"time_limit": seconds} if seconds < inf else {}),
        },
    )
    if result.x is None:
        return _nothing(result.status)
    values = _rounded(np.asarray(result.x), programme.whole)
    goal = -float(result.fun)
    bound = goal if result.mip_dual_bound is None else max(-float(result.mip_dual_bound), goal)
    found = Solution(status=Status.PROVEN, goal=goal, bound=bound, values=tuple(map(float, values)))
    if result.status != 0:
        return replace(found, status=Status.STOPPED)
    return found if found.gap <= _NEAR_WHOLE else replace(found, status=Status.WITHIN_GAP)


def _nothing(status: int) -> Solution:
    impossible, unbounded = 2, 3
    if status == impossible:
        return Solution(status=Status.IMPOSSIBLE, goal=-inf, bound=-inf)
    ended = Status.UNBOUNDED if status == unbounded else Status.STOPPED
    return Solution(status=ended, goal=-inf, bound=inf)


def _constraints(programme: Programme) -> list[optimize.LinearConstraint]:
    limits = programme.limits
    if not limits:
        return []
    rows = np.array([row for row, limit in enumerate(limits) for _ in limit.terms], dtype=np.int64)
    columns = np.array([variable for limit in limits for variable in limit.terms], dtype=np.int64)
    factors = np.array([factor for limit in limits for factor in limit.terms.values()], dtype=np.float64)
    shape = (len(limits), len(programme.whole))
    matrix = sparse.coo_array((factors, (rows, columns)), shape=shape).tocsr()
    return [
        optimize.LinearConstraint(matrix, [limit.least for limit in limits], [limit.most for limit in limits])
    ]


def _dense(terms: Sum, width: int) -> NDArray[np.float64]:
    row = np.zeros(width)
    for variable, factor in terms.items():
        row[variable] = factor
    return row


def _rounded(values: NDArray[np.float64], whole: list[bool]) -> NDArray[np.float64]:
    return np.where(whole, np.round(values), values) + 0.0  # no negative zeros
