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
_PER_ROOT_HALF_PI = float(np.sqrt(2.0 / np.pi))
_LOG_TWO = float(np.log(2.0))
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
    components = (-1,) + (1,) * centre.ndim
    per = 1.0 / np.sqrt(variance + np.square(noise.deviation).reshape(components))
    log_part, first, second = _standard((low - centre) * per, (high - centre) * per)
    if len(noise.share) == 1:
        return Seen(log_mass=log_part[0], first=(first * per)[0], second=(second * per * per)[0])
    log_part = log_part + np.log(noise.share).reshape(components)
    log_mass = np.logaddexp.reduce(log_part, axis=0)
    part = np.exp(log_part - log_mass) * per
    return Seen(log_mass=log_mass, first=(part * first).sum(axis=0), second=(part * per * second).sum(axis=0))


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
    scale = _PER_ROOT_HALF_PI / body
    log_mass = np.log(body) - 0.5 * near * near - _LOG_TWO
    first = (1.0 - ratio) * scale
    second = (near - far * ratio) * scale
    return log_mass, np.where(mirrored, -first, first), second


def chance_at_most(*, high: Array, centre: Array, variance: Array, noise: Noise) -> Array:
    """P(y* <= high), shape of `centre` broadcast with `high`."""
    parts = zip(noise.share.tolist(), noise.deviation.tolist(), strict=True)
    away = np.asarray(high) - centre
    return np.asarray(sum(share * ndtr(away / np.sqrt(variance + blur * blur)) for share, blur in parts))
