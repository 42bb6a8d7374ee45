"""What a coach sees of a lifter before anything else, and the list of all lifters."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from floorward.actions.access import seen_by
from floorward.actions.bar_places import bar_places
from floorward.actions.board import Case, case_of
from floorward.actions.decisions import Proposal, all_proposals
from floorward.actions.histories import locks_on, with_a_load
from floorward.actions.lifters import consent_of, needs_guardian
from floorward.actions.links import LinkView, link_in_force
from floorward.actions.locks import Lock
from floorward.actions.mornings import gym_day
from floorward.actions.reviews import reviews_of
from floorward.actions.screening import screen_due
from floorward.core import clock
from floorward.core.days import age_years
from floorward.core.lifts import Family, catalogue
from floorward.core.strength import Estimate, estimate
from floorward.reports.drawings.mark import mark, sign
from floorward.reports.drawings.svg import Drawing
from floorward.storage.models import BestSet, Consent, Episode, Gym, Lifter, Session, Staff


@dataclass(frozen=True, slots=True, kw_only=True)
class LifterRow:
    """One line of the list. Without consent, or to somebody who is not assigned, the region is not shown."""

    lifter: Lifter
    episode: Episode | None
    lock: Lock | None
    kept: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Best:
    """A best set with the heaviest single it points to, as a range in its own unit; None where it was too light to tell."""

    row: BestSet
    single: Estimate | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Overview:
    """A lifter's first page.

    Attributes:
        next: what comes next: consent, locked, screen, decide, ask, session, find, plan or start.
        proposals: what waits for a decision; `latest` what was proposed or decided for the provoking lift.
        place: the small sign of where the bar stands.
    """

    consent: Consent | None
    guardian_needed: bool
    age: int
    episode: Episode | None
    others_open: tuple[Episode, ...]
    day_number: int
    earlier: tuple[Episode, ...]
    lock: Lock | None
    next: str
    proposals: tuple[Proposal, ...]
    latest: Proposal | None
    sign: Drawing | str
    place: Drawing | str
    reviews: tuple[clock.Review, ...]
    morning_answered: bool
    best_sets: tuple[Best, ...]
    session_today: Session | None
    link: LinkView | None

    @property
    def shown_episode(self) -> Episode | None:
        """The open episode where its region may be shown."""
        return self.episode if self.consent else None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """What the choice of the next thing to do rests on."""

    episode: Episode | None
    case: Case | None
    consent: Consent | None
    lock: Lock | None
    waiting: Sequence[Proposal]
    worked: Sequence[Proposal]
    session: Session | None


def lifter_rows(gym: Gym, query: str = "", *, viewer: Staff) -> tuple[LifterRow, ...]:
    """Everybody whose name contains `query`, people with an open episode first."""
    found = list(gym.lifters.filter(name__icontains=query).select_related("coach"))
    episodes = list(Episode.objects.filter(lifter__gym=gym, closed_at=None).order_by("started_at"))
    consents = set(
        Consent.objects.filter(lifter__gym=gym, withdrawn_at=None).values_list("lifter_id", flat=True)
    )
    shown = consents & seen_by(viewer)
    locks = locks_on(episodes)
    newest = {row.lifter_id: row for row in episodes}
    held = {row.lifter_id: locks[row.pk] for row in episodes if row.pk in locks}
    rows = [
        LifterRow(lifter=row, episode=newest.get(row.pk), lock=held.get(row.pk), kept=row.pk in shown)
        for row in found
    ]
    return tuple(sorted(rows, key=lambda row: row.episode is None))


def overview(lifter: Lifter, now: datetime) -> Overview:
    """What is going on with this lifter."""
    today = gym_day(lifter.gym, now)
    episodes = list(lifter.episodes.all())
    open_ones = [row for row in episodes if row.closed_at is None]
    episode = open_ones[0] if open_ones else None
    consent, session = consent_of(lifter), lifter.sessions.filter(day=today).first()
    case = case_of(episode, today) if episode else None
    lock = next(iter(locks_on(open_ones).values()), None) if open_ones else None
    worked = all_proposals(episode, now) if episode and consent else ()
    waiting = tuple(
        row for row in worked if not row.decided and not row.awaits_morning and row.last.day < today
    )
    seen = _Seen(
        episode=episode,
        case=case,
        consent=consent,
        lock=lock,
        waiting=waiting,
        worked=worked,
        session=session,
    )
    latest = next((row for row in worked if episode and row.lift == episode.lift), None)
    return Overview(
        consent=consent,
        guardian_needed=needs_guardian(lifter, today),
        age=age_years(lifter.born_year, today),
        episode=episode,
        others_open=tuple(open_ones[1:]),
        day_number=(today - episode.since).days if episode else 0,
        earlier=tuple(row for row in episodes if row.closed_at),
        lock=lock,
        next=_next(now, today, seen),
        proposals=waiting,
        latest=latest,
        sign=sign(waiting[0].change) if waiting and waiting[0].change != "stop" else "",
        place=_place(case, episode) if case and episode and consent else "",
        reviews=clock.to_hold(reviews_of(episode, now), today) if episode and consent else (),
        morning_answered=case is not None and case.answered(today),
        best_sets=tuple(_best(row) for row in lifter.best_sets.all()),
        session_today=session,
        link=link_in_force(lifter, now),
    )


def open_episode(lifter: Lifter) -> Episode | None:
    """The newest episode that is not closed."""
    return next((row for row in lifter.episodes.all() if row.closed_at is None), None)


def _next(now: datetime, today: date, seen: _Seen) -> str:
    """What to do first; each answer is the name of a block on the page."""
    under_way = seen.session is not None and seen.session.ended_at is None
    if seen.lock is not None:
        return "locked"
    if seen.consent is None:
        return "consent"
    if seen.episode is None or seen.case is None:
        return "session" if under_way else "start"
    if seen.case.report is not None or seen.case.spread:
        return "screen"
    if seen.waiting:
        return "decide"
    return (
        "screen"
        if screen_due(seen.episode, now)
        else _next_step(seen.episode, today, seen, under_way=under_way)
    )


def _next_step(episode: Episode, today: date, seen: _Seen, *, under_way: bool) -> str:
    """What to do first in an episode that nothing stops and nothing waits in."""
    if under_way:
        return "session"
    if any(row.awaits_morning and row.last.day < today for row in seen.worked):
        return "ask"
    return "plan" if seen.worked or with_a_load([episode.pk]) else "find"


def _place(case: Case, episode: Episode) -> Drawing:
    place = bar_places([(case, episode)]).get(episode.pk)
    return mark(*place, wide=True) if place else mark(None, wide=True)


def _best(row: BestSet) -> Best:
    lift = catalogue().get(row.lift)
    pull = lift is not None and lift.family == Family.PULL
    rpe = None if row.rpe is None else float(row.rpe)
    return Best(row=row, single=estimate(float(row.load), row.reps, rpe, pull=pull) if row.load > 0 else None)
