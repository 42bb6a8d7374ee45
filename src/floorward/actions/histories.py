"""What was logged of open episodes, as exposures: read in a bounded number of queries, however many lifters and sessions.

An exposure is one session's work sets of one sore lift. Where a lift was done at several heights in one session, the lowest
is the exposure, because it is nearest the full range; the worst pain counts from all of them.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db.models import F, Max

from floorward.actions.locks import Lock
from floorward.actions.mornings import NEW_SYMPTOMS
from floorward.actions.reach import snapped_mm
from floorward.core.rules import Exposure
from floorward.storage.models import Consent, Decision, DoneSet, Episode, MorningCheck, Screening, Session
from floorward.tables import value
from floorward.units import Mass, Unit

Checks = Mapping[date, MorningCheck]


@dataclass(frozen=True, slots=True, kw_only=True)
class Trained:
    """An exposure with the rows it was read from.

    Attributes:
        pattern: the heaviest work set at the exposure's height; it says which bar and collars.
        spread_at: when spreading or new symptoms were reported; None where they were not.
    """

    session: Session
    lift: str
    exposure: Exposure
    unit: Unit
    pattern: DoneSet
    spread_at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """What deciding about an episode needs to know.

    Attributes:
        trained: exposures of every sore lift, oldest first.
        decisions: by session and lift.
        lock: what keeps this lift from being trained.
        report: new symptoms that no screen has followed yet.
        accepted: lifts and heights [mm] at which a search found an acceptable load.
        kept: whether a consent is in force; without one nothing of this is shown.
    """

    episode: Episode
    trained: tuple[Trained, ...]
    checks: Checks
    decisions: Mapping[tuple[int, str], Decision]
    lock: Lock | None
    report: MorningCheck | None
    screened_at: datetime | None
    accepted: frozenset[tuple[str, int]]
    kept: bool

    def of(self, lift: str) -> tuple[Trained, ...]:
        """The exposures of one lift."""
        return tuple(row for row in self.trained if row.lift == lift)

    @property
    def lifts(self) -> tuple[str, ...]:
        """The sore lifts trained, the provoking one first."""
        lifts = dict.fromkeys(row.lift for row in self.trained)
        return tuple(sorted(lifts, key=lambda lift: (lift != self.episode.lift, lift)))


def history_of(episode: Episode, today: date) -> History:
    """The history of one episode, back from its newest session."""
    newest = episode.sessions.aggregate(day=Max("day"))["day"] or today
    return histories([episode], newest)[episode.pk]


def histories(episodes: Sequence[Episode], newest: date) -> dict[int, History]:
    """The histories of several episodes by their number, back from `newest` by the window of the decisions table."""
    since = newest - timedelta(days=value("decisions", "window"))
    ids = [episode.pk for episode in episodes]
    checks = _checks(ids, since)
    trained = _trained(ids, since, checks)
    decisions = _decisions(ids, since)
    locks, screened = _locks(episodes), _screened(ids)
    accepted, consents = _accepted(ids), _consents(episodes)
    return {
        row.pk: History(
            episode=row,
            trained=tuple(trained[row.pk]),
            checks=checks[row.pk],
            decisions=decisions[row.pk],
            lock=_lock_on(row, locks),
            report=_open_report(checks[row.pk], screened.get(row.pk)),
            screened_at=screened.get(row.pk),
            accepted=frozenset(accepted[row.pk]),
            kept=row.lifter_id in consents,
        )
        for row in episodes
    }


def _checks(ids: Iterable[int], since: date) -> dict[int, dict[date, MorningCheck]]:
    found: dict[int, dict[date, MorningCheck]] = defaultdict(dict)
    for check in MorningCheck.objects.filter(episode__in=ids, day__gte=since).select_related("entered_by"):
        found[check.episode_id][check.day] = check
    return found


def _trained(ids: Iterable[int], since: date, checks: Mapping[int, Checks]) -> dict[int, list[Trained]]:
    rows = DoneSet.objects.filter(
        session__episode__in=ids, session__day__gte=since, sore=True, undone_at=None
    )
    rows = rows.filter(kind=DoneSet.Kind.WORK, pain__isnull=False).select_related(
        "session__lifter", "bar", "line__collar"
    )
    groups: dict[tuple[int, str], list[DoneSet]] = defaultdict(list)
    for row in rows.order_by("session__day", "session__started_at", "at", "id"):
        groups[row.session_id, row.lift].append(row)
    found: dict[int, list[Trained]] = defaultdict(list)
    for (_, lift), sets in groups.items():
        episode_id = sets[0].session.episode_id
        assert episode_id is not None  # noqa: S101 - the query asked for episodes
        found[episode_id].append(_exposure(lift, sets, checks.get(episode_id, {})))
    return found


def _exposure(lift: str, sets: Sequence[DoneSet], checks: Checks) -> Trained:
    session = sets[0].session
    lowest = min(snapped_mm(row) for row in sets)
    low = [row for row in sets if snapped_mm(row) == lowest]
    pattern = max(low, key=lambda row: (row.load, row.at))
    morning = checks.get(session.day + timedelta(days=1))
    spread = [row.at for row in sets if row.spreading]
    if morning is not None and morning.new_symptoms in NEW_SYMPTOMS:
        spread.append(morning.at)
    short, hardest = _shortest(low), max((row.rpe for row in low if row.rpe is not None), default=None)
    exposure = Exposure(
        day=session.day,
        load=pattern.load.normalize(),
        setup=f"{lift}/{pattern.depth_deg}/{pattern.box_mm}",
        height_mm=lowest,
        sets=len(low),
        before=session.before,
        during=max(row.pain or 0 for row in sets),
        after=session.after,
        morning=_score(morning),
        morning_of_day=_score(checks.get(session.day)),
        acceptable=all(row.acceptable is not False for row in sets),
        spreading=bool(spread),
        reps=short.reps,
        target_reps=_target(short),
        rpe=None if hardest is None else float(hardest),
    )
    spread_at = max(spread, default=None)
    return Trained(
        session=session,
        lift=lift,
        exposure=exposure,
        unit=Unit(pattern.unit),
        pattern=pattern,
        spread_at=spread_at,
    )


def _shortest(sets: Sequence[DoneSet]) -> DoneSet:
    """The set that fell shortest of its target."""
    return min(sets, key=lambda row: (row.reps - _target(row), row.reps))


def _target(row: DoneSet) -> int:
    return row.reps if row.target_reps is None else row.target_reps


def _score(check: MorningCheck | None) -> int | None:
    return None if check is None else check.score


def _decisions(ids: Iterable[int], since: date) -> dict[int, dict[tuple[int, str], Decision]]:
    found: dict[int, dict[tuple[int, str], Decision]] = defaultdict(dict)
    rows = Decision.objects.filter(episode__in=ids, session__day__gte=since).select_related("by")
    for row in rows:
        found[row.episode_id][row.session_id, row.lift] = row
    return found


def _locks(episodes: Iterable[Episode]) -> list[Screening]:
    lifters = {episode.lifter_id for episode in episodes}
    rows = Screening.objects.filter(episode__lifter__in=lifters, clearances=None).exclude(locks="none")
    return list(rows.select_related("episode"))


def _lock_on(episode: Episode, locks: Iterable[Screening]) -> Lock | None:
    """The lock on the whole person, else the one on this episode's region."""
    mine = [row for row in locks if row.episode.lifter_id == episode.lifter_id]
    holding = [row for row in mine if row.locks == "person" or row.episode_id == episode.pk]
    first = min(holding, key=lambda row: row.locks != "person", default=None)
    if first is None:
        return None
    return Lock(screening=first, whole_person=first.locks == "person", region=first.episode.region)


def _screened(ids: Iterable[int]) -> dict[int, datetime]:
    rows = Screening.objects.filter(episode__in=ids).values_list("episode_id")
    return dict(rows.annotate(newest=Max("at")).order_by())


def _open_report(checks: Checks, screened_at: datetime | None) -> MorningCheck | None:
    said = [check for check in checks.values() if check.new_symptoms in NEW_SYMPTOMS]
    newest = max(said, key=lambda check: check.at, default=None)
    return newest if newest and (screened_at is None or newest.at > screened_at) else None


def _accepted(ids: Iterable[int]) -> dict[int, set[tuple[str, int]]]:
    rows = DoneSet.objects.filter(session__episode__in=ids, kind=DoneSet.Kind.TEST, undone_at=None)
    good = rows.filter(acceptable=True, spreading=False, pain__lte=F("search__ceiling"))
    found: dict[int, set[tuple[str, int]]] = defaultdict(set)
    for episode_id, lift, height_mm in good.values_list(
        "session__episode_id", "lift", "height_mm"
    ).distinct():
        found[episode_id].add((lift, height_mm))
    return found


def _consents(episodes: Iterable[Episode]) -> set[int]:
    lifters = {episode.lifter_id for episode in episodes}
    return set(
        Consent.objects.filter(lifter__in=lifters, withdrawn_at=None).values_list("lifter_id", flat=True)
    )


def in_unit(load: Decimal, unit: str, wanted: Unit) -> Decimal:
    """A load in another unit, for comparing only."""
    return Mass(load, Unit(unit)).to(wanted).value
