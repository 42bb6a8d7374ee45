"""What Today reads: the open episodes and what happened lately in each, in a fixed number of queries.

Only what tells the lanes apart is read for everybody, and as bare numbers; what a slip says in full is worked out for the slips
that are shown.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Q

from floorward.actions.histories import (
    consents_of,
    is_open,
    locks_on,
    open_report_in,
    reported,
    screened_at,
    spreading_at,
)
from floorward.actions.locks import Lock
from floorward.actions.opened import Opened
from floorward.actions.reviews import ill_mornings
from floorward.storage.models import (
    Decision,
    DoneSet,
    Episode,
    Gym,
    MorningCheck,
    Review,
    Session,
    Staff,
)
from floorward.tables import value


@dataclass(frozen=True, slots=True, kw_only=True)
class Newest:
    """The newest session of a sore lift."""

    session_id: int
    day: date
    lift: str
    decision: Decision | None

    @property
    def is_decided(self) -> bool:
        """Whether a decision stands."""
        return self.decision is not None and not self.decision.outdated


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One open episode with what happened lately.

    Attributes:
        report, spread: new symptoms told on a morning, or in a set, however long ago, that no screen has followed yet.
        scores: of the last mornings, by their day: as many as tell who is to be asked and whether they rise.
        nights_lost, unwell: the mornings that told of a night without sleep, of feeling ill.
        befores: bad scores before the warm-up, by the day of the session.
        trains_today: whether a session of theirs is planned or begun today.
        trained_today: whether a test or work set of a sore lift was done today.
        hidden: whether whoever looks is not assigned to the lifter; then nothing of it counts as kept.
    """

    episode: Opened
    kept: bool
    lock: Lock | None
    report: MorningCheck | None
    spread: bool
    scores: Mapping[date, int]
    nights_lost: frozenset[date]
    unwell: frozenset[date]
    befores: Mapping[date, int]
    newest: tuple[Newest, ...]
    trains_today: bool
    trained_today: bool
    held: tuple[Review, ...]
    hidden: bool = False

    def answered(self, day: date) -> bool:
        """Whether the morning of `day` has a score."""
        return day in self.scores

    def undecided(self, today: date) -> tuple[Newest, ...]:
        """The lifts trained before today whose newest session has no decision that stands."""
        return tuple(row for row in self.newest if row.day < today and not row.is_decided)

    def newest_of(self, lift: str) -> Newest | None:
        """The newest session of one lift."""
        return next((row for row in self.newest if row.lift == lift), None)


def cases(gym: Gym, today: date, coach: Staff | None) -> tuple[Case, ...]:
    """The open episodes of the gym, or of one coach's lifters, by name."""
    rows = Episode.objects.filter(lifter__gym=gym, closed_at=None)
    if coach is not None:
        rows = rows.filter(lifter__coach=coach)
    read = rows.order_by("lifter__name", "pk").values_list(*Opened._fields)
    # asked for where they are, and not by hundreds of numbers that each query would carry there and back
    same = rows.order_by().values_list("pk", flat=True)
    return _cases([Opened(*row) for row in read], same, today)


def case_of(episode: Episode, today: date) -> Case:
    """One open episode."""
    row = Opened(*(getattr(episode, name) for name in Opened._fields))
    return _cases([row], [row.pk], today)[0]


def _cases(episodes: Sequence[Opened], ids: Iterable[int], today: date) -> tuple[Case, ...]:
    """What is known of these episodes, whose numbers are `ids`."""
    since = today - timedelta(days=value("decisions", "look_back"))
    consents, locks, held = consents_of(episodes), locks_on(episodes), _held(ids)
    lately = today - timedelta(days=_days_told())
    scores, befores = scores_of(ids, lately), _befores(ids, lately)
    told, reports, spread = _told(ids, since), reported(ids), spreading_at(ids)
    screened = screened_at({*told, *reports, *spread})
    newest, now = _newest(ids, since), _sessions(ids, today)
    trains, trained = set(now.values()), _trained(now)
    return tuple(
        Case(
            episode=row,
            kept=row.lifter_id in consents,
            lock=locks.get(row.pk),
            report=open_report_in(reports[row.pk], screened.get(row.pk)),
            spread=is_open(spread.get(row.pk), screened.get(row.pk)),
            scores=scores[row.pk],
            nights_lost=frozenset(check.day for check in told[row.pk] if check.night_lost),
            unwell=ill_mornings(told[row.pk], screened.get(row.pk)),
            befores=befores[row.pk],
            newest=tuple(newest[row.pk].values()),
            trains_today=row.pk in trains,
            trained_today=row.pk in trained,
            held=tuple(held[row.pk]),
        )
        for row in episodes
    )


def _days_told() -> int:
    """How many days back a score can still tell the lanes apart [d]."""
    run = max(value("clock", "rising_mornings"), value("clock", "rest_pain_days"))
    return max(int(run + value("clock", "recent")), int(value("decisions", "late_morning")) + 1)


def scores_of(ids: Iterable[int], since: date) -> dict[int, dict[date, int]]:
    """The scores of the mornings from `since` on by episode and day, oldest first."""
    found: dict[int, dict[date, int]] = defaultdict(dict)
    rows = MorningCheck.objects.filter(episode__in=ids, day__gte=since, score__isnull=False)
    for episode_id, day, score in rows.order_by("day").values_list("episode_id", "day", "score"):
        found[episode_id][day] = score
    return found


def _told(ids: Iterable[int], since: date) -> dict[int, list[MorningCheck]]:
    """The mornings that told of a night lost or of feeling ill."""
    more = Q(night_lost=True) | Q(unwell=True)
    found: dict[int, list[MorningCheck]] = defaultdict(list)
    for row in MorningCheck.objects.filter(more, episode__in=ids, day__gte=since):
        found[row.episode_id].append(row)
    return found


def _befores(ids: Iterable[int], since: date) -> dict[int, dict[date, int]]:
    """The scores before the warm-up that count as bad; the others are many and call for nothing."""
    bad = Session.objects.filter(
        episode__in=ids, day__gte=since, before__gte=value("clock", "rest_pain")
    ).order_by("day")
    found: dict[int, dict[date, int]] = defaultdict(dict)
    for episode_id, day, score in bad.values_list("episode_id", "day", "before"):
        found[episode_id][day] = max(score, found[episode_id].get(day, score))
    return found


def _sessions(ids: Iterable[int], today: date) -> dict[int, int]:
    """The episodes of today's sessions, by the number of the session."""
    rows = Session.objects.filter(episode__in=ids, day=today).order_by()
    return dict(rows.values_list("pk", "episode_id"))


def _trained(now: Mapping[int, int]) -> set[int]:
    """The episodes whose sore lifts were tested or trained in the sessions `now`."""
    done = DoneSet.objects.filter(session__in=list(now), sore=True, undone_at=None)
    worked = done.filter(kind__in=(DoneSet.Kind.TEST, DoneSet.Kind.WORK)).order_by()
    return {now[number] for number in worked.values_list("session_id", flat=True).distinct()}


def _newest(ids: Iterable[int], since: date) -> dict[int, dict[str, Newest]]:
    """The newest session of each sore lift. Each episode's sessions are gone through oldest first, so that the newest stays."""
    decided = Decision.objects.filter(episode__in=ids, session__day__gte=since)
    decisions = {(row.session_id, row.lift): row for row in decided}
    lifts = _lifts(ids, since)
    sessions = Session.objects.filter(episode__in=ids, day__gte=since)
    in_turn = sessions.order_by("episode_id", "day", "started_at").values_list("pk", "episode_id")
    last = {(number, lift): session_id for session_id, number in in_turn for lift in lifts[session_id]}
    days = dict(Session.objects.filter(pk__in=set(last.values())).order_by().values_list("pk", "day"))
    found: dict[int, dict[str, Newest]] = defaultdict(dict)
    for (number, lift), session_id in last.items():
        if session_id not in days:  # erased since
            continue
        decision = decisions.get((session_id, lift))
        found[number][lift] = Newest(
            session_id=session_id, day=days[session_id], lift=lift, decision=decision
        )
    return found


def _lifts(ids: Iterable[int], since: date) -> dict[int, list[str]]:
    """The sore lifts trained in each session.

    Asked by session and not joined, the database reads an index of these sets alone, in its order, and sorts nothing.
    """
    sessions = Session.objects.filter(episode__in=ids, day__gte=since).order_by().values("pk")
    sets = DoneSet.objects.filter(session__in=sessions, sore=True, undone_at=None)
    worked = sets.filter(kind=DoneSet.Kind.WORK, pain__isnull=False).order_by()
    found: dict[int, list[str]] = defaultdict(list)
    for session_id, lift in worked.values_list("session_id", "lift").distinct():
        found[session_id].append(lift)
    return found


def _held(ids: Iterable[int]) -> dict[int, list[Review]]:
    found: dict[int, list[Review]] = defaultdict(list)
    for row in Review.objects.filter(episode__in=ids):
        found[row.episode_id].append(row)
    return found
