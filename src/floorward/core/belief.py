"""What is believed of one lifter's sore region: a latent tolerance, its healing, its good and bad days.

The state is `[healed, plateau, day, bend, offset of variation 1, 2, …]`, all in log demand. A pain report y at demand D, bend b and variation
v has the latent score  ceiling + slope (log D + bend·b - healed - day - offset) + noise,  cut into whole numbers at the node's cuts. Slope, healing
time and the shape of the pain-load curve differ from node to node. Equations and reasons: docs/science/tolerance.md.

Functions take scalars or arrays with one entry a lifter, and give a new belief.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from floorward.maths import posterior, posterior_reading
from floorward.maths.posterior import Line, Mixture
from floorward.maths.posterior_interval import Array, Noise, noise
from floorward.tables import value

Ints = NDArray[np.int64]

HEALED, PLATEAU, DAY, BEND, OFFSETS = 0, 1, 2, 3, 4
TOP_PAIN = 10


@cache
def setting(*path: str) -> Any:
    """A number of tables/tolerance.toml."""
    return value("tolerance", *path)


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """The nodes: one entry each in every array.

    Attributes:
        slope: pain points per log demand.
        healing_days: time constant of healing.
        cuts: latent score at which pain 0, 1, … 9 turns into the next, shape (nodes, 10).
        log_weight: before any report.
    """

    slope: Array
    healing_days: Array
    cuts: Array
    log_weight: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Belief:
    """A posterior and what it hangs on.

    Attributes:
        twin: whether the nodes stand twice, without and with a flare since the last day that was looked at.
        aggravated: how far sets over the ceiling have lowered the day's tolerance so far, log demand.
    """

    grid: Grid
    mixture: Mixture
    ceiling: int
    twin: bool = False
    aggravated: Array


def cuts(shape: float, ceiling: int) -> Array:
    """Where latent scores turn into the next whole number, shape (10,): linear for shape 0, logistic for 1.

    All shapes have slope 1 at the ceiling. For a ceiling of 0 the logistic is anchored at 0.5, where it is still defined.
    """
    point = np.arange(TOP_PAIN) + 0.5
    anchor = max(ceiling, 0.5) / TOP_PAIN
    logit = np.log(point / (TOP_PAIN - point)) - math.log(anchor / (1.0 - anchor))
    return np.asarray((1.0 - shape) * point + shape * (ceiling + TOP_PAIN * anchor * (1.0 - anchor) * logit))


@cache
def grid(ceiling: int, *, healing: bool) -> Grid:
    """All nodes for a ceiling; without `healing`, for one day's search, a single healing time."""
    slopes, slope_weight = _log_normal(
        "slope", int(setting("grid", "slopes")), setting("grid", "slope_reach")
    )
    count = int(setting("grid", "healings")) if healing else 1
    days, days_weight = _log_normal("healing", count, setting("grid", "healing_reach"))
    shapes, shape_weight = setting("link", "shape"), np.asarray(setting("link", "share"))
    weight = slope_weight[:, None, None] * days_weight[:, None] * shape_weight
    each = np.broadcast_to(np.array([cuts(shape, ceiling) for shape in shapes]), (*weight.shape, TOP_PAIN))
    return Grid(
        slope=np.broadcast_to(slopes[:, None, None], weight.shape).ravel(),
        healing_days=np.broadcast_to(days[:, None], weight.shape).ravel(),
        cuts=each.reshape(-1, TOP_PAIN),
        log_weight=np.log(weight / weight.sum()).ravel(),
    )


def _log_normal(name: str, count: int, reach: float) -> tuple[Array, Array]:
    middle = setting("prior", "healing_days" if name == "healing" else name)
    away = np.linspace(-reach, reach, count) if count > 1 else np.zeros(1)
    return middle * np.exp(setting("prior", f"{name}_log_sd") * away), np.exp(-0.5 * away**2)


@cache
def report_noise() -> Noise:
    """How far a report strays from the latent score."""
    return noise(setting("noise", "share"), setting("noise", "deviation"))


def start(log_usual: Array | float, *, ceiling: int, variations: int = 0, healing: bool = True) -> Belief:
    """The belief before any report, from the demand of the usual load alone.

    `variations` is how many there are beside the painful lift; with none, bend and offsets are left out of the state. A search of
    one day does without `healing`.
    """
    usual = np.asarray(log_usual, dtype=float)
    nodes = grid(ceiling, healing=healing)
    mean = [-setting("prior", "usual_gap"), setting("prior", "plateau_gain"), 0.0]
    deviation = [
        setting("prior", "usual_gap_sd"),
        setting("prior", "plateau_sd"),
        setting("day", "deviation"),
    ]
    if variations:
        mean += [setting("prior", "bend"), *[0.0] * variations]
        deviation += [setting("prior", "bend_sd"), *[setting("prior", "variation_sd")] * variations]
    level = np.zeros(len(mean))
    level[[HEALED, PLATEAU]] = 1.0
    mixture = posterior.start(
        log_weight=nodes.log_weight,
        mean=np.asarray(mean) + usual[..., None] * level,
        variance=np.broadcast_to(np.square(deviation), (*usual.shape, len(mean))),
    )
    return Belief(grid=nodes, mixture=mixture, ceiling=ceiling, aggravated=np.zeros(usual.shape))


def direction(belief: Belief, *, bend: float = 0.0, variation: int = 0) -> Array:
    """Which states add up to the tolerance of a variation (0: the painful lift) at a bend relative to the painful lift's."""
    way = np.zeros(belief.mixture.mean.shape[-1])
    way[[HEALED, DAY]] = 1.0
    if variation:
        way[BEND] = -bend
        way[OFFSETS + variation - 1] = 1.0
    return way


def line(belief: Belief, log_demand: Array | float, way: Array) -> Line:
    """The latent pain score at a demand; `log_demand` may have a last axis of candidates beyond the lifters'."""
    slope = _each(belief, belief.grid.slope)
    offset = belief.ceiling + slope * np.asarray(log_demand, dtype=float)[..., None]
    return Line(direction=way, scale=slope, offset=offset)


def _each(belief: Belief, per_node: Array) -> Array:
    """A grid array, repeated for the twins."""
    return np.concatenate([per_node, per_node]) if belief.twin else per_node


def bounds(belief: Belief, pain: Ints | int, rest_pain: Ints | int = -1) -> tuple[Array, Array]:
    """Between which latent scores a pain report lies, shapes (..., nodes).

    A report no higher than the pain at rest says only that the set added nothing that shows.
    """
    score, rest = np.asarray(pain), np.asarray(rest_pain)
    hidden = score <= rest
    edge = np.full((len(belief.grid.cuts), 1), np.inf)
    walls = _each(belief, np.concatenate([-edge, belief.grid.cuts, edge], axis=1))
    upper = np.maximum(score, rest) + 1
    low, high = walls.T[np.where(hidden, 0, score)], walls.T[upper]
    return low, high


def recalled(belief: Belief, log_demand: Array | float, pain: Ints | int) -> Belief:
    """The belief after the report that began the episode: recalled, so noisier, and with no day of its own."""
    way = np.zeros(belief.mixture.mean.shape[-1])
    way[HEALED] = 1.0
    low, high = bounds(belief, pain)
    blur = noise([1.0], [setting("prior", "provoking_noise")])
    seen = posterior.observe(belief.mixture, line(belief, log_demand, way), low=low, high=high, noise=blur)
    return replace(belief, mixture=seen)


def observed(
    belief: Belief,
    log_demand: Array | float,
    pain: Ints | int,
    *,
    rest_pain: Ints | int = -1,
    way: Array,
    told: NDArray[np.bool_] | bool = True,
) -> Belief:
    """The belief after a set's pain report; where `told` is false the set was done but its report is left out."""
    low, high = bounds(belief, pain, rest_pain)
    heard = np.asarray(told)[..., None]
    seen = posterior.observe(
        belief.mixture,
        line(belief, log_demand, way),
        low=np.where(heard, low, -np.inf),
        high=np.where(heard, high, np.inf),
        noise=report_noise(),
    )
    return _aggravated(replace(belief, mixture=seen), pain)


def _aggravated(belief: Belief, pain: Ints | int) -> Belief:
    over = setting("aggravation", "rate") * np.maximum(np.asarray(pain) - belief.ceiling, 0)
    fall = np.minimum(over, setting("aggravation", "most") - belief.aggravated)
    doubt = (setting("aggravation", "doubt") * fall) ** 2
    mixture = posterior.shifted(belief.mixture, DAY, mean=-fall, variance=doubt)
    return replace(belief, mixture=mixture, aggravated=belief.aggravated + fall)


def morning(
    belief: Belief,
    log_demand: Array | float,
    change: Ints | int,
    *,
    way: Array,
    told: NDArray[np.bool_] | bool = True,
) -> Belief:
    """The belief after the next morning's score, as its change against the baseline."""
    slope = np.full(belief.mixture.log_weight.shape[-1], setting("morning", "slope"))
    offset = slope * np.asarray(log_demand, dtype=float)[..., None]
    wall = np.array([-np.inf, *setting("morning", "cuts"), np.inf])
    step, heard = np.clip(np.asarray(change), 0, 2), np.asarray(told)
    seen = posterior.observe(
        belief.mixture,
        Line(direction=way, scale=slope, offset=offset),
        low=np.where(heard, wall[step], -np.inf)[..., None],
        high=np.where(heard, wall[step + 1], np.inf)[..., None],
        noise=noise([1.0], [setting("morning", "deviation")]),
    )
    return replace(belief, mixture=seen)


def advanced(belief: Belief, days: float) -> Belief:
    """The belief `days` later: healing, fading of the day's luck, perhaps a flare."""
    if days <= 0:
        return belief
    one = posterior.joined(belief.mixture) if belief.twin else belief.mixture
    transition, drift = _motion(belief.grid, days, one.mean.shape[-1])
    moved = posterior.advance(one, transition=transition, drift=drift)
    flare = min(
        -math.expm1(-days / setting("flare", "spacing")), 1.0 - 1e-9
    )  # years later it is not quite sure
    mixture = posterior.forked(
        moved, DAY, chance=flare, mean=-setting("flare", "size"), variance=setting("flare", "size_sd") ** 2
    )
    fade = math.exp(-days / setting("day", "memory"))
    return replace(belief, mixture=mixture, twin=True, aggravated=belief.aggravated * fade)


def _motion(nodes: Grid, days: float, states: int) -> tuple[Array, Array]:
    fade = math.exp(-days / setting("day", "memory"))
    closed = -np.expm1(-days / nodes.healing_days)
    transition = np.tile(np.eye(states), (len(closed), 1, 1))
    transition[:, HEALED, HEALED] = 1.0 - closed
    transition[:, HEALED, PLATEAU] = closed
    transition[:, DAY, DAY] = fade
    drift = np.zeros((states, states))
    drift[HEALED, HEALED] = setting("healing", "wander") ** 2 * days
    drift[PLATEAU, PLATEAU] = setting("healing", "plateau_wander") ** 2 * days
    drift[DAY, DAY] = setting("day", "deviation") ** 2 * (1.0 - fade**2)
    return transition, drift


def chance_above(belief: Belief, log_demand: Array | float, pain: int, *, way: Array) -> Array:
    """P(a report > pain) at a demand, or at each of a last axis of candidates."""
    at_most = posterior_reading.chance(
        belief.mixture,
        line(belief, log_demand, way),
        high=_each(belief, belief.grid.cuts)[:, pain],
        noise=report_noise(),
    )
    return 1.0 - at_most


def rested_quantiles(belief: Belief, shares: tuple[float, ...], *, way: Array) -> Array:
    """Quantiles of the log tolerance once today's aggravation has gone, shape (..., shares)."""
    return posterior_reading.quantiles(belief.mixture, way, shares) + belief.aggravated[..., None]
