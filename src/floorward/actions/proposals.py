"""What rules and model propose after a session, worked out to what the gym can load and build.

The rules say which way and how far at most; the model may propose less, or more up to their cap where a set is hardly ever too much. A proposal is worked out anew from the log each time it is asked for. Only what a coach decides is stored.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from floorward.actions.exposures import Trained
from floorward.actions.histories import History, comparable, history_of
from floorward.actions.model_steps import Advice, advice_on
from floorward.actions.mornings import gym_day
from floorward.actions.onward import Onward, onward_from
from floorward.actions.reach import Reach, reach_of, rig_at
from floorward.actions.rigging import Rig, Stock, stock_of
from floorward.actions.tolerances import Log, log_of
from floorward.core.days import morning_of
from floorward.core.findings import Finding
from floorward.core.loadable import at_or_under, next_above
from floorward.core.plan_change import Changed, PlannedChange, further_set, plan_change
from floorward.core.protocol import Protocol, protocol_from
from floorward.core.rules import Change, Exposure, Ruling, propose, settled_in_row
from floorward.reports.reasons import reasons
from floorward.storage.models import Decision, Episode, Gym, MorningCheck
from floorward.tables import value
from floorward.units import Unit, plain


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """What rules and model say about one lift after its newest session.

    Attributes:
        change: which way, once plates, blocks and the model are reckoned with: a step forward that cannot be loaded, or is likely
            to be too much, holds; a hold that is likely to be too much goes back.
        plan: the next load and height; both None where the lift stops.
        ruled: the same by the rules alone.
        log: what the model read; None where it does not know the painful lift.
        odds: a set of `plan` is too much about once in so many; 0 hardly, 1 more likely than not, empty where the model has no say.
        onward: another set-up that comes in as the step, while this one stays; else None.
        numbers: what the rule read and what iron and wood did to it; kept with a decision.
        reasons: why, in the order to be read.
        rig: what goes on the bar and under it; None where the lift stops.
        reach: what this bar can carry and where it can stand.
        settled: how many exposures in a row settled at this load and height.
        decision: what was decided, on these numbers or (outdated) on others; None while nothing was.
        morning: the answer that counts for this session, with its sentence and who entered it.
        awaits_morning: whether the morning that answers for this session may still be given.
        seen: changes whenever the proposal or the decision does; a page sends it back.
    """

    episode: Episode
    trained: Trained
    lift: str
    unit: Unit
    ruling: Ruling
    change: Change
    plan: PlannedChange
    ruled: PlannedChange
    log: Log | None
    odds: str
    onward: Onward | None
    numbers: Mapping[str, Any] = field(hash=False)
    reasons: tuple[Finding, ...]
    rig: Rig | None
    reach: Reach
    settled: int
    protocol: Protocol
    decision: Decision | None
    morning: MorningCheck | None
    awaits_morning: bool
    seen: str

    @property
    def last(self) -> Exposure:
        """The exposure that is judged."""
        return self.trained.exposure

    @property
    def rise_mm(self) -> int:
        """The bar above full height in the plan."""
        return _rise(self.plan.height_mm, self.reach.full_mm)

    @property
    def last_rise_mm(self) -> int:
        """The bar above full height as it was trained."""
        return _rise(self.last.height_mm, self.reach.full_mm)

    @property
    def modelled(self) -> bool:
        """Whether the model made the step shorter, or longer, than the rules alone would."""
        return (self.plan.load, self.plan.height_mm) != (self.ruled.load, self.ruled.height_mm)

    @property
    def decided(self) -> bool:
        """Whether a decision stands on these very numbers."""
        return self.decision is not None and not self.decision.outdated


def proposals(episode: Episode, now: datetime) -> tuple[Proposal, ...]:
    """What is to be decided in this episode: one proposal for each sore lift whose newest session has no decision that stands.

    Nothing without consent, and nothing before the lift was trained.
    """
    return tuple(proposal for proposal in all_proposals(episode, now) if not proposal.decided)


def all_proposals(episode: Episode, now: datetime) -> tuple[Proposal, ...]:
    """The same, with what was decided already."""
    today = gym_day(episode.lifter.gym, now)
    history = history_of(episode, today)
    if not history.kept or not history.trained:
        return ()
    return proposals_from(history, stock_of(episode.lifter.gym), today, log_of(episode))


def proposal_for(episode: Episode, lift: str, now: datetime) -> Proposal | None:
    """The proposal for one lift, decided or not."""
    return next((row for row in all_proposals(episode, now) if row.lift == lift), None)


def proposals_from(history: History, stock: Stock, today: date, log: Log | None) -> tuple[Proposal, ...]:
    """The proposals of a history that has been read, with the log of its episode."""
    if not history.kept:
        return ()
    return tuple(_proposal(history, history.of(lift), stock, today, log) for lift in history.lifts)


def protocol_of(gym: Gym) -> Protocol:
    """The gym's protocol as the rules read it."""
    names = ("ceiling_finding", "ceiling_set", "after_max", "forward_percent", "rung_percent", "profile")
    settings = {name: getattr(gym, name) for name in names}
    return protocol_from({**settings, "revision": gym.protocol_version})[0]


def numbers_of(ruling: Ruling, last: Exposure, *, limit: str = "") -> dict[str, Any]:
    """The numbers behind a ruling, as they are kept with a decision; `limit` is what iron and wood did to it."""
    done = {
        "load": last.load,
        "height_mm": last.height_mm,
        "reps": last.reps,
        "target_reps": last.target_reps,
        "rpe": last.rpe,
        "ruled": ruling.change,
        "limit": limit,
        "cap_percent": value("rules", "R8", "cap_percent"),
    }
    return {name: _plain(number) for name, number in {**done, **ruling.numbers}.items()}


def _proposal(
    history: History, rows: Sequence[Trained], stock: Stock, today: date, log: Log | None
) -> Proposal:
    newest, protocol = rows[-1], protocol_of(history.episode.lifter.gym)
    exposures, last, reach = comparable(rows), newest.exposure, reach_of(newest.pattern, stock)
    ruling = _ruling(history, newest, exposures, protocol, today)
    settled, whole = settled_in_row(exposures, protocol), _whole(history, newest, reach)
    ruled = plan_change(
        ruling,
        load=last.load,
        height_mm=last.height_mm,
        loads=reach.loads,
        heights_mm=reach.heights_mm,
        full_range_accepted=whole,
        protocol=protocol,
        settled_in_row=settled,
    )
    advice = advice_on(log, newest, reach.loads, ruled, ruling, protocol)
    limit = _limit(ruling, ruled, last, reach, whole=whole)
    plan = advice.plan if advice else ruled
    if limit != "bar-waits" and plan.load == last.load and (advice is None or advice.bearable):
        plan = further_set(ruling, ruled, plan, sets=last.sets, settled_in_row=settled)
    onward = onward_from(history, log, newest, stock, ruling, plan, settled)
    numbers = numbers_of(ruling, last, limit=limit)
    if onward is None or plan.changed is Changed.NOTHING:
        numbers |= _modelled(advice, ruled, newest)
    if onward is not None:
        numbers |= _onward_numbers(onward) | {"to_instead": str(plan.changed)}
        stays = at_or_under(reach.loads, last.load) or last.load
        plan = PlannedChange(changed=Changed.VARIATION, load=stays, height_mm=last.height_mm)
    numbers |= {"next_sets": plan.sets} if plan.sets else {}
    decision = history.decisions.get((newest.session.pk, newest.lift))
    return Proposal(
        episode=history.episode,
        trained=newest,
        lift=newest.lift,
        unit=newest.unit,
        ruling=ruling,
        change=_change(ruling, plan, at_or_under(reach.loads, last.load) or last.load),
        plan=plan,
        ruled=ruled,
        log=log,
        odds=onward.odds if onward else advice.odds if advice else "",
        onward=onward,
        numbers=numbers,
        reasons=reasons(ruling.code, numbers),
        rig=onward.rig(stock) if onward else _planned_rig(newest, stock, plan),
        reach=reach,
        settled=settled,
        protocol=protocol,
        decision=decision,
        morning=history.checks.get(morning_of(last.day)),
        awaits_morning=last.morning is None and (today - last.day).days <= value("decisions", "late_morning"),
        seen=_seen(ruling, plan, last, decision, onward),
    )


def _modelled(advice: Advice | None, ruled: PlannedChange, newest: Trained) -> dict[str, Any]:
    """The numbers behind a step that the model made another, as they are kept with a decision; none where it did not."""
    if advice is None or not advice.limit or ruled.load is None or advice.plan.load is None:
        return {}
    return {
        "limit": advice.limit,
        "unit": newest.unit,
        "ruled_load": plain(ruled.load),
        "ruled_odds": advice.ruled_odds,
        "next_load": plain(advice.plan.load),
        "next_odds": advice.odds,
    }


def _onward_numbers(onward: Onward) -> dict[str, Any]:
    """The other set-up, as it is kept with a decision."""
    setup, built = onward.built.setup, onward.built
    return {
        "to": {
            "lift": setup.lift,
            "height_mm": setup.height_mm,
            "depth_deg": setup.depth_deg,
            "box_mm": setup.box_mm,
            "rise_mm": built.rise_mm,
            "from_height": built.stand is not None,
        },
        "to_load": f"{plain(onward.load)} {onward.unit}",
        "to_odds": onward.odds,
    }


def _ruling(
    history: History, newest: Trained, exposures: Sequence[Exposure], protocol: Protocol, today: date
) -> Ruling:
    """The rules on the exposures; spreading or new symptoms that no screen has followed count, whenever they were told."""
    asked_since = (
        history.screened_at is not None
        and newest.spread_at is not None
        and history.screened_at > newest.spread_at
    )
    open_now = history.report is not None or history.spread
    if open_now:
        exposures = (*exposures[:-1], replace(exposures[-1], spreading=True))
    return propose(
        exposures,
        protocol,
        mornings={day: check.score for day, check in history.checks.items() if check.score is not None},
        screen_open=history.lock is not None,
        rescreened=asked_since and not open_now,
        today=max(today, exposures[-1].day),
    )


def _whole(history: History, newest: Trained, reach: Reach) -> bool:
    """Whether a load is accepted at full range: it is trained there, was before, or a search found one there."""
    if newest.exposure.height_mm <= reach.full_mm:
        return True
    near = reach.full_mm + value("ladder", "height", "resolution")
    trained = any(row.exposure.height_mm <= near for row in history.of(newest.lift))
    return trained or any(lift == newest.lift and height_mm <= near for lift, height_mm in history.accepted)


def _change(ruling: Ruling, plan: PlannedChange, stay: Decimal) -> Change:
    """A step forward that cannot be loaded or built is a hold; whatever leads under `stay`, what was just done, is a step back."""
    if plan.load is not None and plan.load < stay:
        return Change.BACK
    held = ruling.change is Change.FORWARD and plan.changed is Changed.NOTHING
    return Change.HOLD if held else Change.STOP if plan.changed is Changed.STOP else ruling.change


def _limit(ruling: Ruling, plan: PlannedChange, last: Exposure, reach: Reach, *, whole: bool) -> str:
    """What iron and wood did to the ruling: the code of its sentence, or nothing."""
    if plan.changed is Changed.VARIATION:
        return "variation-due"
    if ruling.change is not Change.FORWARD or plan.changed is not Changed.NOTHING:
        return ""
    if not whole:
        lower = any(height_mm < last.height_mm for height_mm in reach.heights_mm)
        return "bar-waits" if lower else "bar-stays"
    return "stock-ends" if next_above(reach.loads, last.load) is None else "step-waits"


def _planned_rig(newest: Trained, stock: Stock, plan: PlannedChange) -> Rig | None:
    if plan.load is None or plan.height_mm is None:
        return None
    return rig_at(newest.pattern, stock, plan.load, plan.height_mm)


def _seen(
    ruling: Ruling, plan: PlannedChange, last: Exposure, decision: Decision | None, onward: Onward | None
) -> str:
    scores = (last.baseline, last.during, last.after, last.morning)
    decided = (decision.pk, decision.at.isoformat(), decision.outdated) if decision else ()
    to = (onward.turn.to.name, onward.load) if onward else ()
    return "/".join(
        str(part)
        for part in (ruling.code, plan.changed, plan.load, plan.height_mm, plan.sets, *to, *scores, *decided)
    )


def _rise(height_mm: int | None, full_mm: int) -> int:
    return max((height_mm or 0) - full_mm, 0)


def _plain(number: Any) -> Any:
    return str(number) if isinstance(number, Decimal) else number
