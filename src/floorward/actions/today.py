"""Today: who is stopped, who trains, what is to be decided, who has not answered, whose review is due, whom to watch."""

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from floorward.actions.access import seen_by
from floorward.actions.board import Case, Newest, cases
from floorward.actions.histories import histories
from floorward.actions.lanes import InSession, Stopped, ToAsk, TodayView, ToDecide, ToReview, ToWatch, Who
from floorward.actions.links import links_in_force
from floorward.actions.mornings import gym_day
from floorward.actions.plateaus import on_a_plateau
from floorward.actions.proposals import Proposal, proposals_from
from floorward.actions.reviews import clock_history, to_hold
from floorward.actions.rigging import stock_of
from floorward.actions.sessions import turns
from floorward.actions.tolerances import logs_of
from floorward.core import clock
from floorward.core.days import morning_of
from floorward.reports.drawings.mark import mark, sign
from floorward.storage.models import Gym, Staff
from floorward.tables import value

Lanes = dict[str, Sequence[Any]]


def today_view(
    gym: Gym, now: datetime, *, viewer: Staff, coach: Staff | None = None, whole: str = ""
) -> TodayView:
    """The page of one coach, or of everybody. Each lane shows its first slips; the lane named `whole` shows all."""
    today = gym_day(gym, now)
    seen = seen_by(viewer)
    found = [_as_seen(case, seen) for case in cases(gym, today, coach)]
    lanes = _sorted(found, today)
    most = value("decisions", "slips")
    shown = {name: rows if name == whole else rows[:most] for name, rows in lanes.items()}
    return TodayView(
        day=today,
        seen=frozenset(case.episode.lifter_id for case in found if case.kept),
        coach=coach,
        coaches=tuple(gym.staff.filter(is_active=True).order_by("name")),
        open_episodes=len(found),
        answered=sum(case.kept and case.answered(today) for case in found),
        stopped=tuple(_stopped(case, today) for case in shown["stop"]),
        in_session=_in_session(gym, now, coach),
        decide=_decide(gym, shown["decide"], today),
        ask=_ask(shown["ask"], today, now),
        review=_review(shown["review"], today),
        watch=tuple(_watch(case, today) for case in shown["watch"]),
        counts={name: len(rows) for name, rows in lanes.items()},
        more={name: len(rows) - len(shown[name]) for name, rows in lanes.items()},
    )


def _as_seen(case: Case, seen: Collection[int]) -> Case:
    """The case as somebody sees it who sees the health answers of the lifters `seen`."""
    return case if case.episode.lifter_id in seen else replace(case, kept=False, hidden=True)


def _sorted(found: Sequence[Case], today: date) -> Lanes:
    """Every case into the lanes where something is to be done about it; the others are to be watched."""
    stopped = [case for case in found if case.lock or (case.kept and (case.report or case.spread))]
    free = [case for case in found if case.kept and case not in stopped]
    waiting = [(case, row) for case in free for row in case.undecided(today)]
    asked = [(case, row) for case, row in waiting if _may_still_answer(case, row, today)]
    decided_on = [pair for pair in waiting if pair not in asked]
    due = [(case, row) for case in free for row in _due(case, today)]
    busy = {case.episode.pk for case, _ in (*waiting, *due)} | {case.episode.pk for case in stopped}
    return {
        "stop": stopped,
        "decide": sorted(decided_on, key=lambda pair: pair[0].session is None),
        "ask": list({case.episode.pk: (case, row) for case, row in reversed(asked)}.values())[::-1],
        "review": due,
        "watch": [case for case in found if case.episode.pk not in busy],
    }


def _may_still_answer(case: Case, row: Newest, today: date) -> bool:
    """Whether the morning for this training is missing and so fresh that somebody will still know it.

    Whoever has trained since is asked tomorrow, for both.
    """
    if case.trained_today:
        return False
    days = (today - row.day).days
    return days <= value("decisions", "late_morning") and not case.answered(morning_of(row.day))


def _due(case: Case, today: date, *, plateau: bool = False) -> tuple[clock.Review, ...]:
    """The reviews to hold. Whether the lift has stopped moving changes what one of them says, never which there are."""
    history = clock_history(
        case.episode,
        mornings=case.scores,
        rests=case.befores,
        nights_lost=case.nights_lost,
        unwell=case.unwell,
        plateau=plateau,
        held=case.held,
    )
    return to_hold(clock.reviews(case.episode.since, history, today), today)


def _review(pairs: Sequence[tuple[Case, clock.Review]], today: date) -> tuple[ToReview, ...]:
    """The slips in full: all sets of an episode are read for those that are shown only."""
    stuck = on_a_plateau(list({case.episode.pk: case.episode for case, _ in pairs}.values()), today)
    return tuple(
        ToReview(who=_who(case, today), review=said)
        for case, row in pairs
        for said in _due(case, today, plateau=case.episode.pk in stuck)
        if said.code == row.code
    )


def _who(case: Case, today: date) -> Who:
    episode, place = case.episode, case.place()
    days = (today - episode.since).days
    drawn = mark(*place) if place and case.kept else mark(None) if case.kept else ""
    return Who(
        lifter=episode.lifter,
        episode=episode,
        day_number=days,
        kept=case.kept,
        mark=drawn,
        session=case.session,
    )


def _stopped(case: Case, today: date) -> Stopped:
    return Stopped(
        who=_who(case, today), lock=case.lock, report=case.report if case.kept else None, sign=sign("send")
    )


def _in_session(gym: Gym, now: datetime, coach: Staff | None) -> tuple[InSession, ...]:
    rows = turns(gym, now)
    mine = [row for row in rows if coach is None or row.session.lifter.coach_id == coach.pk]
    return tuple(
        InSession(session=row.session, lifter=row.session.lifter, sets_done=row.sets_done) for row in mine
    )


def _decide(gym: Gym, pairs: Sequence[tuple[Case, Newest]], today: date) -> tuple[ToDecide, ...]:
    """The slips in full: the proposals of the episodes that are shown, worked out together."""
    episodes = list({case.episode.pk: case.episode for case, _ in pairs}.values())
    worked: dict[tuple[int, str], Proposal] = {}
    if episodes:
        stock, logs = stock_of(gym), logs_of(episodes)
        for number, history in histories(episodes, today).items():
            for row in proposals_from(history, stock, today, logs[number]):
                worked[number, row.lift] = row
    found = [(case, worked.get((case.episode.pk, row.lift))) for case, row in pairs]
    return tuple(
        ToDecide(who=_who(case, today), proposal=proposal, sign=sign(proposal.change))
        for case, proposal in found
        if proposal is not None and proposal.plan.load is not None
    )


def _ask(pairs: Sequence[tuple[Case, Newest]], today: date, now: datetime) -> tuple[ToAsk, ...]:
    links = links_in_force([case.episode.lifter for case, _ in pairs], now)
    return tuple(
        ToAsk(who=_who(case, today), trained_on=row.day, link=links.get(case.episode.lifter_id))
        for case, row in pairs
    )


def _watch(case: Case, today: date) -> ToWatch:
    """What there is to know of somebody with whom nothing is to be done."""
    if case.hidden:
        return ToWatch(who=_who(case, today), code="hidden")
    if not case.kept:
        return ToWatch(who=_who(case, today), code="no-consent")
    if case.trained_today:
        return ToWatch(who=_who(case, today), code="trained-today")
    if not case.newest:
        return ToWatch(who=_who(case, today), code="nothing-trained")
    newest = max(case.newest, key=lambda row: row.day)
    return ToWatch(who=_who(case, today), code="decided", newest=newest)
