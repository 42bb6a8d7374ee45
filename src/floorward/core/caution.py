"""A worse score never earns more.

Where slope and tolerance are both unknown, a higher score on one set can make the model believe in a steeper slope and so in a higher
tolerance than before. Right or wrong, no lifter should be given more load for having hurt more: what is shown is therefore the lowest
of the readings with the same reports or with some of them lower.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from floorward.maths.posterior_interval import Array

Scores = NDArray[np.int64]


def never_rewarded(read: Callable[[Scores], Array], pains: Scores, movable: int) -> Array:
    """The lowest readings over reports that are no worse than those given.

    The last score is lowered in every way, each time beside at most one other of the last `movable`. So a worse last score can never
    read higher. A worse earlier one can, because trying every set of scores would take ten to the power of their number.

    Args:
        read: readings (histories, readings) of many score histories (histories, reports).
        pains: the scores as given, shape (reports,).
        movable: how many of the last scores may be lowered.

    Returns:
        Each reading's lowest, shape (readings,).
    """
    return np.asarray(read(_no_worse(pains, movable)).min(axis=0))


def _no_worse(pains: Scores, movable: int) -> Scores:
    """The histories that are tried, those as given among them."""
    last = len(pains) - 1
    if last < 0:
        return pains[None]
    earlier = [
        (place, score)
        for place in range(max(last + 1 - movable, 0), last)
        for score in range(int(pains[place]))
    ]
    tried = np.repeat(pains[None], len(earlier) + 1, axis=0)
    for row, (place, score) in enumerate(earlier):
        tried[row, place] = score
    scores = np.arange(int(pains[last]) + 1)
    grid = np.repeat(tried, len(scores), axis=0)
    grid[:, last] = np.tile(scores, len(tried))
    return grid
