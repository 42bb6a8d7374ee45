"""What deciding about open episodes needs to know, read in a bounded number of queries, however many lifters and sessions."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db.models import F, Max

from floorward.actions.exposures import Checks, Trained, trained_since
from floorward.actions.locks import Lock
from floorward.actions.mornings import NEW_SYMPTOMS
from floorward.actions.opened import AnEpisode
from floorward.core.exposures import Exposure
from floorward.storage.models import Consent, Decision, DoneSet, Episode, MorningCheck, Screening
from floorward.tables import value
from floorward.units import Mass, Unit


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """What deciding about an episode needs to know.

    Attributes:
        trained: exposures of every sore lift, oldest first.
        decisions: by session and lift.
        lock: what keeps this lift from being trained.
        report: new symptoms on a morning that no screen has followed yet.
        spread: whether a set told of symptoms that spread, and no screen has followed yet.
        accepted: lifts and heights [mm] at which a search found an acceptable load.
        kept: whether a consent is in force; without one nothing of this is shown.
    """

    episode: Episode
    trained: tuple[Trained, ...]
    checks: Checks
    decisions: Mapping[tuple[int, str], Decision]
    lock: Lock | None
    report: MorningCheck | None
    spread: bool
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
    trained = trained_since(episodes, since, checks)
    decisions = _decisions(ids, since)
    locks, screened = locks_on(episodes), screened_at(ids)
    accepted, consents, spread = _accepted(ids), consents_of(episodes), spreading_at(ids)
    reports = reported(ids)
    return {
        row.pk: History(
            episode=row,
            trained=tuple(trained[row.pk]),
            checks=checks[row.pk],
            decisions=decisions[row.pk],
            lock=locks.get(row.pk),
            report=open_report_in(reports[row.pk], screened.get(row.pk)),
            spread=is_open(spread.get(row.pk), screened.get(row.pk)),
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


def trained_between(episode: Episode, since: date, until: date) -> tuple[tuple[Trained, ...], Checks]:
    """The exposures of one episode on the days from `since` to `until`, oldest first, and all mornings from `since` on."""
    checks = _checks([episode.pk], since)
    found = trained_since([episode], since, checks)[episode.pk]
    return tuple(row for row in found if row.session.day <= until), checks[episode.pk]


def _decisions(ids: Iterable[int], since: date) -> dict[int, dict[tuple[int, str], Decision]]:
    found: dict[int, dict[tuple[int, str], Decision]] = defaultdict(dict)
    rows = Decision.objects.filter(episode__in=ids, session__day__gte=since).select_related("by")
    for row in rows:
        found[row.episode_id][row.session_id, row.lift] = row
    return found


def locks_on(episodes: Sequence[AnEpisode]) -> dict[int, Lock]:
    """What keeps each episode's lift from being trained: a lock on the whole person, else one on its own region."""
    lifters = {episode.lifter_id for episode in episodes}
    rows = Screening.objects.filter(episode__lifter__in=lifters, clearances=None).exclude(locks="none")
    holding = list(rows.select_related("episode"))
    found = {episode.pk: _lock_on(episode, holding) for episode in episodes}
    return {number: lock for number, lock in found.items() if lock is not None}


def screened_at(ids: Iterable[int]) -> dict[int, datetime]:
    """When each episode's screen was last asked."""
    rows = Screening.objects.filter(episode__in=ids).values_list("episode_id")
    return dict(rows.annotate(newest=Max("at")).order_by())


def reported(ids: Iterable[int]) -> dict[int, dict[date, MorningCheck]]:
    """The mornings of each episode that told of new symptoms, by day, however long ago: only a screen settles them."""
    found: dict[int, dict[date, MorningCheck]] = defaultdict(dict)
    for row in MorningCheck.objects.filter(episode__in=ids, new_symptoms__in=NEW_SYMPTOMS):
        found[row.episode_id][row.day] = row
    return found


def spreading_at(ids: Iterable[int]) -> dict[int, datetime]:
    """When a set, a test included, last told of symptoms that spread, of those episodes in which one did, however long ago."""
    mine = set(ids)
    # such sets are few: all of them are looked at by their own index, not every session of these episodes for one
    rows = DoneSet.objects.filter(spreading=True, undone_at=None)
    newest = rows.values_list("session__episode_id").annotate(newest=Max("at")).order_by()
    return {number: at for number, at in newest if number in mine}


def is_open(told_at: datetime | None, screened: datetime | None) -> bool:
    """Whether no screen has followed what was told, if anything was."""
    return told_at is not None and (screened is None or told_at > screened)


def open_report_in(checks: Checks, screened: datetime | None) -> MorningCheck | None:
    """The newest of these mornings with new symptoms that no screen has followed."""
    newest = max(checks.values(), key=lambda check: check.at, default=None)
    return newest if newest and is_open(newest.at, screened) else None


def _lock_on(episode: AnEpisode, locks: Iterable[Screening]) -> Lock | None:
    mine = [row for row in locks if row.episode.lifter_id == episode.lifter_id]
    holding = [row for row in mine if row.locks == "person" or row.episode_id == episode.pk]
    first = min(holding, key=lambda row: row.locks != "person", default=None)
    if first is None:
        return None
    return Lock(screening=first, whole_person=first.locks == "person", region=first.episode.region)


def _accepted(ids: Iterable[int]) -> dict[int, set[tuple[str, int]]]:
    rows = DoneSet.objects.filter(session__episode__in=ids, kind=DoneSet.Kind.TEST, undone_at=None)
    good = rows.filter(acceptable=True, spreading=False, pain__lte=F("search__ceiling"))
    found: dict[int, set[tuple[str, int]]] = defaultdict(set)
    for episode_id, lift, height_mm in good.values_list(
        "session__episode_id", "lift", "height_mm"
    ).distinct():
        found[episode_id].add((lift, height_mm))
    return found


def with_a_load(ids: Iterable[int]) -> set[int]:
    """Which of these episodes have had a test that was accepted, ever."""
    return set(_accepted(ids))


def consents_of(episodes: Iterable[AnEpisode]) -> set[int]:
    """The lifters of these episodes who have agreed that health answers are kept."""
    lifters = {episode.lifter_id for episode in episodes}
    return set(
        Consent.objects.filter(lifter__in=lifters, withdrawn_at=None).values_list("lifter_id", flat=True)
    )


def comparable(rows: Sequence[Trained]) -> tuple[Exposure, ...]:
    """The exposures with their loads in the unit of the newest."""
    unit = rows[-1].unit
    return tuple(
        row.exposure
        if row.unit == unit
        else replace(row.exposure, load=in_unit(row.exposure.load, row.unit, unit))
        for row in rows
    )


def in_unit(load: Decimal, unit: str, wanted: Unit) -> Decimal:
    """A load in another unit, for comparing only."""
    return Mass(load, Unit(unit)).to(wanted).value
