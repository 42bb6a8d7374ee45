"""What to try once the lightest load fails in full: which set-up tells best whether this lifter minds the bend or the moment.

A raised bar takes off bend at nearly the same moment; another implement takes off moment at nearly the same bend. Each set-up is weighed by how
much a set there should narrow what is believed of either, over the pain scores it may bring.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from floorward.core import belief
from floorward.core.belief import BEND, DAY, HEALED, TOP_PAIN, Belief, setting
from floorward.core.tolerance import Tolerance
from floorward.core.tolerance_log import way_of
from floorward.maths import posterior_reading
from floorward.maths.posterior_interval import Array
from floorward.tables import value


@dataclass(frozen=True, slots=True, kw_only=True)
class Probe:
    """A set-up with its lightest load.

    Attributes:
        name: of the set-up, among the variations of the tolerance.
        demand: what the load asks there; `bend` how much more it bends than the painful lift in full.
    """

    name: str
    demand: float
    bend: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Telling:
    """What a set on a probe should tell.

    Attributes:
        chance: that it hurts more than the ceiling.
        bend_gain, moment_gain: by how much it should narrow the sensitivity to bend and the tolerance itself: expected log ratio of
            the deviations, 0 or more but for rounding.
        eased, opened: by which share it takes off moment and bend.
    """

    probe: Probe
    chance: float
    bend_gain: float
    moment_gain: float
    eased: float
    opened: float

    @property
    def of_bend(self) -> bool:
        """Whether it is mostly a test of bend, else mostly of moment."""
        return self.opened > self.eased


def told_apart(
    tolerance: Tolerance, whole_demand: float, whole_bend: float, probes: Sequence[Probe]
) -> tuple[Telling, ...]:
    """The probes that make the lift easier, the one that tells most first; those likely to be too much come last.

    The probes are among the variations of `tolerance`. `whole_demand` and `whole_bend` are those of the painful lift in full under its
    lightest load; bend runs from 0 upright to 1 folded.
    """
    least = value("variations", "easier_least")
    found = [_telling(tolerance, whole_demand, whole_bend, probe) for probe in probes]
    easier = [one for one in found if max(one.eased, one.opened) >= least]
    most_bend = max((one.bend_gain for one in easier), default=0.0) or 1.0
    most_moment = max((one.moment_gain for one in easier), default=0.0) or 1.0

    def order(one: Telling) -> tuple[bool, float]:
        told = one.bend_gain / most_bend + one.moment_gain / most_moment
        return one.chance > setting("find", "unacceptable_chance"), -told

    return tuple(sorted(easier, key=order))


def _telling(tolerance: Tolerance, whole_demand: float, whole_bend: float, probe: Probe) -> Telling:
    state = tolerance.state
    way = way_of(state, tolerance.priors, probe.name, probe.bend)
    ahead, chances = _outcomes(state, np.log(probe.demand), way)
    bend, moment = _unit(state, BEND), _unit(state, HEALED, DAY)
    return Telling(
        probe=probe,
        chance=float(chances[state.ceiling + 1 :].sum()),
        bend_gain=_narrowed(state, ahead, chances, bend),
        moment_gain=_narrowed(state, ahead, chances, moment),
        eased=1.0 - probe.demand / whole_demand,
        opened=-probe.bend / whole_bend,
    )


def _outcomes(state: Belief, log_demand: float, way: Array) -> tuple[Belief, Array]:
    """The belief after each pain score, and how likely each is."""
    over = [float(belief.chance_above(state, log_demand, pain, way=way)) for pain in range(TOP_PAIN)]
    chances = -np.diff(np.array([1.0, *over, 0.0]))
    scores = np.arange(TOP_PAIN + 1)
    after = belief.observed(state, np.full(scores.shape, log_demand), scores, way=way)
    return after, chances


def _narrowed(state: Belief, ahead: Belief, chances: Array, way: Array) -> float:
    _, now = posterior_reading.moments(state.mixture, way)
    _, then = posterior_reading.moments(ahead.mixture, way)
    return float((chances * np.log(now / then)).sum())


def _unit(state: Belief, *places: int) -> Array:
    way = np.zeros(state.mixture.mean.shape[-1])
    way[list(places)] = 1.0
    return way
