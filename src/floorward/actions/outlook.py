"""When the old load should be back: the steps of this gym played forward from the log, as a range and a share."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal

from floorward.actions.exposures import Trained
from floorward.actions.histories import in_unit
from floorward.actions.proposals import Proposal
from floorward.actions.tolerances import Log, kg, name_of
from floorward.core.forecast import Forecast
from floorward.core.odds import one_in
from floorward.core.steps import History, Step, step_forecast
from floorward.tables import value
from floorward.units import Unit

_SEED = 20260301  # the same log gives the same range
_WEEK = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """The forecast of one episode.

    Attributes:
        kind: reached, range, from (the latest week cannot be told), unlikely or stopped.
        goal: 90 % of the old load, in `unit`.
        reached: the day on which it was back.
        first, last: weeks from today between which it should be back for eight in ten; 0 where there are none.
        middle: weeks from today until half of such lifters are there; 0 where that is not within half a year.
        share: so many in one such lifter may not get there within half a year; 0 hardly any, 1 more than half.
    """

    kind: str
    goal: Decimal
    unit: Unit
    reached: date | None = None
    first: int = 0
    last: int = 0
    middle: int = 0
    share: str = "0"


def outlook_of(proposal: Proposal | None, rows: Sequence[Trained], today: date) -> Outlook | None:
    """The outlook for the painful lift after the exposures `rows` of it.

    None where mechanics do not know the lift, it was not trained in full lately, or half a year is over.
    """
    log = proposal.log if proposal else None
    if proposal is None or log is None or not _in_full(log, proposal.trained):
        return None
    if (today - log.began).days >= value("tolerance", "forecast", "horizon"):
        return None
    history = _history(log, proposal, [row for row in rows if _in_full(log, row)])
    goal = history.usual_load * Decimal(str(value("tolerance", "forecast", "share_of_usual")))
    stopped = Outlook(kind="stopped", goal=goal.quantize(Decimal("0.1")), unit=proposal.unit)
    load = _next_load(proposal)
    if load is None:
        return stopped
    step = Step(
        load=load,
        sets=proposal.last.sets,
        change=proposal.change,
        reason=proposal.ruling.code,
        ruling=proposal.ruling,
        ruled_load=proposal.ruled.load,
        chance_unacceptable=None,
        tolerance=log.tolerance(today),
    )
    ahead = step_forecast(history, step, proposal.protocol, today, _SEED)
    return _said(stopped, ahead, log.began, (today - log.began).days)


def _said(about: Outlook, ahead: Forecast, began: date, now: int) -> Outlook:
    """The forecast in weeks from the day `now`."""
    share, early, late = str(one_in(ahead.share_not_by_26_weeks)), ahead.p10_day, ahead.p90_day
    if early is None:
        return replace(about, kind="unlikely", share=share)
    if early == late and early <= now:
        return replace(about, kind="reached", reached=began + timedelta(days=early))
    first, middle = _weeks(early, now), 0 if ahead.p50_day is None else _weeks(ahead.p50_day, now)
    if late is None:
        return replace(about, kind="from", first=first, middle=middle, share=share)
    return replace(about, kind="range", first=first, middle=middle, last=_weeks(late, now), share=share)


def _in_full(log: Log, row: Trained) -> bool:
    return row.lift == log.episode.lift and not name_of(log.episode, row.pattern)


def _next_load(proposal: Proposal) -> Decimal | None:
    """What comes next, as decided, else as proposed; None where the lift stops."""
    if proposal.decided and proposal.decision is not None:
        chosen = proposal.decision.load
        return (
            chosen if chosen in proposal.reach.loads else proposal.plan.load if chosen is not None else None
        )
    return proposal.plan.load


def _history(log: Log, proposal: Proposal, rows: Sequence[Trained]) -> History:
    episode, unit, loads = log.episode, proposal.unit, proposal.reach.loads
    exposures = tuple(replace(row.exposure, load=in_unit(row.exposure.load, row.unit, unit)) for row in rows)
    return History(
        began=log.began,
        loads=loads,
        demands=log.full.demands(tuple(kg(load, unit) for load in loads)),
        usual_load=in_unit(episode.usual_load, episode.unit, unit),
        priors=log.priors,
        exposures=exposures,
        asked=tuple(log.full.demand(kg(each.load, unit)) for each in exposures),
    )


def _weeks(day: float, now: int) -> int:
    return max(round((day - now) / _WEEK), 1)
