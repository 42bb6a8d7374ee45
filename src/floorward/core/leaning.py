"""Whether a lifter takes to a variation better or worse than most, once their own sets say so clearly enough."""

import numpy as np
from scipy.special import ndtr

from floorward.core.belief import setting
from floorward.core.tolerance import Tolerance, takes_to
from floorward.tables import value


def leaning(tolerance: Tolerance, variation: str, bend: float = 0.0) -> int:
    """1 better than most, -1 worse than most, 0 while nobody can tell.

    Most are where the prior has its middle: as demand says, less what bend usually costs. It is said only where the posterior is sure enough that
    the difference is worth a word.
    """
    mean, spread = takes_to(tolerance, variation, bend)
    over = mean + setting("prior", "bend") * bend
    least, sure = value("variations", "takes_least"), value("variations", "takes_sure")
    spread = max(spread, 1e-9)
    better, worse = ndtr(np.array([over - least, -over - least]) / spread)
    return int(better >= sure) - int(worse >= sure)
