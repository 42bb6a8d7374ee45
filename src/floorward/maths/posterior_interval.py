"""What a report that names only an interval says about the Gaussian behind it.

A latent number y* is Normal(centre, variance) plus noise; the report says low < y* <= high, either bound may be infinite. The noise
is a mixture of zero-mean Normals. Everything is worked in logarithms with the scaled complementary error function, so that a report a
hundred standard deviations off still has a finite weight and a finite pull.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import erfcx, ndtr

Array = NDArray[np.float64]

_ROOT_HALF = float(np.sqrt(0.5))
_LOG_ROOT_TWO_PI = float(0.5 * np.log(2.0 * np.pi))
_LOG_ROOT_HALF_PI = float(0.5 * np.log(0.5 * np.pi))
_NEAR = -37.0  # exp(37**2 / 2) still fits a double
_FAR = 1e7


@dataclass(frozen=True, slots=True, kw_only=True)
class Noise:
    """A mixture of zero-mean Normals: shares that sum to 1 and standard deviations, both of shape (components,)."""

    share: Array
    deviation: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What one report says, per case.

    Attributes:
        log_mass: log probability of the interval.
        first: d log mass / d centre.
        second: (d² mass / d centre²) / mass.
    """

    log_mass: Array
    first: Array
    second: Array


def noise(share: list[float], deviation: list[float]) -> Noise:
    """A noise mixture from plain lists."""
    return Noise(share=np.asarray(share, dtype=float), deviation=np.asarray(deviation, dtype=float))


def interval(*, low: Array, high: Array, centre: Array, variance: Array, noise: Noise) -> Seen:
    """Log probability of low < y* <= high and its first two derivatives by the centre.

    `centre` and `variance` are those of y* before noise, of one shape; the bounds broadcast against it and may be -inf and inf.
    """
    deviation = np.sqrt(variance[..., None] + noise.deviation**2)
    below = (np.asarray(low)[..., None] - centre[..., None]) / deviation
    above = (np.asarray(high)[..., None] - centre[..., None]) / deviation
    log_part, first, second = _standard(below, above)
    log_part = log_part + np.log(noise.share)
    top = log_part.max(axis=-1, keepdims=True)
    part = np.exp(log_part - top)
    total = part.sum(axis=-1)
    return Seen(
        log_mass=top[..., 0] + np.log(total),
        first=(part * first / deviation).sum(axis=-1) / total,
        second=(part * second / deviation**2).sum(axis=-1) / total,
    )


def _standard(below: Array, above: Array) -> tuple[Array, Array, Array]:
    """The same for a standard Normal between two bounds.

    The bounds are mirrored so that the interval lies to the right of the middle; then with Mills' ratio R(t),
    mass = phi(near) (R(near) - q R(far)),  q = phi(far) / phi(near).
    """
    mirrored = above < -below
    near = np.clip(np.where(mirrored, -above, below), _NEAR, _FAR)
    far = np.minimum(np.where(mirrored, -below, above), _FAR)
    ratio = np.exp(-0.5 * (far - near) * (far + near))
    body = erfcx(near * _ROOT_HALF) - ratio * erfcx(far * _ROOT_HALF)
    scale = np.exp(-_LOG_ROOT_HALF_PI) / body
    log_mass = _LOG_ROOT_HALF_PI - _LOG_ROOT_TWO_PI - 0.5 * near * near + np.log(body)
    first = (1.0 - ratio) * scale
    second = (near - far * ratio) * scale
    return log_mass, np.where(mirrored, -first, first), second


def chance_at_most(*, high: Array, centre: Array, variance: Array, noise: Noise) -> Array:
    """P(y* <= high), shape of `centre` broadcast with `high`."""
    deviation = np.sqrt(variance[..., None] + noise.deviation**2)
    away = (np.asarray(high)[..., None] - centre[..., None]) / deviation
    return np.asarray(ndtr(away) @ noise.share)
