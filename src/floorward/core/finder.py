"""The next load to try on a sore lift, and when another set is no longer worth it.

A set is proposed only while it is expected to raise the chance of being right within 10 % by more than it costs, and each expected
unacceptable set is charged for. Guards stand above that reckoning: docs/science/finding.md lists them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from floorward.core import belief
from floorward.core.belief import Belief, setting
from floorward.core.caution import Scores, never_rewarded
from floorward.core.prospects import prospects
from floorward.errors import ContractError
from floorward.maths.posterior_interval import Array

_SHARES = (0.40, 0.50, 0.05, 0.95)


class Manner(StrEnum):
    """How a search weighs knowing more against sets that hurt."""

    USUAL = "usual"
    PRECISE = "precise"
    GENTLE = "gentle"


class Reason(StrEnum):
    """Why a search goes on or ends."""

    TEST = "test"
    REPEAT_LIGHTEST = "repeat-lightest"
    SETTLED = "settled"
    SET_LIMIT = "set-limit"
    THREE_UNACCEPTABLE = "three-unacceptable"
    LIGHTEST_UNACCEPTABLE = "lightest-unacceptable"
    SPREADING = "spreading"
    REST_PAIN = "rest-pain"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """One set of the search as it was done; `demand` in the search's unit, `pain` the worst of the set."""

    load_kg: float
    demand: float
    pain: int
    acceptable: bool
    spreading: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadSearch:
    """A search on one set-up, today.

    Attributes:
        loads_kg: what may be proposed, ascending; the first is the lightest at this height.
        demands: of those loads, ascending, in any unit proportional to demand.
        provoking_demand: of the load that hurt when the episode began.
        provoking_pain: how much it hurt; None when that is not known.
        rest_pain: before any set today; None when not asked.
        ceiling: highest pain of an acceptable set.
    """

    loads_kg: tuple[float, ...]
    demands: tuple[float, ...]
    usual_kg: float
    usual_demand: float
    provoking_demand: float
    provoking_pain: int | None = None
    rest_pain: int | None = None
    ceiling: int = 3
    manner: Manner = Manner.USUAL
    tried: tuple[Tried, ...] = ()

    def __post_init__(self) -> None:
        """A search without loads, or with demands that fall, is our own mistake."""
        if not self.loads_kg or len(self.loads_kg) != len(self.demands):
            raise ContractError("a search needs at least one load, and one demand for each")
        if any(low >= high for low, high in pairwise(self.loads_kg)):
            raise ContractError("loads go upward")
        if any(low > high for low, high in pairwise(self.demands)):
            raise ContractError("demands do not fall")


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """Tolerance as a demand: the middle and the central 90 %."""

    median: float
    p05: float
    p95: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Next:
    """What comes next in a search.

    Attributes:
        next_kg: load of the next set; None when the search is done.
        estimate_kg: heaviest load that should be acceptable; None if not even the first.
        accepted_kg: heaviest acceptable set done; None when there is none.
        chance_unacceptable: that the next set hurts more than the ceiling; None when the search is done.
        tolerance: rested: without what today's sets have added.
    """

    next_kg: float | None
    estimate_kg: float | None
    accepted_kg: float | None
    chance_unacceptable: float | None
    tolerance: Band
    reason: Reason

    @property
    def done(self) -> bool:
        """Whether the search is over for the day."""
        return self.next_kg is None


def next_test(search: LoadSearch) -> Next:
    """The next set of `search`, or its result. The same search gives the same answer."""
    state = believed(search)
    reason, place, chance = _ended(search), None, None
    if reason is None:
        reason, place, chance = _chosen(search, state)
    answer_share, median, low, high = np.exp(_readings(search))
    return Next(
        next_kg=None if place is None else search.loads_kg[place],
        estimate_kg=_estimate(search, float(answer_share), reason),
        accepted_kg=accepted_kg(search),
        chance_unacceptable=chance,
        tolerance=Band(median=float(median), p05=float(low), p95=float(high)),
        reason=reason,
    )


def believed(search: LoadSearch) -> Belief:
    """What the search has taught so far."""
    return _taught(search, _started(search), search.tried, _heard(search))


def accepted_kg(search: LoadSearch) -> float | None:
    """Heaviest acceptable set done."""
    return max((tried.load_kg for tried in search.tried if is_acceptable(search, tried)), default=None)


def is_acceptable(search: LoadSearch, tried: Tried) -> bool:
    """Pain within the ceiling, the lifter says yes, and nothing spreads."""
    return tried.acceptable and tried.pain <= search.ceiling and not tried.spreading


def _heard(search: LoadSearch) -> Scores:
    """The scores as the model hears them: a set that was not acceptable counts as over the ceiling."""
    return np.array(
        [
            tried.pain if is_acceptable(search, tried) else max(tried.pain, search.ceiling + 1)
            for tried in search.tried
        ],
        dtype=np.int64,
    )


def _started(search: LoadSearch) -> Belief:
    state = belief.start(np.log(search.usual_demand), ceiling=search.ceiling, healing=False)
    if search.provoking_pain is None:
        return state
    return belief.recalled(state, np.log(search.provoking_demand), search.provoking_pain)


def _taught(search: LoadSearch, state: Belief, tried: tuple[Tried, ...], pains: Scores) -> Belief:
    """The belief after some sets in their order, with pains of shape (..., sets)."""
    way = belief.direction(state)
    rest = -1 if search.rest_pain is None else search.rest_pain
    for place, each in enumerate(tried):
        demand = np.full(pains.shape[:-1], np.log(each.demand))
        state = belief.observed(state, demand, pains[..., place], rest_pain=rest, way=way)
    return state


def _readings(search: LoadSearch) -> Array:
    """Quantiles of the rested log tolerance, the answer's first."""
    movable = int(setting("find", "precise")[2])
    cut = max(len(search.tried) - movable, 0)
    pains, late = _heard(search), search.tried[cut:]
    before = _taught(search, _started(search), search.tried[:cut], pains[:cut])

    def read(changed: Scores) -> Array:
        state = _taught(search, before, late, changed)
        found = belief.rested_quantiles(state, _SHARES, way=belief.direction(state))
        return np.broadcast_to(found, (len(changed), len(_SHARES)))

    return never_rewarded(read, pains[cut:], movable)


def _ended(search: LoadSearch) -> Reason | None:
    """Why no further set is to be done today; None when one may be."""
    failed = [tried for tried in search.tried if not is_acceptable(search, tried)]
    rest = search.rest_pain
    if any(tried.spreading for tried in search.tried):
        return Reason.SPREADING
    if rest is not None and rest >= max(search.ceiling, 1):
        return Reason.REST_PAIN
    if _lightest_failed(search):
        return Reason.LIGHTEST_UNACCEPTABLE
    if len(failed) >= setting("find", "unacceptable_sets"):
        return Reason.THREE_UNACCEPTABLE
    return Reason.SET_LIMIT if len(search.tried) >= setting("find", search.manner)[2] else None


def _lightest_failures(search: LoadSearch) -> list[Tried]:
    """Sets at the lightest load that were not acceptable, while nothing else was acceptable either."""
    if accepted_kg(search) is not None:
        return []
    return [tried for tried in search.tried if tried.load_kg <= search.loads_kg[0]]


def _lightest_failed(search: LoadSearch) -> bool:
    failures = _lightest_failures(search)
    worst = max((tried.pain for tried in failures), default=0)
    return len(failures) > 1 or worst > setting("find", "repeat_pain")


def _chosen(search: LoadSearch, state: Belief) -> tuple[Reason, int | None, float | None]:
    """The best candidate, or that none is worth a set."""
    way, demands = belief.direction(state), np.log(search.demands)
    if _lightest_failures(search):
        return Reason.REPEAT_LIGHTEST, 0, _chance(state, demands[0], way)
    allowed = _allowed(search)
    if not len(allowed):
        return Reason.SETTLED, None, None
    price, least, _ = setting("find", search.manner)
    found = prospects(state, demands[allowed], np.ones(len(allowed), bool), way=way, price=price)
    best = int(found.worth.argmax())
    open_to = bool(np.isfinite(found.worth[best]))
    place = int(allowed[best]) if open_to else 0
    must = accepted_kg(search) is None
    if must or (open_to and found.worth[best] >= least):
        return Reason.TEST, place, _chance(state, demands[place], way)
    return Reason.SETTLED, None, None


def _chance(state: Belief, log_demand: float, way: Array) -> float:
    return float(belief.chance_above(state, log_demand, state.ceiling, way=way))


def _allowed(search: LoadSearch) -> NDArray[np.intp]:
    """Places of the loads that may be tried, chances aside.

    Nothing under the heaviest acceptable set of the day: a coach would not go back down for it, but by a fifth where they want to know
    closely. Without one the lightest always may.
    """
    best, share = accepted_kg(search), setting("find", "first_share")
    most = share * search.usual_kg if best is None else setting("find", "jump") * best
    refused = min(_refused(search), default=np.inf)
    loads = np.asarray(search.loads_kg)
    inside = (loads < search.usual_kg) & (loads <= most) & (loads < refused)
    inside[0] = True
    least = (1.0 - setting("find", "back")[search.manner]) * (best or 0.0)
    return np.flatnonzero(inside & (loads >= least))


def _refused(search: LoadSearch) -> list[float]:
    """Loads whose latest set was not acceptable."""
    latest = {tried.load_kg: is_acceptable(search, tried) for tried in search.tried}
    return [load for load, good in latest.items() if not good]


def _estimate(search: LoadSearch, demand: float, reason: Reason) -> float | None:
    """The heaviest load under the usual one with no more than `demand`."""
    if reason is Reason.LIGHTEST_UNACCEPTABLE:
        return None
    pairs = zip(search.loads_kg, search.demands, strict=True)
    fitting = [load for load, asked in pairs if asked <= demand and load < search.usual_kg]
    lightest = search.loads_kg[0]
    fits_by_trial = any(t.load_kg >= lightest and is_acceptable(search, t) for t in search.tried)
    if not fitting and fits_by_trial and lightest not in _refused(search):
        return lightest
    return max(fitting, default=None)


def with_tried(search: LoadSearch, tried: Tried) -> LoadSearch:
    """The search after one more set."""
    return replace(search, tried=(*search.tried, tried))
