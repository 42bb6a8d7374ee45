"""Today: who is stopped, who trains, what is to be decided, who has not answered, whose review is due, who begins, whom to watch."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

from floorward.actions.access import seen_by
from floorward.actions.bar_places import bar_places
from floorward.actions.board import Case, Newest, cases, scores_of
from floorward.actions.histories import histories, screened_at, with_a_load
from floorward.actions.lanes import (
    InSession,
    Stopped,
    ToAsk,
    ToBegin,
    TodayView,
    ToDecide,
    ToReview,
    ToWatch,
    Who,
)
from floorward.actions.links import links_in_force
from floorward.actions.mornings import gym_day
from floorward.actions.plateaus import on_a_plateau
from floorward.actions.proposals import Proposal, proposals_from
from floorward.actions.reviews import clock_history
from floorward.actions.rigging import stock_of
from floorward.actions.sessions import turns
from floorward.actions.tolerances import logs_of
from floorward.core import clock
from floorward.core.days import morning_of
from floorward.reports.drawings.mark import mark, sign
from floorward.storage.models import Episode, Gym, Staff
from floorward.tables import value

Pair = tuple[Case, Any]
"""A case and what of it puts it into the lane: a lift to decide about, a review that is due, or nothing more."""
Lanes = dict[str, Sequence[Pair]]
Whos = Mapping[int, Who]


def today_view(
    gym: Gym, now: datetime, *, viewer: Staff, coach: Staff | None = None, whole: str = ""
) -> TodayView:
    """The page of one coach, or of everybody. Each lane shows its first slips; the lane named `whole` shows all."""
    today = gym_day(gym, now)
    seen = seen_by(viewer)
    found = [_as_seen(case, seen) for case in cases(gym, today, coach)]
    lanes = _sorted(found, today)
    most = value("decisions", "slips")
    uncut = {whole, "stop"}  # who is to be sent is never behind a press
    chosen = {name: rows if name in uncut else rows[:most] for name, rows in lanes.items()}
    whos = _whos(gym, {case.episode.pk: case for rows in chosen.values() for case, _ in rows}, today)
    shown = {name: [pair for pair in rows if pair[0].episode.pk in whos] for name, rows in chosen.items()}
    return TodayView(
        day=today,
        seen=frozenset(case.episode.lifter_id for case in found if case.kept),
        coach=coach,
        coaches=tuple(gym.staff.filter(is_active=True).order_by("name")),
        open_episodes=len(found),
        answered=sum(case.kept and case.answered(today) for case in found),
        stopped=tuple(_stopped(case, whos) for case, _ in shown["stop"]),
        in_session=_in_session(gym, now, coach),
        decide=_decide(gym, shown["decide"], whos, today),
        ask=_ask(shown["ask"], whos, now),
        review=_review(shown["review"], whos, today),
        begin=_begin(shown["begin"], whos),
        watch=tuple(_watch(case, whos) for case, _ in shown["watch"]),
        counts={name: len(rows) for name, rows in lanes.items()},
        more={name: len(rows) - len(shown[name]) for name, rows in lanes.items()},
    )


def _as_seen(case: Case, seen: Collection[int]) -> Case:
    """The case as somebody sees it who sees the health answers of the lifters `seen`."""
    return case if case.episode.lifter_id in seen else replace(case, kept=False, hidden=True)


def _sorted(found: Sequence[Case], today: date) -> Lanes:
    """Every case into the lanes where something is to be done about it; the others are to be watched."""
    stopped = [case for case in found if case.lock or (case.kept and (case.report or case.spread))]
    locked = {case.episode.pk for case in stopped}
    free = [case for case in found if case.kept and case.episode.pk not in locked]
    asked: list[Pair] = []
    decided_on: list[Pair] = []
    for case in free:
        for row in case.undecided(today):
            (asked if _may_still_answer(case, row, today) else decided_on).append((case, row))
    due = [
        (case, code)
        for case in free
        for code in clock.codes_to_hold(case.episode.since, _history(case), today)
    ]
    busy = {case.episode.pk for case, _ in (*asked, *decided_on, *due)} | locked
    begins = [case for case in free if not (case.episode.pk in busy or case.newest or case.trained_today)]
    busy |= {case.episode.pk for case in begins}
    return {
        "stop": [(case, None) for case in stopped],
        "decide": sorted(decided_on, key=lambda pair: not pair[0].trains_today),
        "ask": list({case.episode.pk: (case, row) for case, row in reversed(asked)}.values())[::-1],
        "review": sorted(due, key=_urgency),
        "begin": [(case, None) for case in sorted(begins, key=_newest_first)],
        "watch": [(case, None) for case in found if case.episode.pk not in busy],
    }


def _may_still_answer(case: Case, row: Newest, today: date) -> bool:
    """Whether the morning for this training is missing and so fresh that somebody will still know it.

    Whoever has trained since is asked tomorrow, for both.
    """
    if case.trained_today:
        return False
    days = (today - row.day).days
    return days <= value("decisions", "late_morning") and not case.answered(morning_of(row.day))


def _urgency(pair: Pair) -> tuple[bool, bool]:
    """Calls of any day before planned reviews, and who feels ill as well before all others."""
    case, code = pair
    return code in clock.PLANNED, not case.unwell


def _newest_first(case: Case) -> int:
    return -case.episode.since.toordinal()


def _history(case: Case, *, plateau: bool = False) -> clock.EpisodeHistory:
    return clock_history(
        case.episode,
        mornings=case.scores,
        rests=case.befores,
        nights_lost=case.nights_lost,
        unwell=case.unwell,
        plateau=plateau,
        held=case.held,
    )


def _whos(gym: Gym, shown: Mapping[int, Case], today: date) -> dict[int, Who]:
    """Whose slips they are, by episode: the rows of these are read, and where their bars stand.

    Whoever was erased since the cases were read has no slip.
    """
    rows = Episode.objects.select_related("lifter__coach").in_bulk(list(shown))
    still = {number: case for number, case in shown.items() if number in rows}
    places = bar_places((case, rows[number]) for number, case in still.items() if case.kept)
    found = {}
    for number, case in still.items():
        row, place = rows[number], places.get(number)
        row.lifter.gym = gym
        found[number] = Who(
            lifter=row.lifter,
            episode=row,
            day_number=(today - row.since).days,
            kept=case.kept,
            mark=(mark(*place) if place else mark(None)) if case.kept else "",
            trains_today=case.trains_today,
        )
    return found


def _review(pairs: Sequence[Pair], whos: Whos, today: date) -> tuple[ToReview, ...]:
    """The slips in full: all sets and mornings that a verdict is told from are read for those that are shown only."""
    ids = {case.episode.pk for case, _ in pairs}
    stuck = on_a_plateau([whos[number].episode for number in ids], today)
    scores = scores_of(ids, today - timedelta(days=value("clock", "most_days_window")))
    found = []
    for case, code in pairs:
        number = case.episode.pk
        history = _history(replace(case, scores=scores[number]), plateau=number in stuck)
        said = clock.reviews(case.episode.since, history, today)
        found += [ToReview(who=whos[number], review=row) for row in said if row.code == code]
    return tuple(found)


def _stopped(case: Case, whos: Whos) -> Stopped:
    return Stopped(
        who=whos[case.episode.pk],
        lock=case.lock,
        report=case.report if case.kept else None,
        sign=sign("send"),
    )


def _in_session(gym: Gym, now: datetime, coach: Staff | None) -> tuple[InSession, ...]:
    rows = turns(gym, now)
    mine = [row for row in rows if coach is None or row.session.lifter.coach_id == coach.pk]
    return tuple(
        InSession(session=row.session, lifter=row.session.lifter, sets_done=row.sets_done) for row in mine
    )


def _decide(gym: Gym, pairs: Sequence[Pair], whos: Whos, today: date) -> tuple[ToDecide, ...]:
    """The slips in full: the proposals of the episodes that are shown, worked out together."""
    episodes = [whos[number].episode for number in dict.fromkeys(case.episode.pk for case, _ in pairs)]
    worked: dict[tuple[int, str], Proposal] = {}
    if episodes:
        stock, logs = stock_of(gym), logs_of(episodes)
        for number, history in histories(episodes, today).items():
            for row in proposals_from(history, stock, today, logs[number]):
                worked[number, row.lift] = row
    found = [(case.episode.pk, worked.get((case.episode.pk, row.lift))) for case, row in pairs]
    return tuple(
        ToDecide(who=whos[number], proposal=proposal, sign=sign(proposal.change))
        for number, proposal in found
        if proposal is not None and proposal.plan.load is not None
    )


def _ask(pairs: Sequence[Pair], whos: Whos, now: datetime) -> tuple[ToAsk, ...]:
    asked = [(whos[case.episode.pk], row) for case, row in pairs]
    links = links_in_force([who.lifter for who, _ in asked], now)
    return tuple(ToAsk(who=who, trained_on=row.day, link=links.get(who.lifter.pk)) for who, row in asked)


def _begin(pairs: Sequence[Pair], whos: Whos) -> tuple[ToBegin, ...]:
    """The questions first, then a load, then a session."""
    numbers = [case.episode.pk for case, _ in pairs]
    asked, found = screened_at(numbers), with_a_load(numbers)
    return tuple(
        ToBegin(
            who=whos[number],
            code="unasked" if number not in asked else "untrained" if number in found else "unfound",
        )
        for number in numbers
    )


def _watch(case: Case, whos: Whos) -> ToWatch:
    """What there is to know of somebody with whom nothing is to be done."""
    who = whos[case.episode.pk]
    if case.hidden:
        return ToWatch(who=who, code="hidden")
    if not case.kept:
        return ToWatch(who=who, code="no-consent")
    if case.trained_today:
        return ToWatch(who=who, code="trained-today")
    newest = max(case.newest, key=lambda row: row.day)
    return ToWatch(who=who, code="decided", newest=newest)
