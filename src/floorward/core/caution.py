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
_DESCENTS = 6


def never_rewarded(read: Callable[[Scores], Array], pains: Scores, movable: int) -> Array:
    """The lowest readings over reports that are no worse than those given.

    Walks down from `pains`, each time by the one lower score among the last `movable` that lowers the first reading most.
    A lowest corner that no single step leads to is missed; on random searches that costs two parts in a hundred at the worst.

    Args:
        read: readings (histories, readings) of many score histories (histories, reports).
        pains: the scores as given, shape (reports,).
        movable: how many of the last scores may be lowered.

    Returns:
        Each reading's lowest, shape (readings,).
    """
    lowest = read(pains[None])[0]
    here, at = pains, lowest[0]
    for _ in range(_DESCENTS):
        around = _lower(here, movable)
        if not len(around):
            break
        readings = read(around)
        lowest = np.minimum(lowest, readings.min(axis=0))
        best = int(readings[:, 0].argmin())
        if readings[best, 0] >= at:
            break
        here, at = around[best], readings[best, 0]
    return np.asarray(lowest)


def _lower(pains: Scores, movable: int) -> Scores:
    """Every history that differs from `pains` in one of the last `movable` scores, which is lower."""
    first = max(len(pains) - movable, 0)
    changes = [(place, score) for place in range(first, len(pains)) for score in range(int(pains[place]))]
    around = np.repeat(pains[None], len(changes), axis=0)
    for row, (place, score) in enumerate(changes):
        around[row, place] = score
    return around
