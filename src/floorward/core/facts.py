"""Which reports moved an estimate most: each left out in turn, and the tolerance read again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from floorward.core import belief
from floorward.core.tolerance_log import Priors, Report, heard, in_order, started, taught

_LOOKED_AT = 24  # older reports move today's tolerance too little to be among the three


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """A report and how far it moved the tolerance: log ratio, above 0 where the report raised it."""

    report: Report
    shift: float


def facts(reports: Sequence[Report], priors: Priors, today: int, most: int = 3) -> tuple[Fact, ...]:
    """The reports without which today's tolerance would be most different, the strongest first.

    Raises:
        ContractError: if days fall or lie after `today`, or a variation is not among those of the priors.
    """
    ordered = in_order(reports, priors, today)
    if not ordered:
        return ()
    looked_at = range(max(len(ordered) - _LOOKED_AT, 0), len(ordered))
    told = np.ones((len(looked_at) + 1, len(ordered)), dtype=bool)
    told[np.arange(1, len(told)), list(looked_at)] = False
    pains = np.broadcast_to(heard(ordered, priors.ceiling), told.shape)
    state, day = taught(started(priors), 0, ordered, priors, pains, told)
    state = belief.advanced(state, today - day)
    median = belief.rested_quantiles(state, (0.5,), way=belief.direction(state))[:, 0]
    found = [
        Fact(report=ordered[at], shift=float(median[0] - without))
        for at, without in zip(looked_at, median[1:], strict=True)
    ]
    return tuple(sorted(found, key=lambda fact: -abs(fact.shift))[:most])
