"""A lifter's tolerance, rebuilt from the log: what the sore region takes on a day, and what that means in loads on a set-up.

The log is the truth; nothing is kept between calls.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from floorward.core import belief
from floorward.core.belief import Belief, setting
from floorward.core.caution import Scores, never_rewarded
from floorward.core.tolerance_log import Priors, Report, heard, in_order, started, taught, way_of
from floorward.maths import posterior_reading
from floorward.maths.posterior_interval import Array

__all__ = [
    "Band",
    "Priors",
    "Report",
    "Tolerance",
    "chance_unacceptable",
    "demand_quantiles",
    "first_on_variation",
    "loads_at",
    "takes_to",
    "tolerance_of",
]

_SHARES = (0.50, 0.05, 0.40, 0.95)
_MOVABLE = 6  # reports that a worse score is guarded over: older ones weigh too little


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """Tolerance as a demand: the middle, the share that answers are read at (40 %) and the central 90 %."""

    median: float
    p05: float
    p40: float
    p95: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerance:
    """What is believed on a day.

    Attributes:
        day: since the episode began.
        band: of the painful lift, without what the day's own sets have added.
    """

    day: int
    state: Belief
    priors: Priors
    band: Band


def tolerance_of(reports: Sequence[Report], priors: Priors, today: int) -> Tolerance:
    """What `reports` say of the tolerance on day `today`.

    Reports of one day are read in the order of their variations' keys, each variation's own in the order given.

    Raises:
        ContractError: if days fall or lie after `today`, or a variation is not among those of the priors.
    """
    ordered = in_order(reports, priors, today)
    cut = _day_boundary(ordered, len(ordered) - _MOVABLE)
    pains = heard(ordered, priors.ceiling)
    before, day = taught(started(priors), 0, ordered[:cut], priors, pains[:cut])

    def at_today(changed: Scores) -> Belief:
        state, last = taught(before, day, ordered[cut:], priors, changed)
        return belief.advanced(state, today - last)

    def read(changed: Scores) -> Array:
        state = at_today(changed)
        found = belief.rested_quantiles(state, _SHARES, way=belief.direction(state))
        return np.broadcast_to(found, (len(changed), len(_SHARES)))

    median, low, answer, high = np.exp(never_rewarded(read, pains[cut:], _MOVABLE)).tolist()
    band = Band(median=median, p05=low, p40=answer, p95=high)
    return Tolerance(day=today, state=at_today(pains[cut:]), priors=priors, band=band)


def _day_boundary(reports: tuple[Report, ...], place: int) -> int:
    """The last place at or before `place` at which a day begins."""
    while place > 0 and reports[place - 1].day == reports[place].day:
        place -= 1
    return max(place, 0)


def chance_unacceptable(
    tolerance: Tolerance, demand: Array | float, variation: str = "", bend: float = 0.0
) -> Array:
    """P(a set hurts more than the ceiling) at each demand, shape of `demand`."""
    state = tolerance.state
    way = way_of(state, tolerance.priors, variation, bend)
    return belief.chance_above(state, np.log(np.asarray(demand, dtype=float)), state.ceiling, way=way)


def demand_quantiles(
    tolerance: Tolerance, shares: tuple[float, ...], variation: str = "", bend: float = 0.0
) -> tuple[float, ...]:
    """Quantiles of a variation's rested tolerance, as demands."""
    way = way_of(tolerance.state, tolerance.priors, variation, bend)
    found = np.exp(belief.rested_quantiles(tolerance.state, shares, way=way))
    return tuple(found.tolist())


def loads_at(
    demands: Sequence[float], loads_kg: Sequence[float], asked: Sequence[float]
) -> tuple[float | None, ...]:
    """The heaviest of `loads_kg` that asks no more than each of `demands`; None where even the lightest asks more.

    `asked` is what each load asks on the set-up; both go upward.
    """
    places = np.searchsorted(np.asarray(asked), np.asarray(demands), side="right")
    return tuple(loads_kg[place - 1] if place else None for place in places.tolist())


def first_on_variation(
    tolerance: Tolerance,
    accepted_demand: float,
    loads_kg: Sequence[float],
    asked: Sequence[float],
    variation: str,
    bend: float = 0.0,
) -> float | None:
    """Load for the first set on another variation of the family, or None when even the lightest asks too much.

    At most 0.87 of equal demand, and no likelier than 15 % to hurt too much. `loads_kg` and what they ask on the
    variation go upward; `accepted_demand` is that of the load accepted on the painful lift.
    """
    chance = chance_unacceptable(tolerance, np.asarray(asked), variation, bend)
    within = np.asarray(asked) <= setting("variation", "first_share") * accepted_demand
    fits = np.flatnonzero(within & (chance <= setting("variation", "unacceptable_chance")))
    return loads_kg[int(fits[-1])] if len(fits) else None


def takes_to(tolerance: Tolerance, variation: str, bend: float = 0.0) -> tuple[float, float]:
    """How much better (above 0) or worse a lifter takes to a variation than its demand says: log ratio and its deviation.

    Offset and bend are told together, because no single lift can tell them apart.
    """
    state, priors = tolerance.state, tolerance.priors
    contrast = way_of(state, priors, variation, bend) - way_of(state, priors, "", 0.0)
    mean, spread = posterior_reading.moments(state.mixture, contrast)
    return float(mean), float(spread)
