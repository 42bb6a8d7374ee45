"""How many repetitions a load allows, and how near to failure a set was.

A load is given as a share of the heaviest single (1RM). The general chart is an average over people who differ widely, so that
every answer is a range; a lifter with enough rated sets has a curve of their own. See docs/science/strength.md.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import exp, log, sqrt
from statistics import fmean

from floorward.errors import ContractError
from floorward.tables import value

TEN_PERCENT_POINT = -1.2815515655446004  # of the standard normal distribution


@dataclass(frozen=True, slots=True, kw_only=True)
class HardSet:
    """A set as far as it tells strength: what was lifted, how often, how hard it was (RPE 1–10, None when not rated)."""

    load_kg: float
    repetitions: int
    rpe: float | None
    day: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """What is likely for one lifter: one in ten lies under `low`, one in ten over `high`."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """A lifter's own load for each number of repetitions: load = max_kg · e^(−drop · (repetitions − 1)).

    Attributes:
        drop: how much of the load a further repetition costs, as a logarithm.
        drop_sd: how well that is known.
        sets: how many sets tell it.
    """

    max_kg: float
    drop: float
    drop_sd: float
    sets: int


def repetitions_left(rpe: float) -> float | None:
    """Repetitions in reserve, as the lifter felt it: 10 − RPE; None where the scale tells only how light the set was.

    Raises:
        ContractError: if `rpe` is not from 1 to 10.
    """
    if not 1 <= rpe <= 10:
        raise ContractError(f"RPE is from 1 to 10, not {rpe}")
    return 10 - rpe if rpe >= value("strength", "rir_scale")["tells_from"] else None


def to_failure(repetitions: int, rpe: float | None) -> float:
    """Repetitions that would have been the last: those done and those left. A set that tells nothing counts as taken to
    failure, so that what follows from it errs low.
    """
    left = repetitions_left(rpe) if rpe is not None else None
    return repetitions + (left or 0)


def share_at(to_failure: float, curve: Curve | None = None) -> float:
    """The share of the heaviest single that can be lifted `to_failure` times: by the lifter's own curve, else the chart.

    Raises:
        ContractError: for less than one repetition.
    """
    if to_failure < 1:
        raise ContractError(f"a share needs at least one repetition, not {to_failure}")
    if curve:
        return exp(-curve.drop * (to_failure - 1))
    points = _chart()
    return (
        _between(points, to_failure) if to_failure <= points[-1][0] else _beyond() / (_beyond() + to_failure)
    )


def share_for(repetitions: int, rpe: float, curve: Curve | None = None) -> float:
    """The share at which `repetitions` feel like `rpe`: five at RPE 8 are five with two left, so the share of seven."""
    return share_at(to_failure(repetitions, rpe), curve)


def repetitions_at(share: float, curve: Curve | None = None) -> Range:
    """Repetitions to failure at `share` of the heaviest single, for most lifters, or for this one by their own curve.

    Raises:
        ContractError: if `share` is not above 0 and 1 at most.
    """
    if not 0 < share <= 1:
        raise ContractError(f"a share is above 0 and 1 at most, not {share}")
    middle = _by_curve(share, curve) if curve else _by_chart(share)
    log_sd = curve.drop_sd / curve.drop if curve else value("strength", "repetitions_log_sd")
    wide = exp(TEN_PERCENT_POINT * log_sd)
    return Range(low=max(middle * wide, 1), middle=middle, high=max(middle / wide, 1))


def own_curve(sets: Iterable[HardSet]) -> Curve | None:
    """The curve that rated sets tell, or None while they are too few or too alike.

    The logarithm of the load falls in a straight line with repetitions to failure. How steeply is known beforehand from the
    chart and from how much lifters differ; sets sharpen it (a regression with that prior, docs/science/strength.md). The sets
    should be of one lift and of some weeks at most, as the heaviest single is taken to be one throughout.
    """
    telling = [hard_set for hard_set in sets if _tells_a_curve(hard_set)]
    repetitions = [to_failure(hard_set.repetitions, hard_set.rpe) for hard_set in telling]
    if len(telling) < value("strength", "own_curve", "least_sets"):
        return None
    if max(repetitions) - min(repetitions) < value("strength", "own_curve", "least_span"):
        return None
    return _regression([r - 1 for r in repetitions], [log(hard_set.load_kg) for hard_set in telling])


def _tells_a_curve(hard_set: HardSet) -> bool:
    return hard_set.rpe is not None and hard_set.rpe >= value("strength", "rir_scale")["exact_from"]


def _regression(further: Sequence[float], log_load: Sequence[float]) -> Curve | None:
    usual = usual_drop()
    prior = (usual * value("strength", "repetitions_log_sd")) ** -2
    noise = (usual * value("strength", "retest_noise")) ** -2
    centre, height = fmean(further), fmean(log_load)
    spread = sum((x - centre) ** 2 for x in further)
    slope = sum((x - centre) * (y - height) for x, y in zip(further, log_load, strict=True))
    precision = noise * spread + prior
    drop = (prior * usual - noise * slope) / precision
    if drop <= 0:
        return None
    return Curve(
        max_kg=exp(height + drop * centre), drop=drop, drop_sd=1 / sqrt(precision), sets=len(further)
    )


def usual_drop() -> float:
    """How much of the load a further repetition costs by the chart, as a logarithm, over the first ten."""
    return -log(share_at(10)) / 9


def _by_curve(share: float, curve: Curve) -> float:
    return 1 - log(share) / curve.drop


def _by_chart(share: float) -> float:
    points = [(share, repetitions) for repetitions, share in reversed(_chart())]
    return _between(points, share) if share >= points[0][0] else _beyond() * (1 / share - 1)


def _chart() -> list[tuple[float, float]]:
    """Repetitions and share, from one repetition to where the equation takes over."""
    rows = [*value("strength", "chart"), value("strength", "chart_end")]
    return [(repetitions, percent / 100) for repetitions, percent in rows]


def _beyond() -> float:
    """The n of share = n / (n + repetitions), the equation that carries the chart on."""
    (n,) = value("strength", "equations", "epley")
    return float(n)


def _between(points: Sequence[tuple[float, float]], x: float) -> float:
    """The straight line through the two points on either side of `x`."""
    (x0, y0), (x1, y1) = next(pair for pair in pairwise(points) if x <= pair[1][0])
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
