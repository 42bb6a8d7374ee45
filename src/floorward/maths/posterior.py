"""A grid over what is not Gaussian, a Gaussian over the rest: moments matched after each interval-censored report.

Parameters that enter non-linearly sit on a fixed grid of nodes. At each node the state is a Gaussian; a report
`low < offset - scale * (direction · state) + noise <= high` changes its first two moments exactly for that projection and multiplies the
node's weight by the report's probability. All arrays may carry leading axes, one entry a case: shapes below are written after them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from floorward.maths.posterior_interval import Array, Noise, Seen, interval


@dataclass(frozen=True, slots=True, kw_only=True)
class Mixture:
    """Weighted Gaussians over a state.

    Attributes:
        log_weight: shape (..., nodes), the exponentials sum to 1.
        mean: shape (..., nodes, states).
        covariance: shape (..., nodes, states, states).
    """

    log_weight: Array
    mean: Array
    covariance: Array

    @property
    def weight(self) -> Array:
        """Weights, shape (..., nodes)."""
        return np.asarray(np.exp(self.log_weight))


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """How a report hangs on the state: offset - scale * (direction · state).

    Attributes:
        direction: shape (states,).
        scale: shape (nodes,).
        offset: shape (..., nodes).
    """

    direction: Array
    scale: Array
    offset: Array


def start(*, log_weight: Array, mean: Array, variance: Array) -> Mixture:
    """A mixture whose nodes all start at the same independent Gaussians.

    `log_weight` has shape (nodes,), `mean` and `variance` (..., states).
    """
    nodes = log_weight.shape[-1]
    spread = np.eye(mean.shape[-1]) * variance[..., None, :]
    shape = (*mean.shape[:-1], nodes)
    return Mixture(
        log_weight=_normalised(np.broadcast_to(log_weight, shape)),
        mean=np.repeat(mean[..., None, :], nodes, axis=-2),
        covariance=np.repeat(spread[..., None, :, :], nodes, axis=-3),
    )


def observe(mixture: Mixture, line: Line, *, low: Array, high: Array, noise: Noise) -> Mixture:
    """The mixture after a report; bounds of ±inf on both sides change nothing."""
    gain, mean, variance = _along(mixture, line.direction)
    seen = interval(
        low=low,
        high=high,
        centre=line.offset - line.scale * mean,
        variance=line.scale**2 * variance,
        noise=noise,
    )
    return _moved(mixture, line.scale, gain, seen)


def _moved(mixture: Mixture, scale: Array, gain: Array, seen: Seen) -> Mixture:
    shrink = scale**2 * (seen.first**2 - seen.second)
    return Mixture(
        log_weight=_normalised(mixture.log_weight + seen.log_mass),
        mean=mixture.mean - (scale * seen.first)[..., None] * gain,
        covariance=mixture.covariance - (shrink[..., None] * gain)[..., :, None] * gain[..., None, :],
    )


def _along(mixture: Mixture, direction: Array) -> tuple[Array, Array, Array]:
    gain = _combined(mixture.covariance, direction)
    return gain, _combined(mixture.mean, direction), _combined(gain, direction)


def _combined(states: Array, direction: Array) -> Array:
    """Sum of states · direction over the last axis; directions are mostly zero."""
    return np.asarray(sum(direction[j] * states[..., j] for j in np.flatnonzero(direction)))


def projected(mixture: Mixture, direction: Array) -> tuple[Array, Array]:
    """Mean and variance of direction · state at each node, shapes (..., nodes)."""
    _, mean, variance = _along(mixture, direction)
    return mean, variance


def advance(mixture: Mixture, *, transition: Array, drift: Array) -> Mixture:
    """The mixture after the state moved on: transition @ state + Normal(0, drift).

    `transition` has shape (nodes, states, states), `drift` (states, states).
    """
    return replace(
        mixture,
        mean=(transition @ mixture.mean[..., None])[..., 0],
        covariance=transition @ mixture.covariance @ transition.swapaxes(-1, -2) + drift,
    )


def shifted(mixture: Mixture, state: int, *, mean: Array, variance: Array) -> Mixture:
    """The mixture after an independent Normal(mean, variance) is added to one state; both of the leading shape."""
    moved, spread = mixture.mean.copy(), mixture.covariance.copy()
    moved[..., state] += np.asarray(mean)[..., None]
    spread[..., state, state] += np.asarray(variance)[..., None]
    return replace(mixture, mean=moved, covariance=spread)


def forked(mixture: Mixture, state: int, *, chance: float, mean: float, variance: float) -> Mixture:
    """Twice the nodes: first those without, then those with a jump Normal(mean, variance) of one state.

    A node and its twin stay apart through the reports that follow, until `joined`.
    """
    twin = shifted(mixture, state, mean=np.asarray(mean), variance=np.asarray(variance))
    return Mixture(
        log_weight=np.concatenate(
            [mixture.log_weight + np.log1p(-chance), twin.log_weight + np.log(chance)], axis=-1
        ),
        mean=np.concatenate([mixture.mean, twin.mean], axis=-2),
        covariance=np.concatenate([mixture.covariance, twin.covariance], axis=-3),
    )


def joined(mixture: Mixture) -> Mixture:
    """Each node and its twin made one again, by mean and covariance."""
    nodes = mixture.log_weight.shape[-1] // 2
    one, two = mixture.log_weight[..., :nodes], mixture.log_weight[..., nodes:]
    both = np.logaddexp(one, two)
    share = np.exp(two - both)[..., None]
    apart = mixture.mean[..., nodes:, :] - mixture.mean[..., :nodes, :]
    still, jumped = mixture.covariance[..., :nodes, :, :], mixture.covariance[..., nodes:, :, :]
    between = (share * (1.0 - share) * apart)[..., :, None] * apart[..., None, :]
    return Mixture(
        log_weight=both,
        mean=mixture.mean[..., :nodes, :] + share * apart,
        covariance=still + share[..., None] * (jumped - still) + between,
    )


def _normalised(log_weight: Array) -> Array:
    top = log_weight.max(axis=-1, keepdims=True)
    total = np.exp(log_weight - top).sum(axis=-1, keepdims=True)
    return np.asarray(log_weight - top - np.log(total))
