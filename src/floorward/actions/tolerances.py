"""From a lifter's rows to the tolerance log: every set of the sore region that was scored, with what it asked and the morning after.

The log is read anew each time. What is kept between pages is only the answer to the very same log.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from functools import lru_cache

from django.db.models import prefetch_related_objects

from floorward.actions.asked import Asked, asked_of
from floorward.actions.reach import full_mm, snapped_mm
from floorward.core.days import morning_of
from floorward.core.exercises import key_of
from floorward.core.pain import baseline
from floorward.core.records import SetUp
from floorward.core.tolerance import Priors, Report, Tolerance, tolerance_of
from floorward.storage import reads
from floorward.storage.models import DoneSet, Episode, MorningCheck, Session
from floorward.units import Mass, Unit, to_kg


@dataclass(frozen=True, slots=True, kw_only=True)
class Log:
    """The tolerance log of an episode.

    Attributes:
        full: what the painful lift asks, done in full.
        reports: in the order of the days, counted from the day it began.
        sets: what each report was read from, its heaviest set, in the same order.
    """

    episode: Episode
    began: date
    full: Asked
    priors: Priors
    reports: tuple[Report, ...]
    sets: tuple[DoneSet, ...]

    def tolerance(self, today: date) -> Tolerance:
        """What is believed on a day from everything done until then."""
        day = max((today - self.began).days, 0)
        return _kept(tuple(row for row in self.reports if row.day <= day), self.priors, day)

    def before_work_of(self, session: Session) -> Log:
        """The log without the work sets of `session`: what its plan rests on, the tests of that day among it."""
        stays = [
            (report, row)
            for report, row in zip(self.reports, self.sets, strict=True)
            if row.session_id != session.pk or row.kind == DoneSet.Kind.TEST
        ]
        return replace(
            self, reports=tuple(report for report, _ in stays), sets=tuple(row for _, row in stays)
        )

    def open_to(self, keys: Sequence[str]) -> Log:
        """The log with set-ups beside those that were done, each of which may suit this lifter better or worse than it should."""
        variations = tuple(sorted({*self.priors.variations, *keys} - {""}))
        return replace(self, priors=replace(self.priors, variations=variations))

    def asked(self, row: DoneSet) -> Asked | None:
        """What the set-up of a set asks of the sore region."""
        return asked_by(self.episode, setup_of(row)) if name_of(self.episode, row) else self.full


def log_of(episode: Episode) -> Log | None:
    """The log; None where mechanics know nothing of the painful lift, or no load of it was named."""
    return logs_of([episode])[episode.pk]


def logs_of(episodes: Sequence[Episode]) -> dict[int, Log | None]:
    """The logs of several episodes by their number, in three queries."""
    prefetch_related_objects([episode.lifter for episode in episodes], "measured_starts")
    rows: dict[int, list[DoneSet]] = defaultdict(list)
    for row in scored(episodes):
        rows[row.session.episode_id or 0].append(row)
    checks: dict[int, dict[date, MorningCheck]] = defaultdict(dict)
    for check in MorningCheck.objects.filter(episode__in=[episode.pk for episode in episodes]):
        checks[check.episode_id][check.day] = check
    return {episode.pk: _log(episode, rows[episode.pk], checks[episode.pk]) for episode in episodes}


def _log(episode: Episode, rows: Sequence[DoneSet], checks: Mapping[date, MorningCheck]) -> Log | None:
    full = asked_by(episode, SetUp(lift=episode.lift))
    if full is None or not episode.usual_load or not episode.load:
        return None
    began = min([episode.since, *(row.session.day for row in rows)])
    found = sorted(_reports(episode, full, rows, checks, began), key=lambda pair: pair[0].day)
    reports = tuple(report for report, _ in found)
    return Log(
        episode=episode,
        began=began,
        full=full,
        priors=_priors(episode, full, tuple(sorted({row.variation for row in reports} - {""}))),
        reports=reports,
        sets=tuple(row for _, row in found),
    )


def setup_of(row: DoneSet) -> SetUp:
    """The set-up of a set, as far as mechanics read it; what nobody would tell from full height is full height."""
    return SetUp(lift=row.lift, height_mm=snapped_mm(row), depth_deg=row.depth_deg, box_mm=row.box_mm)


def name_of(episode: Episode, row: DoneSet) -> str:
    """The name of a set's set-up in the log: empty for the painful lift done in full."""
    return name_at(episode, setup_of(row), full_mm(row))


def name_at(episode: Episode, setup: SetUp, whole_mm: int) -> str:
    """The name of a set-up in the log, where a full lift starts at `whole_mm`."""
    whole = setup.height_mm <= whole_mm and not setup.depth_deg and not setup.box_mm
    return "" if whole and setup.lift == episode.lift else key_of(setup)


def asked_by(episode: Episode, setup: SetUp) -> Asked | None:
    """What a set-up asks of the sore region; None where mechanics know nothing of the lift, or of the region."""
    region = episode.modelled_region
    if region is None:
        return None
    return asked_of(reads.person(episode.lifter), region, setup)


def kg(load: Decimal, unit: str) -> float:
    """A load of a row in kilograms."""
    return to_kg(Mass(load, Unit(unit)))


@lru_cache(maxsize=512)
def _kept(reports: tuple[Report, ...], priors: Priors, day: int) -> Tolerance:
    return tolerance_of(reports, priors, day)


def _priors(episode: Episode, full: Asked, variations: tuple[str, ...]) -> Priors:
    return Priors(
        usual_demand=full.demand(kg(episode.usual_load, episode.unit)),
        provoking_demand=full.demand(kg(episode.load, episode.unit)),
        provoking_pain=episode.pain,
        ceiling=episode.lifter.gym.ceiling_finding,
        variations=variations,
    )


def scored(episodes: Sequence[Episode]) -> list[DoneSet]:
    """Work sets and tests of the sore regions whose pain is known, in order."""
    rows = DoneSet.objects.filter(
        session__episode__in=[episode.pk for episode in episodes],
        kind__in=(DoneSet.Kind.WORK, DoneSet.Kind.TEST),
        sore=True,
        pain__isnull=False,
        undone_at=None,
    )
    return list(rows.select_related("session", "bar").order_by("session__day", "at", "id"))


_Found = tuple[Report, DoneSet]


def _reports(
    episode: Episode,
    full: Asked,
    rows: Sequence[DoneSet],
    checks: Mapping[date, MorningCheck],
    began: date,
) -> list[_Found]:
    """A report for every test, and one for the work sets of each set-up and session."""
    groups: dict[tuple[int, str, int], list[DoneSet]] = defaultdict(list)
    for row in rows:
        alone = row.pk if row.kind == DoneSet.Kind.TEST else 0
        groups[row.session_id, name_of(episode, row), alone].append(row)
    return [
        (report, max(sets, key=_load_kg))
        for (_, key, _), sets in groups.items()
        if (report := _report(episode, full, key, sets, checks, began)) is not None
    ]


def _report(
    episode: Episode,
    full: Asked,
    key: str,
    sets: Sequence[DoneSet],
    checks: Mapping[date, MorningCheck],
    began: date,
) -> Report | None:
    heaviest = max(sets, key=_load_kg)
    asked = asked_by(episode, setup_of(heaviest)) if key else full
    if asked is None:
        return None
    session = heaviest.session
    return Report(
        day=(session.day - began).days,
        demand=asked.demand(kg(heaviest.load, heaviest.unit)),
        pain=max(row.pain or 0 for row in sets),
        acceptable=all(row.acceptable is not False and not row.spreading for row in sets),
        rest_pain=session.before,
        morning_change=_morning_change(session.before, session.day, checks),
        variation=key,
        bend=asked.bend - full.bend if key else 0.0,
    )


def _load_kg(row: DoneSet) -> float:
    return kg(row.load, row.unit)


def _morning_change(before: int | None, day: date, checks: Mapping[date, MorningCheck]) -> int | None:
    after, own = checks.get(morning_of(day)), checks.get(day)
    base = baseline(before, own.score if own else None)
    if after is None or after.score is None or base is None:
        return None
    return int(after.score - base)
