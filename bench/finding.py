"""Searches of a crowd of virtual lifters: fixed ladders against Floorward's own choice, set by set.

The crowd is searched all at once with the finder's own arithmetic; the last word on each lifter is asked of `next_test` itself.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from bench.virtual_lifter import BAR_KG, CEILING, STEP_KG, Lifters, heaviest_acceptable
from floorward.core import belief, finder
from floorward.core.belief import Belief, setting
from floorward.core.finder import LoadSearch, Manner, Tried, next_test

PAIRS_AT_ONCE = 1500


@dataclass(frozen=True)
class Result:
    """Per lifter: sets done, of them unacceptable, the answer [kg] (0: none) and the truth."""

    sets: np.ndarray
    bad: np.ndarray
    answer: np.ndarray
    truth: np.ndarray

    def within(self, share: float) -> float:
        """Share of the lifters with an acceptable load whose answer is within `share` of it."""
        able = self.truth > 0
        return float((np.abs(self.answer - self.truth) <= share * self.truth + 1e-9)[able].mean())

    def over(self) -> float:
        """Share of all whose answer is over the truth by more than 10 %."""
        return float((self.answer > 1.1 * self.truth + 1e-9).mean())

    def twice_bad(self) -> float:
        """Share of the lifters with an acceptable load who had two or more unacceptable sets."""
        return float((self.bad >= 2)[self.truth > 0].mean())


@dataclass
class Log:
    """What was done, one column a set: 0 where a lifter did none."""

    load: list[np.ndarray]
    pain: list[np.ndarray]


def ladder(crowd: Lifters, *, upward: bool, step_kg: float) -> tuple[Result, Log]:
    """Up from the bar until a set is not acceptable, or down from under the usual load until one is."""
    truth = heaviest_acceptable(crowd)
    load = np.full(len(truth), BAR_KG) if upward else np.maximum(crowd.usual_kg - step_kg, BAR_KG)
    sets, bad, answer = (np.zeros(len(truth)) for _ in range(3))
    going, log = np.ones(len(truth), bool), Log([], [])
    while going.any():
        pain = crowd.lift(load, going)
        good = going & (pain <= CEILING)
        log.load.append(np.where(going, load, 0.0))
        log.pain.append(pain)
        sets, bad, answer = sets + going, bad + (going & ~good), np.where(good, load, answer)
        if upward:
            going = good & (load + step_kg <= crowd.usual_kg - STEP_KG + 1e-9)
            load = load + step_kg
        else:
            going = going & ~good & (load > BAR_KG)
            load = np.maximum(load - step_kg, BAR_KG)
    return Result(sets, bad, answer, truth), log


def search(crowd: Lifters, manner: Manner) -> Result:
    """Floorward's own search."""
    return search_log(crowd, manner)[0]


def search_log(crowd: Lifters, manner: Manner) -> tuple[Result, Log]:
    """Floorward's own search, and what was done in it."""
    truth, log = heaviest_acceptable(crowd), Log([], [])
    state = _start(crowd)
    going = np.ones(len(truth), bool)
    for _ in range(int(setting("find", manner)[2])):
        loads = _choices(crowd, state, log, manner, going)
        going = loads > 0
        if not going.any():
            break
        pain = crowd.lift(np.where(going, loads, BAR_KG), going)
        log.load.append(np.where(going, loads, 0.0))
        log.pain.append(pain)
        state = _seen(crowd, state, loads, pain, going)
    return _asked(crowd, log, manner, truth), log


def answers(crowd: Lifters, log: Log, manner: Manner = Manner.USUAL) -> np.ndarray:
    """What the model reads from sets chosen by anyone."""
    return np.array(
        [next_test(_search_of(crowd, i, log, manner)).estimate_kg or 0.0 for i in range(len(crowd.usual_kg))]
    )


def _asked(crowd: Lifters, log: Log, manner: Manner, truth: np.ndarray) -> Result:
    said = [next_test(_search_of(crowd, i, log, manner)) for i in range(len(truth))]
    assert all(each.done for each in said), "the crowd's search and next_test disagree"
    sets = np.sum([load > 0 for load in log.load], axis=0)
    bad = np.sum(
        [(load > 0) & (pain > CEILING) for load, pain in zip(log.load, log.pain, strict=True)], axis=0
    )
    return Result(sets, bad, np.array([each.estimate_kg or 0.0 for each in said]), truth)


def _search_of(crowd: Lifters, i: int, log: Log, manner: Manner) -> LoadSearch:
    loads = np.arange(BAR_KG, crowd.usual_kg[i], STEP_KG)
    demand = crowd.base_nm[i] + crowd.arm_nm_per_kg[i] * loads
    usual = float(crowd.base_nm[i] + crowd.arm_nm_per_kg[i] * crowd.usual_kg[i])
    tried = tuple(
        Tried(
            load_kg=float(load[i]),
            demand=float(crowd.base_nm[i] + crowd.arm_nm_per_kg[i] * load[i]),
            pain=int(pain[i]),
            acceptable=bool(pain[i] <= CEILING),
        )
        for load, pain in zip(log.load, log.pain, strict=True)
        if load[i] > 0
    )
    return LoadSearch(
        loads_kg=tuple(loads.tolist()),
        demands=tuple(demand.tolist()),
        usual_kg=float(crowd.usual_kg[i]),
        usual_demand=usual,
        provoking_demand=usual,
        provoking_pain=int(crowd.first_pain[i]),
        manner=manner,
        tried=tried,
    )


def _start(crowd: Lifters) -> Belief:
    usual = np.log(crowd.demand(crowd.usual_kg))
    return belief.recalled(belief.start(usual, ceiling=CEILING, healing=False), usual, crowd.first_pain)


def _seen(crowd: Lifters, state: Belief, loads: np.ndarray, pain: np.ndarray, going: np.ndarray) -> Belief:
    at = np.flatnonzero(going)
    demand = np.log(crowd.demand(np.where(going, loads, BAR_KG)))[at]
    after = belief.observed(taken(state, at), demand, pain[at], way=belief.direction(state))
    return put(state, at, after)


def taken(state: Belief, at: np.ndarray) -> Belief:
    """The belief about some of the lifters, in that order."""
    mixture = state.mixture
    chosen = replace(
        mixture, log_weight=mixture.log_weight[at], mean=mixture.mean[at], covariance=mixture.covariance[at]
    )
    return replace(state, mixture=chosen, aggravated=state.aggravated[at])


def put(state: Belief, at: np.ndarray, new: Belief) -> Belief:
    """The belief with that of some lifters replaced."""

    def laid(old: np.ndarray, fresh: np.ndarray) -> np.ndarray:
        whole = old.copy()
        whole[at] = fresh
        return whole

    one, two = state.mixture, new.mixture
    mixture = replace(
        one,
        log_weight=laid(one.log_weight, two.log_weight),
        mean=laid(one.mean, two.mean),
        covariance=laid(one.covariance, two.covariance),
    )
    return replace(state, mixture=mixture, aggravated=laid(state.aggravated, new.aggravated))


def _choices(crowd: Lifters, state: Belief, log: Log, manner: Manner, going: np.ndarray) -> np.ndarray:
    """Load of the next set of each lifter, 0 where the search is done."""
    price, least, _ = setting("find", manner)
    best, refused, bar_failures, worst_bar, failures = _past(log, len(going))
    able = best > 0
    over = ~able & ((bar_failures > 1) | (worst_bar > setting("find", "repeat_pain")))
    over |= failures >= setting("find", "unacceptable_sets")
    most = np.where(able, setting("find", "jump") * best, setting("find", "first_share") * crowd.usual_kg)
    grid = BAR_KG + STEP_KG * np.arange(int((crowd.usual_kg.max() - BAR_KG) / STEP_KG))
    inside = (grid < crowd.usual_kg[:, None]) & (grid <= most[:, None]) & (grid < refused[:, None])
    inside[:, 0] = True
    inside &= grid >= (1.0 - setting("find", "back")[manner]) * best[:, None]
    worth, place = _best(crowd, state, grid, inside & (going & ~over)[:, None], price)
    repeat = ~able & (bar_failures == 1)
    load = np.where(np.isfinite(worth), grid[place], BAR_KG)
    on = ~able | (worth >= least)
    return np.where(going & ~over & (on | repeat), np.where(repeat, BAR_KG, load), 0.0)


def _past(log: Log, count: int) -> tuple[np.ndarray, ...]:
    best, worst_bar = np.zeros(count), np.full(count, -1)
    bar, failures = np.zeros(count, int), np.zeros(count, int)
    latest_bad: list[dict] = [{} for _ in range(count)]
    for load, pain in zip(log.load, log.pain, strict=True):
        good = (load > 0) & (pain <= CEILING)
        failed = (load > 0) & ~good
        best = np.maximum(best, np.where(good, load, 0.0))
        at_bar = failed & (load <= BAR_KG)
        bar, failures = bar + at_bar, failures + failed
        worst_bar = np.where(at_bar, np.maximum(worst_bar, pain), worst_bar)
        for i in np.flatnonzero(load > 0):
            latest_bad[i][load[i]] = failed[i]
    refused = np.array([min((k for k, v in seen.items() if v), default=np.inf) for seen in latest_bad])
    return best, refused, bar, worst_bar, failures


def _best(
    crowd: Lifters, state: Belief, grid: np.ndarray, inside: np.ndarray, price: float
) -> tuple[np.ndarray, np.ndarray]:
    lifter, load = np.nonzero(inside)
    worth = np.full(inside.shape, -np.inf)
    way = belief.direction(state)
    demand = np.log(crowd.base_nm[lifter] + crowd.arm_nm_per_kg[lifter] * grid[load])
    for first in range(0, len(lifter), PAIRS_AT_ONCE):
        some = slice(first, first + PAIRS_AT_ONCE)
        found = finder.prospects(
            taken(state, lifter[some]), demand[some], np.ones(len(lifter[some]), bool), way=way, price=price
        )
        worth[lifter[some], load[some]] = found.worth
    return worth.max(axis=1), worth.argmax(axis=1)
