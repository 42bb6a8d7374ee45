"""Weeks of training by a crowd of virtual lifters: the rules alone, or the rules with the model under them.

Each lifter starts one rung under what the search of day 0 answered; two sessions a week follow, one exposure each.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from decimal import Decimal

import numpy as np

from bench.finding import Log, put, taken
from bench.virtual_lifter import BAR_KG, BEND, CEILING, STEP_KG, Lifters
from floorward.core import belief, played_rules
from floorward.core.belief import Belief, setting
from floorward.core.played_rules import Scores, Standing
from floorward.core.protocol import SHIPPED, Profile
from floorward.maths import posterior_reading

GRID = BAR_KG + STEP_KG * np.arange(105)
GAPS = (3, 4)
START = 0.9
FIRST_SHARE = 0.87


@dataclass
class Course:
    """One column a session: loads, pains, days; and whether the true tolerance lay within the 90 % then believed."""

    days: list[int] = field(default_factory=list)
    loads: list[np.ndarray] = field(default_factory=list)
    pains: list[np.ndarray] = field(default_factory=list)
    covered: list[np.ndarray] = field(default_factory=list)

    def reached(self, usual_kg: np.ndarray, by: int) -> np.ndarray:
        """Day of the first session at 90 % of the usual load with bearable pain, inf where not by day `by`."""
        day = np.full(len(usual_kg), np.inf)
        for when, load, pain in zip(self.days, self.loads, self.pains, strict=True):
            hit = (load >= setting("forecast", "share_of_usual") * usual_kg - 1e-9) & (pain <= CEILING)
            day = np.where(hit & np.isinf(day) & (when <= by), when, day)
        return day

    def bad(self, by: int) -> np.ndarray:
        """Sets over the ceiling until day `by`."""
        return np.sum(
            [pain > CEILING for day, pain in zip(self.days, self.pains, strict=True) if day <= by], axis=0
        )

    def work_kg(self, by: int) -> np.ndarray:
        """Sum of the loads until day `by`."""
        return np.sum([load for day, load in zip(self.days, self.loads, strict=True) if day <= by], axis=0)


@dataclass
class Player:
    """A crowd in training, and what is believed of it."""

    crowd: Lifters
    now: Standing
    state: Belief
    day: int = 0


def begun(crowd: Lifters, log: Log, answer: np.ndarray) -> Player:
    """The crowd after its search on day 0."""
    start = np.maximum(np.floor((START * answer - BAR_KG) / STEP_KG + 1e-9), 0).astype(int)
    return Player(crowd, played_rules.standing(start), told(crowd, log, variations=0))


def told(crowd: Lifters, log: Log, *, variations: int) -> Belief:
    """The belief after the sets of a search."""
    usual = np.log(crowd.demand(crowd.usual_kg))
    state = belief.start(usual, ceiling=CEILING, variations=variations)
    state = belief.recalled(state, usual, crowd.first_pain)
    way = belief.direction(state)
    for load, pain in zip(log.load, log.pain, strict=True):
        at = np.flatnonzero(load > 0)
        demand = np.log(crowd.demand(np.maximum(load, BAR_KG)))[at]
        state = put(state, at, belief.observed(taken(state, at), demand, pain[at], way=way))
    return state


def trained(
    player: Player,
    profile: Profile,
    *,
    weeks: int,
    model: bool = True,
    forward_percent: int = 5,
    start: int = 0,
) -> Course:
    """Two sessions a week until `weeks`; `start` is the number of those that went before."""
    done, turn = Course(), start
    while player.day + GAPS[turn % 2] <= 7 * weeks:
        scores = _session(player, GAPS[turn % 2], done, hears=model)
        turn += 1
        _step(player, scores, profile, forward_percent, GAPS[turn % 2] if model else None)
    return done


def _session(player: Player, gap: int, done: Course, *, hears: bool) -> Scores:
    crowd = player.crowd
    crowd.rest(gap if player.day == 0 else gap - 1)
    player.day += gap
    load = GRID[player.now.place]
    rested = crowd.rested()
    pain = crowd.lift(load, np.ones(len(load), bool))
    change = crowd.morning()
    if hears:
        way, demand = belief.direction(player.state), np.log(crowd.demand(load))
        state = belief.observed(belief.advanced(player.state, gap), demand, pain, rest_pain=0, way=way)
        player.state = belief.morning(state, demand, change, way=way)
        if len(done.days) < 20:
            low, high = belief.rested_quantiles(player.state, (0.05, 0.95), way=way).T
            done.covered.append((low <= rested) & (rested <= high))
    done.days.append(player.day)
    done.loads.append(load)
    done.pains.append(pain)
    return Scores(
        during=pain, after=np.maximum(pain - 1, 0), change=change, acceptable=pain <= SHIPPED.ceiling_set
    )


def _step(player: Player, scores: Scores, profile: Profile, forward_percent: int, gap: int | None) -> None:
    """The next load: what the rules say, and with the model (a gap to look over) as `core.steps` has it."""
    protocol = replace(SHIPPED, forward_percent=Decimal(forward_percent))
    now, way_on, open_to = played_rules.judged(player.now, scores, player.day, profile, protocol)
    ruled, most = played_rules.moved(now, way_on, GRID, protocol)
    if gap is not None:
        ahead = belief.advanced(player.state, gap)
        least = played_rules.least_place(GRID, now, way_on, open_to, ruled)
        most = np.maximum(np.where(open_to, np.maximum(most, ruled), ruled), least)
        limit = played_rules.chance_limit(now, player.day)
        ruled = _heaviest_likely(player.crowd, ahead, least, most, limit)
    top = ((player.crowd.usual_kg - BAR_KG) / STEP_KG).astype(int)
    player.now = played_rules.at_place(now, np.minimum(ruled, top))


def _heaviest_likely(
    crowd: Lifters, state: Belief, least: np.ndarray, most: np.ndarray, limit: np.ndarray
) -> np.ndarray:
    """Place of the heaviest load up to `most` that is no likelier than `limit` to hurt too much, `least` if none; by bisection."""
    low, high, way = least, most + 1, belief.direction(state)
    while (high - low > 1).any():
        middle = (low + high) // 2
        demand = np.log(crowd.demand(GRID[np.minimum(middle, len(GRID) - 1)]))
        good = belief.chance_above(state, demand, CEILING, way=way) <= limit
        low, high = np.where(good, middle, low), np.where(good, high, middle)
    return low


def first_on_another(crowd: Lifters, log: Log, accepted_kg: np.ndarray) -> tuple[np.ndarray, ...]:
    """Three days after the search, the first set on another variation: by the model, and with the same kilograms.

    Each lifter meets one of the five. Gives whether each was acceptable and the loads; nan where there is none to give.
    """
    state = belief.advanced(told(crowd, log, variations=1), 3)
    crowd.rest(3)
    count = len(crowd.usual_kg)
    asked = crowd.demand(GRID[None, :].repeat(count, axis=0))
    good, load, same = (np.full(count, np.nan) for _ in range(3))
    for variation in range(1, len(BEND)):
        at = np.flatnonzero((np.arange(count) % (len(BEND) - 1) == variation - 1) & (accepted_kg > 0))
        some, bend = taken(state, at), BEND[variation] - BEND[0]
        way = belief.direction(some, bend=bend, variation=1)
        demands = asked[at] * (crowd.demand(GRID[:1], variation)[at] / crowd.demand(GRID[:1])[at])[:, None]
        chance = belief.chance_above(some, np.log(demands), CEILING, way=way)
        accepted = crowd.demand(accepted_kg)[at]
        fits = (demands <= FIRST_SHARE * accepted[:, None]) & (
            chance <= setting("variation", "unacceptable_chance")
        )
        place = np.where(fits.any(axis=1), len(GRID) - 1 - fits[:, ::-1].argmax(axis=1), -1)
        load[at] = np.where(place >= 0, GRID[place], np.nan)
        doing = np.zeros(count, bool)
        doing[at[place >= 0]] = True
        pain = crowd.lift(np.where(doing, np.nan_to_num(load, nan=BAR_KG), BAR_KG), doing, variation)
        good[doing] = (pain <= CEILING)[doing]
        same[doing] = accepted_kg[doing]
    return good, load, same


def spread_at(state: Belief) -> np.ndarray:
    """Deviation of the log tolerance that is left."""
    return posterior_reading.moments(state.mixture, belief.direction(state))[1]
