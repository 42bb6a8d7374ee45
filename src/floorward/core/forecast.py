"""When the old load should be back: the rules for the next step, played forward from what is believed today.

Each draw is one lifter who could be this one: a slope, a healing time, a tolerance. It trains twice a week, reports, sleeps, and steps as
`steps` would let it. The event is the first session at 90 % of the usual load with pain within the ceiling.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from floorward.core import belief, played_rules
from floorward.core.belief import DAY, HEALED, PLATEAU, Belief, setting
from floorward.core.played_rules import Ints, Scores, Standing
from floorward.core.protocol import SHIPPED, Protocol
from floorward.maths.posterior_interval import Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Outset:
    """Where the play begins.

    Attributes:
        state: what is believed on `today`.
        loads: what can be loaded, ascending; demands: what each asks; usual: the old load.
        standing: of the lifter, one entry, with the next load's place.
        next_day: of the next session.
    """

    state: Belief
    loads: Array
    demands: Array
    usual: float
    standing: Standing
    today: int
    next_day: int
    protocol: Protocol = SHIPPED


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """Days since the episode began, None where not within 26 weeks; and the share that is not back by then."""

    p10_day: float | None
    p50_day: float | None
    p90_day: float | None
    share_not_by_26_weeks: float


@dataclass(slots=True)
class _Draws:
    """Lifters who could be this one, in play."""

    slope: Array
    healing_days: Array
    cuts: Array
    healed: Array
    plateau: Array
    day: Array

    @property
    def tolerance(self) -> Array:
        """Log tolerance of each draw today."""
        return self.healed + self.day


def forecast(outset: Outset, seed: int) -> Forecast:
    """The forecast; the same outset and seed give the same."""
    return summary(reached_days(outset, seed))


def summary(days: Array) -> Forecast:
    """Quantiles of the days on which the draws are back, inf for those who are not."""
    p10, p50, p90 = (float(day) for day in np.quantile(days, (0.1, 0.5, 0.9), method="higher"))
    return Forecast(
        p10_day=p10 if np.isfinite(p10) else None,
        p50_day=p50 if np.isfinite(p50) else None,
        p90_day=p90 if np.isfinite(p90) else None,
        share_not_by_26_weeks=float(np.isinf(days).mean()),
    )


def reached_days(outset: Outset, seed: int) -> Array:
    """Day on which each draw is back, inf where that is not within 26 weeks."""
    rng = np.random.default_rng(seed)
    draws = _drawn(outset.state, int(setting("forecast", "draws")), rng)
    count = len(draws.slope)
    now = outset.standing.taken(np.zeros(count, dtype=np.int64))
    reached, day, last = np.full(count, np.inf), outset.next_day, outset.today
    turn, horizon = 0, setting("forecast", "horizon")
    while day <= horizon and np.isinf(reached).any():
        _pass(draws, day - last, rng)
        scores = _session(draws, outset, now.place, rng)
        hit = _back(outset, now.place) & (scores.during <= outset.state.ceiling)
        reached = np.where(hit & np.isinf(reached), day, reached)
        now = _next(draws, outset, now, scores, day)
        last, day = day, day + int(setting("forecast", "spacing")[turn % 2])
        turn += 1
    return reached


def _back(outset: Outset, place: Ints) -> NDArray[np.bool_]:
    share = setting("forecast", "share_of_usual")
    return np.asarray(outset.loads[place] >= share * outset.usual - 1e-9)


def _drawn(state: Belief, count: int, rng: np.random.Generator) -> _Draws:
    """Draws from the mixture; a twin draws from its own moments."""
    weight, nodes = state.mixture.weight, len(state.grid.slope)
    picked = rng.choice(len(weight), size=count, p=weight / weight.sum())
    root = np.linalg.cholesky(_firm(state.mixture.covariance[picked]))
    drawn = state.mixture.mean[picked] + (root @ rng.normal(size=(count, root.shape[-1], 1)))[..., 0]
    node = picked % nodes
    return _Draws(
        slope=state.grid.slope[node],
        healing_days=state.grid.healing_days[node],
        cuts=state.grid.cuts[node],
        healed=drawn[:, HEALED],
        plateau=drawn[:, PLATEAU],
        day=drawn[:, DAY],
    )


def _firm(covariance: Array) -> Array:
    return np.asarray(covariance + 1e-12 * np.eye(covariance.shape[-1]))


def _pass(draws: _Draws, days: int, rng: np.random.Generator) -> None:
    """Days go by: healing, luck, flares."""
    if days <= 0:
        return
    count = len(draws.slope)
    closed = -np.expm1(-days / draws.healing_days)
    wander = setting("healing", "wander") * np.sqrt(days)
    draws.healed = draws.healed + closed * (draws.plateau - draws.healed) + wander * rng.normal(size=count)
    draws.plateau = draws.plateau + setting("healing", "plateau_wander") * np.sqrt(days) * rng.normal(
        size=count
    )
    fade = np.exp(-days / setting("day", "memory"))
    luck = setting("day", "deviation") * np.sqrt(1.0 - fade**2)
    size = setting("flare", "size") + setting("flare", "size_sd") * rng.normal(size=count)
    struck = rng.random(count) < -np.expm1(-days / setting("flare", "spacing"))
    draws.day = fade * draws.day + luck * rng.normal(size=count) - struck * size


def _session(draws: _Draws, outset: Outset, place: Ints, rng: np.random.Generator) -> Scores:
    """One exposure and its morning."""
    count, ceiling = len(draws.slope), outset.state.ceiling
    over = np.log(outset.demands[place]) - draws.tolerance
    latent = ceiling + draws.slope * over + _strays(count, rng)
    pain = (latent[:, None] > draws.cuts).sum(axis=1)
    fall = setting("aggravation", "rate") * np.maximum(pain - ceiling, 0)
    draws.day = draws.day - fall * (1.0 + setting("aggravation", "doubt") * rng.normal(size=count))
    woke = setting("morning", "slope") * over + setting("morning", "deviation") * rng.normal(size=count)
    change = (woke[:, None] > np.array(setting("morning", "cuts"))).sum(axis=1)
    return Scores(
        during=pain,
        after=np.maximum(pain - 1, 0),
        change=change,
        acceptable=pain <= outset.protocol.ceiling_set,
    )


def _strays(count: int, rng: np.random.Generator) -> Array:
    blur = belief.report_noise()
    kind = rng.choice(len(blur.share), size=count, p=blur.share)
    return np.asarray(blur.deviation[kind] * rng.normal(size=count))


def _next(draws: _Draws, outset: Outset, now: Standing, scores: Scores, day: int) -> Standing:
    """What the rules ask for, and no more than the model would then allow."""
    after, step, open_to = played_rules.judged(now, scores, day, outset.protocol.profile, outset.protocol)
    ruled, most = played_rules.moved(after, step, outset.loads, outset.protocol)
    top = int(np.searchsorted(outset.loads, outset.usual, side="right")) - 1
    most = np.minimum(np.where(open_to, np.maximum(most, ruled), ruled), max(top, 0))
    floor = played_rules.least_place(outset.loads, after, step, open_to, ruled)
    likely = _allowed(draws, outset, played_rules.chance_limit(after, day))
    return played_rules.at_place(after, np.maximum(np.minimum(most, likely), floor))


def _allowed(draws: _Draws, outset: Outset, limit: Array) -> Ints:
    """Place of the heaviest load that would seem likely enough to be bearable.

    A played lifter's tolerance is taken as known to the deviation that a season of reports leaves.
    """
    ceiling, blur = outset.state.ceiling, belief.report_noise()
    variance = float((blur.share * blur.deviation**2).sum())
    spread = np.sqrt((draws.slope * setting("forecast", "known")) ** 2 + variance)
    margin = draws.cuts[:, ceiling] - ceiling - spread * ndtri(1.0 - limit)
    most = draws.tolerance + margin / draws.slope
    found = np.searchsorted(np.log(outset.demands), most, side="right") - 1
    return np.asarray(np.maximum(found, 0), dtype=np.int64)
