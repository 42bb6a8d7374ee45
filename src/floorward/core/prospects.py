"""What a test at each of many loads would bring: the chance that it hurts too much, and how much it would teach."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from floorward.core import belief
from floorward.core.belief import Belief, setting
from floorward.maths import posterior_reading
from floorward.maths.posterior_interval import Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Prospects:
    """Per candidate: chance of pain over the ceiling, of high pain, and what a set there is worth (-inf where refused)."""

    unacceptable: Array
    high: Array
    worth: Array


def prospects(
    state: Belief, log_demands: Array, allowed: NDArray[np.bool_], *, way: Array, price: float
) -> Prospects:
    """What a set at each candidate would bring.

    Candidates have shape (..., candidates), or one for each case of `state`; `allowed` are those inside the guards that do not hang
    on chances. An expected unacceptable set is charged `price`, as a chance of being right.
    """
    unacceptable = belief.chance_above(state, log_demands, state.ceiling, way=way)
    high = belief.chance_above(state, log_demands, int(setting("find", "high_pain")) - 1, way=way)
    open_to = allowed & (unacceptable <= setting("find", "unacceptable_chance"))
    open_to &= high <= setting("find", "high_pain_chance")
    worth = expected_gain(state, log_demands, way=way) - price * unacceptable
    return Prospects(unacceptable=unacceptable, high=high, worth=np.where(open_to, worth, -np.inf))


def expected_gain(state: Belief, log_demands: Array, *, way: Array) -> Array:
    """How much a set at each candidate should raise the chance of being right within 10 %."""
    ahead = posterior_reading.outlook(
        state.mixture,
        belief.line(state, log_demands, way),
        cuts=state.grid.cuts,
        noise=belief.report_noise(),
    )
    _, spread = posterior_reading.moments(state.mixture, way)
    now = _right(spread)
    right = (ahead.chance * _right(ahead.spread)).sum(axis=-1)
    return np.asarray(right - (now[..., None] if right.ndim > now.ndim else now))


def _right(spread: Array) -> Array:
    return np.asarray(2.0 * ndtr(setting("reading", "within") / np.maximum(spread, 1e-12)) - 1.0)
