"""What Today reads: the open episodes and what happened lately in each, in a fixed number of queries.

Only what tells the lanes apart is read for everybody; what a slip says in full is worked out for the slips that are shown.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import Max, Min

from floorward.actions.histories import (
    consents_of,
    in_unit,
    locks_on,
    open_report_in,
    screened_at,
    spread_open,
)
from floorward.actions.locks import Lock
from floorward.actions.mornings import NEW_SYMPTOMS
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
from floorward.units import Unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Newest:
    """The newest session of a sore lift: the heaviest work set and the lowest start."""

    session_id: int
    day: date
    lift: str
    load: Decimal
    unit: str
    height_mm: int
    decision: Decision | None

    @property
    def is_decided(self) -> bool:
        """Whether a decision stands."""
        return self.decision is not None and not self.decision.outdated


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One open episode with what happened lately.

    Attributes:
        report, spread: new symptoms told on a morning, or in a set, that no screen has followed yet.
        scores: of the mornings, by their day.
        nights_lost, unwell: the mornings that told of a night without sleep, of feeling ill.
        befores: scores before the warm-up, by the day of the session.
        session: today's, if there is one.
        trained_today: whether a test or work set of a sore lift was done today.
        hidden: whether whoever looks is not assigned to the lifter; then nothing of it counts as kept.
    """

    episode: Episode
    kept: bool
    lock: Lock | None
    report: MorningCheck | None
    spread: bool
    scores: Mapping[date, int]
    nights_lost: frozenset[date]
    unwell: frozenset[date]
    befores: Mapping[date, int]
    newest: tuple[Newest, ...]
    session: Session | None
    trained_today: bool
    held: tuple[Review, ...]
    hidden: bool = False

    def answered(self, day: date) -> bool:
        """Whether the morning of `day` has a score."""
        return day in self.scores

    def undecided(self, today: date) -> tuple[Newest, ...]:
        """The lifts trained before today whose newest session has no decision that stands."""
        return tuple(row for row in self.newest if row.day < today and not row.is_decided)

    def place(self) -> tuple[float, int] | None:
        """Where the bar of the provoking lift stands: share of the usual load, and height; None while nothing was trained."""
        row = next((row for row in self.newest if row.lift == self.episode.lift), None)
        if row is None:
            return None
        decided = row.decision if row.is_decided else None
        load, height_mm = (
            (decided.load, decided.height_mm) if decided and decided.load else (row.load, row.height_mm)
        )
        usual = in_unit(self.episode.usual_load, self.episode.unit, Unit(row.unit))
        return (float(load / usual) if usual else 0.0), height_mm


def cases(gym: Gym, today: date, coach: Staff | None) -> tuple[Case, ...]:
    """The open episodes of the gym, or of one coach's lifters, by name."""
    rows = Episode.objects.filter(lifter__gym=gym, closed_at=None).select_related(
        "lifter__gym", "lifter__coach"
    )
    if coach is not None:
        rows = rows.filter(lifter__coach=coach)
    return _cases(list(rows.order_by("lifter__name", "pk")), today)


def case_of(episode: Episode, today: date) -> Case:
    """One open episode."""
    return _cases([episode], today)[0]


def _cases(episodes: Sequence[Episode], today: date) -> tuple[Case, ...]:
    ids = [row.pk for row in episodes]
    since = today - timedelta(days=value("decisions", "look_back"))
    consents = consents_of(episodes)
    clocked = today - timedelta(days=value("clock", "most_days_window"))
    scores, nights, ill = _scores(ids, clocked), _nights_lost(ids, clocked), _ill(ids, clocked)
    befores, sessions = _befores(ids, clocked), _sessions(ids, today)
    screened, reports = screened_at(ids), _reports(ids, since)
    spread = spread_open(ids, since, screened)
    newest, held, locks = _newest(ids, since), _held(ids), locks_on(episodes)
    trained = _trained(ids, today)
    return tuple(
        Case(
            episode=row,
            kept=row.lifter_id in consents,
            lock=locks.get(row.pk),
            report=open_report_in(reports[row.pk], screened.get(row.pk)),
            spread=row.pk in spread,
            scores=scores[row.pk],
            nights_lost=frozenset(nights[row.pk]),
            unwell=ill_mornings(ill[row.pk], screened.get(row.pk)),
            befores=befores[row.pk],
            newest=tuple(newest[row.pk].values()),
            session=sessions.get(row.pk),
            trained_today=row.pk in trained,
            held=tuple(held[row.pk]),
        )
        for row in episodes
    )


def _scores(ids: Iterable[int], since: date) -> dict[int, dict[date, int]]:
    rows = MorningCheck.objects.filter(episode__in=ids, day__gte=since, score__isnull=False)
    return _by_day(rows.order_by("day").values_list("episode_id", "day", "score"))


def _nights_lost(ids: Iterable[int], since: date) -> dict[int, list[date]]:
    found: dict[int, list[date]] = defaultdict(list)
    rows = MorningCheck.objects.filter(episode__in=ids, day__gte=since, night_lost=True)
    for episode_id, day in rows.values_list("episode_id", "day"):
        found[episode_id].append(day)
    return found


def _ill(ids: Iterable[int], since: date) -> dict[int, list[MorningCheck]]:
    found: dict[int, list[MorningCheck]] = defaultdict(list)
    for row in MorningCheck.objects.filter(episode__in=ids, day__gte=since, unwell=True):
        found[row.episode_id].append(row)
    return found


def _befores(ids: Iterable[int], since: date) -> dict[int, dict[date, int]]:
    rows = Session.objects.filter(episode__in=ids, day__gte=since, before__isnull=False)
    return _by_day(rows.order_by("day").values_list("episode_id", "day", "before"))


def _by_day(rows: Iterable[tuple[int | None, date, int | None]]) -> dict[int, dict[date, int]]:
    found: dict[int, dict[date, int]] = defaultdict(dict)
    for episode_id, day, score in rows:
        if episode_id is not None and score is not None:
            found[episode_id][day] = score
    return found


def _reports(ids: Iterable[int], since: date) -> dict[int, dict[date, MorningCheck]]:
    found: dict[int, dict[date, MorningCheck]] = defaultdict(dict)
    for check in MorningCheck.objects.filter(episode__in=ids, day__gte=since, new_symptoms__in=NEW_SYMPTOMS):
        found[check.episode_id][check.day] = check
    return found


def _sessions(ids: Iterable[int], today: date) -> dict[int, Session]:
    rows = Session.objects.filter(episode__in=ids, day=today).order_by("started_at")
    return {row.episode_id: row for row in rows if row.episode_id is not None}


def _trained(ids: Iterable[int], today: date) -> set[int]:
    """The episodes whose sore lifts were tested or trained today."""
    done = DoneSet.objects.filter(
        session__episode__in=ids, session__day__gte=today, sore=True, undone_at=None
    )
    worked = done.exclude(kind=DoneSet.Kind.WARM_UP).values_list("session__episode_id", flat=True)
    return {number for number in worked.distinct().order_by() if number is not None}


def _newest(ids: Iterable[int], since: date) -> dict[int, dict[str, Newest]]:
    sets = DoneSet.objects.filter(
        session__episode__in=ids, session__day__gte=since, sore=True, undone_at=None
    )
    sets = sets.filter(kind=DoneSet.Kind.WORK, pain__isnull=False).order_by(
        "session__day", "session__started_at"
    )
    keys = ("session__episode_id", "session_id", "session__day", "session__started_at", "lift", "unit")
    decided = Decision.objects.filter(episode__in=ids, session__day__gte=since)
    decisions = {(row.session_id, row.lift): row for row in decided}
    found: dict[int, dict[str, Newest]] = defaultdict(dict)
    for episode_id, session_id, day, _, lift, unit, load, height_mm in sets.values_list(*keys).annotate(
        heaviest=Max("load"), lowest=Min("height_mm")
    ):
        found[episode_id][lift] = Newest(
            session_id=session_id,
            day=day,
            lift=lift,
            load=load,
            unit=unit,
            height_mm=height_mm,
            decision=decisions.get((session_id, lift)),
        )
    return found


def _held(ids: Iterable[int]) -> dict[int, list[Review]]:
    found: dict[int, list[Review]] = defaultdict(list)
    for row in Review.objects.filter(episode__in=ids):
        found[row.episode_id].append(row)
    return found
