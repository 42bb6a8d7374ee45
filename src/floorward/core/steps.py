"""The next load on a sore lift: what the rules allow, and no more than is likely to be bearable.

The rules come first. Under them the heaviest load is chosen that is no likelier than 15 % to hurt more than the ceiling, and 4 % for six
weeks after an exposure that did: up to the gym's usual step where they say forward, but never under what was just done; else up to the
load that they lead to, and up to 20 % under it. So it is too where the assertive profile goes forward after pain that the steady one
holds at. Past the usual step, up to the rules' cap, it goes only where a set is no likelier than 5 % to be too much.

Pages and the command line take the same `modelled_load`; the command's usual step is the cap itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from decimal import Decimal

import numpy as np

from floorward.core import forecast as played
from floorward.core import played_rules
from floorward.core.belief import setting
from floorward.core.even_steps import OtherSetUp, Turn, evenest_turn, is_evener, may_turn
from floorward.core.exposures import Change, Exposure, Ruling, StepSize, morning_change, settled_in_row
from floorward.core.forecast import Forecast, Outset
from floorward.core.loadable import at_or_under
from floorward.core.plan_change import Changed, PlannedChange, further_set, next_load, sets_step
from floorward.core.played_rules import Scores, Standing
from floorward.core.protocol import Protocol
from floorward.core.rules import propose
from floorward.core.tolerance import Band, Priors, Report, Tolerance, chance_unacceptable, tolerance_of
from floorward.core.way_back import size_of
from floorward.maths.posterior_interval import Array

_UNKNOWN = 1  # a morning that nobody answered counts as not settled


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """What is known of one sore lift.

    Attributes:
        loads: what can be loaded, ascending, in one unit.
        demands: what each of them asks.
        usual_load: what the lifter did before.
        exposures: training of this set-up, in order.
        asked: the demand of each exposure.
        others: reports of anything else that loads the region: tests of a search, other variations.
        variation, bend: of this set-up, as in `Report`; the painful lift has none.
        mornings: every morning answer by its day.
        onward: set-ups further on the way back, each among the variations of the priors.
    """

    began: date
    loads: tuple[Decimal, ...]
    demands: tuple[float, ...]
    usual_load: Decimal
    priors: Priors
    exposures: tuple[Exposure, ...]
    asked: tuple[float, ...]
    others: tuple[Report, ...] = ()
    variation: str = ""
    bend: float = 0.0
    mornings: Mapping[date, int] = field(default_factory=dict)
    screen_open: bool = False
    rescreened: bool = False
    onward: tuple[OtherSetUp, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """The proposal.

    Attributes:
        load: of the next exposure; None when the lift stops.
        sets: of the next exposure: one more where the rules say forward and the load stays.
        change: a heavier load or a set more is a step forward, what is lighter one back.
        reason: code of the rule, or `chance` where the model stays under what the rules allow.
        ruled_load: what the rules alone lead to.
        chance_unacceptable: that a set at `load` hurts more than the ceiling; None when the lift stops.
        turn: to another set-up, where that is the evener step; `load` is then the load there.
    """

    load: Decimal | None
    sets: int
    change: Change
    reason: str
    ruling: Ruling
    ruled_load: Decimal | None
    chance_unacceptable: float | None
    tolerance: Tolerance
    turn: Turn | None = None

    @property
    def band(self) -> Band:
        """Tolerance today."""
        return self.tolerance.band


def next_step(history: History, protocol: Protocol, today: date) -> Step:
    """The next load after the last exposure of `history`.

    Raises:
        ContractError: if exposures or reports are not in the order of their days, or lie after `today`.
    """
    ruling = propose(
        history.exposures,
        protocol,
        mornings=history.mornings,
        screen_open=history.screen_open,
        rescreened=history.rescreened,
        today=today,
    )
    tolerance = tolerance_of(reports_of(history), history.priors, (today - history.began).days)
    last = history.exposures[-1].load
    in_row = settled_in_row(history.exposures, protocol)
    ruled = next_load(ruling, last, history.loads, protocol, in_row)
    chances = _chances(history, tolerance)
    load = None
    if ruled is not None:
        load = modelled_load(
            ruling, history.loads, chances, last=last, ruled=ruled, protocol=protocol, limit=_limit(history)
        )
    chance = None if load is None else float(chances[history.loads.index(load)])
    sets = _sets(history, ruling, in_row, ruled, load, chance)
    step = Step(
        load=load,
        sets=sets,
        change=_change(history, ruling, load, sets),
        reason="chance" if load is not None and ruled is not None and load < ruled else ruling.code,
        ruling=ruling,
        ruled_load=ruled,
        chance_unacceptable=chance,
        tolerance=tolerance,
    )
    return _evener(history, step, in_row)


def chance_limit(over: Iterable[date], last: date) -> float:
    """How likely a load may be to hurt more than the ceiling: less while an exposure that did is not long past.

    Args:
        over: the days of training that hurt more than the ceiling or that the lifter called not acceptable.
        last: the day of the last exposure.
    """
    since = last - timedelta(days=int(setting("step", "wary_days")))
    wary = any(since < day <= last for day in over)
    return float(setting("step", "wary_chance" if wary else "unacceptable_chance"))


def modelled_load(
    ruling: Ruling,
    loads: Sequence[Decimal],
    chances: Array,
    *,
    last: Decimal,
    ruled: Decimal,
    protocol: Protocol,
    limit: float,
) -> Decimal:
    """What is taken of the load that the rules lead to.

    Args:
        ruling: what the rules said.
        loads: what can be loaded, ascending.
        chances: that a set at each of them hurts more than the ceiling.
        last: the load just done.
        ruled: the load that the rules lead to.
        protocol: the gym's step sizes.
        limit: how likely a set may be to hurt more than the ceiling; see `chance_limit`.
    """
    stay = at_or_under(loads, last)
    if ruling.change is not Change.FORWARD or ruled <= last or stay is None:
        return bearable_load(loads, chances, ruled, ruled, limit)
    most = _within(loads, last, min(protocol.forward_percent, ruling.cap_percent), ruled)
    after_pain = ruling.step is StepSize.SMALLEST and ruling.cap_percent > 0
    if after_pain:
        found = bearable_load(loads, chances, most, ruled, limit)
    else:
        found = forward_load(loads, chances, stay, most, limit)
    if found < most:
        return found
    sure = min(setting("step", "further_chance"), limit)
    return forward_load(loads, chances, found, _within(loads, last, ruling.cap_percent, ruled), sure)


def _within(loads: Sequence[Decimal], last: Decimal, percent: Decimal, ruled: Decimal) -> Decimal:
    """The heaviest load within so many percent of the last; never less than what the rules lead to."""
    return max(at_or_under(loads, last * (100 + percent) / 100) or ruled, ruled)


def bearable_load(
    loads: Sequence[Decimal], chances: Array, most: Decimal, ruled: Decimal, limit: float | None = None
) -> Decimal:
    """The heaviest load up to `most` that is likely enough to be bearable, not far under what the rules lead to.

    Args:
        loads: what can be loaded, ascending.
        chances: that a set at each of them hurts more than the ceiling.
        most: the heaviest load that the rules leave open.
        ruled: the load that they lead to.
        limit: how likely it may be to hurt more than the ceiling, 15 % if left out; see `chance_limit`.
    """
    likely = chances <= (setting("step", "unacceptable_chance") if limit is None else limit)
    open_to = [load for load, good in zip(loads, likely, strict=True) if good and load <= most]
    eased = ruled * (1 - Decimal(str(setting("step", "ease_most"))))
    floor = at_or_under(loads, eased) or loads[0]
    return max((*open_to, floor))


def forward_load(
    loads: Sequence[Decimal], chances: Array, stay: Decimal, most: Decimal, limit: float | None = None
) -> Decimal:
    """The heaviest load up to `most` that is likely enough to be bearable; `stay` where none above it is.

    A step forward never leads under what was just done.

    Args:
        loads: what can be loaded, ascending.
        chances: that a set at each of them hurts more than the ceiling.
        stay: the load just done.
        most: the heaviest load that the rules leave open.
        limit: how likely it may be to hurt more than the ceiling, 15 % if left out; see `chance_limit`.
    """
    likely = chances <= (setting("step", "unacceptable_chance") if limit is None else limit)
    open_to = [load for load, good in zip(loads, likely, strict=True) if good and stay < load <= most]
    return max(open_to, default=stay)


def reports_of(history: History) -> tuple[Report, ...]:
    """The log as the tolerance model reads it, in the order of the days."""
    own = [
        report_of(exposure, demand, history.began, variation=history.variation, bend=history.bend)
        for exposure, demand in zip(history.exposures, history.asked, strict=True)
    ]
    return tuple(sorted((*history.others, *own), key=lambda report: report.day))


def report_of(
    exposure: Exposure, demand: float, began: date, *, variation: str = "", bend: float = 0.0
) -> Report:
    """One exposure as the tolerance model reads it."""
    return Report(
        day=(exposure.day - began).days,
        demand=demand,
        pain=exposure.during,
        acceptable=exposure.acceptable and not exposure.spreading,
        rest_pain=exposure.before,
        morning_change=_change_known(exposure),
        variation=variation,
        bend=bend,
    )


def step_forecast(history: History, step: Step, protocol: Protocol, today: date, seed: int) -> Forecast:
    """When 90 % of the usual load should be back, if training goes on as the rules and the model let it."""
    day = (today - history.began).days
    if (reached := _reached(history)) is not None:
        return Forecast(p10_day=reached, p50_day=reached, p90_day=reached, share_not_by_26_weeks=0.0)
    if step.load is None:
        return Forecast(p10_day=None, p50_day=None, p90_day=None, share_not_by_26_weeks=1.0)
    last = (history.exposures[-1].day - history.began).days
    place = history.loads.index(_load_here(history) if step.turn else step.load)
    outset = Outset(
        state=step.tolerance.state,
        loads=np.array([float(load) for load in history.loads]),
        demands=np.asarray(history.demands),
        usual=float(history.usual_load),
        standing=_standing(history, protocol, place),
        today=day,
        next_day=max(day, last + int(setting("forecast", "spacing")[0])),
        protocol=protocol,
    )
    return played.forecast(outset, seed)


def _load_here(history: History) -> Decimal:
    """What stays on the present set-up while another one comes in."""
    return at_or_under(history.loads, history.exposures[-1].load) or history.loads[0]


def _change_known(exposure: Exposure) -> int | None:
    known = exposure.morning is not None and exposure.baseline is not None
    return morning_change(exposure, _UNKNOWN) if known else None


def _sets(
    history: History,
    ruling: Ruling,
    in_row: int,
    ruled: Decimal | None,
    load: Decimal | None,
    chance: float | None,
) -> int:
    """Work sets of the next exposure; one more only where the same load is likely enough to be bearable."""
    last = history.exposures[-1]
    if load != last.load or chance is None or chance > _limit(history):
        return last.sets
    moves = Changed.NOTHING if ruled == last.load else Changed.LOAD
    by_rules = PlannedChange(changed=moves, load=ruled, height_mm=last.height_mm)
    same = PlannedChange(changed=Changed.NOTHING, load=load, height_mm=last.height_mm)
    return further_set(ruling, by_rules, same, sets=last.sets, settled_in_row=in_row).sets or last.sets


def _evener(history: History, step: Step, in_row: int) -> Step:
    """The step, or one to another set-up where that is evener."""
    if step.load is None or not may_turn(step.ruling, in_row):
        return step
    last, asked = history.exposures[-1], history.asked[-1]
    turn = evenest_turn(
        history.onward,
        step.tolerance,
        asked=asked,
        bend=history.bend,
        cap_percent=step.ruling.cap_percent,
    )
    here = history.demands[history.loads.index(step.load)] / asked
    size = size_of(here, 0.0) if step.sets == last.sets else sets_step(last.sets)
    if turn is None or not is_evener(turn, size):
        return step
    return replace(
        step,
        load=turn.load,
        sets=last.sets,
        change=Change.FORWARD,
        reason=step.ruling.code,
        chance_unacceptable=turn.chance,
        turn=turn,
    )


def _limit(history: History) -> float:
    done, ceiling = history.exposures, history.priors.ceiling
    return chance_limit((e.day for e in done if e.during > ceiling or not e.acceptable), done[-1].day)


def _chances(history: History, tolerance: Tolerance) -> Array:
    return chance_unacceptable(tolerance, np.asarray(history.demands), history.variation, history.bend)


def _change(history: History, ruling: Ruling, load: Decimal | None, sets: int) -> Change:
    last, done = history.exposures[-1].load, history.exposures[-1].sets
    if load is None:
        return Change.STOP
    if ruling.change is Change.BACK or load < (at_or_under(history.loads, last) or last):
        return Change.BACK
    return Change.FORWARD if load > last or sets > done else Change.HOLD


def _reached(history: History) -> float | None:
    """Day of the first exposure at 90 % of the usual load with bearable pain."""
    least = Decimal(str(setting("forecast", "share_of_usual"))) * history.usual_load
    done = (
        e
        for e in history.exposures
        if e.load >= least and e.during <= history.priors.ceiling and e.acceptable
    )
    first = next(done, None)
    return None if first is None else float((first.day - history.began).days)


def _standing(history: History, protocol: Protocol, place: int) -> Standing:
    """Where the lifter stands: the log played through the rules for many."""
    now = played_rules.standing(np.zeros(1, dtype=np.int64))
    for exposure in history.exposures:
        heard = Scores(
            during=np.array([exposure.during]),
            after=np.array([exposure.during if exposure.after is None else exposure.after]),
            change=np.array([morning_change(exposure, _UNKNOWN)]),
            acceptable=np.array([exposure.acceptable]),
        )
        at = at_or_under(history.loads, exposure.load)
        here = np.array([history.loads.index(at) if at is not None else 0])
        now = played_rules.at_place(now, here)
        now, _, _ = played_rules.judged(
            now, heard, (exposure.day - history.began).days, protocol.profile, protocol
        )
    return played_rules.at_place(now, np.array([place]))
