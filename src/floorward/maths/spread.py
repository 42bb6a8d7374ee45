"""Points spread evenly where chance would clump them: the same points each time."""

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri


def even_points(count: int, dimensions: int) -> NDArray[np.float64]:
    """Points of the unit cube, shape (count, dimensions): an additive sequence on the generalised golden ratio."""
    ratio = 2.0
    for _ in range(64):
        ratio = (1.0 + ratio) ** (1.0 / (dimensions + 1))
    steps = ratio ** -np.arange(1.0, dimensions + 1)
    points: NDArray[np.float64] = (0.5 + np.outer(np.arange(1, count + 1), steps)) % 1.0
    return points


def normal_scores(count: int, dimensions: int) -> NDArray[np.float64]:
    """Even points turned into independent standard normal scores, with mean and spread set right."""
    scores = ndtri(even_points(count, dimensions))
    scores -= scores.mean(axis=0)
    standard: NDArray[np.float64] = scores / scores.std(axis=0)
    return standard
