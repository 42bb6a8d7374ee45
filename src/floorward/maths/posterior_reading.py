"""What a grid × Gaussian posterior says: chances, quantiles, spread, and how narrow one more report would make it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from floorward.maths.posterior import Line, Mixture, projected
from floorward.maths.posterior_interval import Array, Noise, chance_at_most

_ROUNDS = 60  # halvings alone would need 34
_NEAR_ENOUGH = 1e-11  # of a share
_NO_WEIGHT = 1e-13  # nodes under it move no quantile that anybody could read
_ROOT_TWO_PI = float(np.sqrt(2.0 * np.pi))
_BOUND = 38.0  # the Normal density is zero beyond


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """What one more report would bring, per case.

    Attributes:
        chance: of each outcome, shape (..., outcomes).
        spread: standard deviation left after it, shape (..., outcomes).
    """

    chance: Array
    spread: Array


def chance(mixture: Mixture, line: Line, *, high: Array, noise: Noise) -> Array:
    """P(report <= high), weighted over the nodes.

    The line's offset may have one more axis before the nodes, such as (..., candidates, nodes); `high` broadcasts against it.
    """
    mean, variance = _beside(mixture, line)
    part = chance_at_most(
        high=high, centre=line.offset - line.scale * mean, variance=line.scale**2 * variance, noise=noise
    )
    return np.asarray((_aligned(mixture.weight, line.offset) * part).sum(axis=-1))


def moments(mixture: Mixture, direction: Array) -> tuple[Array, Array]:
    """Mean and standard deviation of direction · state over the whole mixture."""
    mean, variance = projected(mixture, direction)
    weight = mixture.weight
    middle = (weight * mean).sum(axis=-1)
    spread = (weight * (variance + (mean - middle[..., None]) ** 2)).sum(axis=-1)
    return middle, np.sqrt(spread)


def quantiles(mixture: Mixture, direction: Array, shares: tuple[float, ...]) -> Array:
    """Values of direction · state below which `shares` of the mixture lie, shape (..., shares)."""
    mean, variance = projected(mixture, direction)
    told = np.flatnonzero(mixture.weight.reshape(-1, mean.shape[-1]).max(axis=0) > _NO_WEIGHT)
    return _reached(
        mixture.weight[..., told], mean[..., told], np.sqrt(variance[..., told]), np.asarray(shares)
    )


def _reached(weight: Array, mean: Array, deviation: Array, shares: Array) -> Array:
    """Where weighted Normals reach `shares`: by Newton's method, and by halves where that would leave the bracket."""
    one = np.ones(shares.shape)
    low = (mean - 9.0 * deviation).min(axis=-1)[..., None] * one
    high = (mean + 9.0 * deviation).max(axis=-1)[..., None] * one
    at = (weight * mean).sum(axis=-1)[..., None] * one
    for _ in range(_ROUNDS):
        away = (at[..., None] - mean[..., None, :]) / deviation[..., None, :]
        short = shares - np.einsum("...n,...sn->...s", weight, ndtr(away))
        low, high = np.where(short > 0, at, low), np.where(short > 0, high, at)
        steepness = np.einsum("...n,...sn->...s", weight / deviation, np.exp(-0.5 * away * away))
        there = at + short * _ROOT_TWO_PI / np.maximum(steepness, 1e-12)
        at = np.where((there >= low) & (there <= high), there, 0.5 * (low + high))
        if np.abs(short).max() < _NEAR_ENOUGH:
            break
    return np.asarray(at)


def outlook(mixture: Mixture, line: Line, *, cuts: Array, noise: Noise) -> Outlook:
    """For each candidate and each outcome: its chance, and the spread of direction · state that it would leave.

    The line's offset has shape (..., candidates, nodes); `cuts` are the finite bounds between the outcomes, ascending, of shape
    (nodes, outcomes - 1).
    """
    mean, variance = _beside(mixture, line)
    mass, pull, curve = _cells(line, mean, variance, cuts, noise)
    moved = mean[..., None] - (line.scale * variance)[..., None] * pull
    left = variance[..., None] - (line.scale**2 * variance**2)[..., None] * (pull**2 - curve)
    part = _aligned(mixture.weight, line.offset)[..., None] * mass
    total = np.maximum(part.sum(axis=-2), 1e-300)
    middle = (part * moved).sum(axis=-2) / total
    second = (part * (left + (moved - middle[..., None, :]) ** 2)).sum(axis=-2) / total
    return Outlook(chance=total, spread=np.sqrt(np.maximum(second, 0.0)))


def _cells(line: Line, mean: Array, variance: Array, cuts: Array, noise: Noise) -> tuple[Array, Array, Array]:
    """Probability, first and second derivative over it, for each cell between cuts; shape (..., nodes, outcomes)."""
    centre = line.offset - line.scale * mean
    mass = first = second = np.zeros(())
    for share, deviation in zip(noise.share, noise.deviation, strict=True):
        spread = np.sqrt(line.scale**2 * variance + deviation**2)[..., None]
        away = np.clip((cuts - centre[..., None]) / spread, -_BOUND, _BOUND)
        density = np.exp(-0.5 * away**2) / _ROOT_TWO_PI
        mass = mass + share * _between(ndtr(away), 1.0)
        first = first - share * _between(density, 0.0) / spread
        second = second - share * _between(away * density, 0.0) / spread**2
    safe = np.maximum(mass, 1e-14)
    return np.asarray(mass), np.asarray(first / safe), np.asarray(second / safe)


def _between(at_cut: Array, last: float) -> Array:
    """Differences across cells: from 0 below the first cut to `last` above the last."""
    edge = np.zeros((*at_cut.shape[:-1], 1))
    return np.diff(np.concatenate([edge, at_cut, edge + last], axis=-1), axis=-1)


def _beside(mixture: Mixture, line: Line) -> tuple[Array, Array]:
    mean, variance = projected(mixture, line.direction)
    return _aligned(mean, line.offset), _aligned(variance, line.offset)


def _aligned(per_node: Array, offset: Array) -> Array:
    """`per_node` with an axis for candidates, where the offset has one."""
    return per_node[..., None, :] if offset.ndim > per_node.ndim else per_node
