"""The tolerance model without grid or projection: lifters drawn from its priors, each weighed by how likely they are to have reported this.

Slow and rough, but it shares nothing with the fast posterior beyond the equations, and so says whether something odd is the model's or
the arithmetic's. `python -m bench.weighed_draws` compares both on histories where one point more on an earlier set raises the tolerance.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from bench.own_draws import CEILING, Drawn, drawn
from floorward.core import belief
from floorward.core.belief import setting
from floorward.core.tolerance import Priors, Report
from floorward.core.tolerance_log import heard, started, taught

DRAWS = 400_000
LEAST = 1e-300  # a report that no draw could have given

Told = tuple[int, float, int]  # day, share of the usual demand, pain

ODD: dict[
    str, tuple[int, tuple[Told, ...], int]
] = {  # by name: pain of the report that began it, the sets, and which of them is raised by a point
    "the light set of two on one day": (5, ((0, 0.84, 1), (1, 0.71, 1), (1, 0.44, 0), (5, 0.46, 3)), 2),
    "a painless set between hard ones": (
        9,
        ((0, 0.75, 3), (4, 0.42, 7), (5, 0.62, 0), (7, 0.83, 4), (10, 0.26, 0)),
        2,
    ),
}


@dataclass(frozen=True)
class Weighed:
    """What weighed draws say: median of the rested log tolerance, mean log slope, and how many equal draws they are worth."""

    median: float
    log_slope: float
    worth: float


def fast(first: int, sets: Sequence[Told]) -> float:
    """Median of the rested log tolerance on the last day by the fast posterior, without the guard over what is shown."""
    priors = Priors(usual_demand=1.0, provoking_demand=1.0, provoking_pain=first)
    reports = tuple(Report(day=day, demand=share, pain=pain) for day, share, pain in sets)
    state, _ = taught(started(priors), 0, reports, priors, heard(reports, CEILING))
    return float(belief.rested_quantiles(state, (0.5,), way=belief.direction(state))[0])


def weighed(first: int, sets: Sequence[Told], seed: int, draws: int = DRAWS) -> Weighed:
    """The same by drawing lifters; the same seed draws the same lifters for any reports on the same days."""
    crowd = drawn(seed, draws)
    walls = np.concatenate([np.full((draws, 1), -np.inf), crowd.cuts, np.full((draws, 1), np.inf)], axis=1)
    recalled = ((1.0, setting("prior", "provoking_noise")),)
    blur = belief.report_noise()
    usual = tuple(zip(blur.share, blur.deviation, strict=True))
    log_weight = _log_chance(walls, first, CEILING - crowd.slope * crowd.healed, recalled)
    now, aggravated = 0, 0.0
    for day, share, pain in sets:
        crowd.later(day - now)
        aggravated, now = aggravated * np.exp(-(day - now) / setting("day", "memory")), day
        latent = CEILING + crowd.slope * (np.log(share) - crowd.healed - crowd.day)
        log_weight = log_weight + _log_chance(walls, pain, latent, usual)
        aggravated += _aggravate(crowd, pain, aggravated)
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    rested = crowd.healed + crowd.day + aggravated
    order = np.argsort(rested)
    middle = np.searchsorted(np.cumsum(weight[order]), 0.5)
    return Weighed(
        median=float(rested[order][middle]),
        log_slope=float((weight * np.log(crowd.slope)).sum()),
        worth=float(1.0 / (weight**2).sum()),
    )


def _aggravate(crowd: Drawn, pain: int, so_far: float) -> float:
    """Lower the day of each as a set over the ceiling does; gives the fall that the model expects."""
    over = setting("aggravation", "rate") * max(pain - CEILING, 0)
    fall = min(over, setting("aggravation", "most") - so_far)
    doubt = setting("aggravation", "doubt") * crowd.rng.normal(size=len(crowd.day))
    crowd.day = crowd.day - fall * (1.0 + doubt)
    return float(fall)


def _log_chance(
    walls: np.ndarray, pain: int, latent: np.ndarray, blur: Sequence[tuple[float, float]]
) -> np.ndarray:
    low, high = walls[:, pain], walls[:, pain + 1]
    parts = (share * (ndtr((high - latent) / by) - ndtr((low - latent) / by)) for share, by in blur)
    return np.log(np.maximum(sum(parts), LEAST))


def raised(sets: Sequence[Told], place: int) -> tuple[Told, ...]:
    """The sets with one point more on one of them."""
    day, share, pain = sets[place]
    return (*sets[:place], (day, share, pain + 1), *sets[place + 1 :])


def main() -> None:
    for name, (first, sets, place) in ODD.items():
        more = raised(sets, place)
        before, after = weighed(first, sets, 5), weighed(first, more, 5)
        print(
            f"{name}: fast {np.expm1(fast(first, more) - fast(first, sets)):+.1%}, "
            f"drawn {np.expm1(after.median - before.median):+.1%}; slope x {np.exp(after.log_slope - before.log_slope):.2f}; "
            f"worth {before.worth:.0f} and {after.worth:.0f} draws"
        )


if __name__ == "__main__":
    main()
