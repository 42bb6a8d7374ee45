"""What a coach sees of a lifter before anything else, and the list of all lifters."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from floorward.actions.lifters import consent_of, needs_guardian
from floorward.actions.locks import Lock, lock_of
from floorward.core.days import training_day
from floorward.storage.models import BestSet, Consent, Episode, Gym, Lifter, Session


@dataclass(frozen=True, slots=True, kw_only=True)
class LifterRow:
    """One line of the list."""

    lifter: Lifter
    episode: Episode | None
    lock: Lock | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Overview:
    """A lifter's first page."""

    consent: Consent | None
    guardian_needed: bool
    episode: Episode | None
    day_number: int
    earlier: tuple[Episode, ...]
    lock: Lock | None
    best_sets: tuple[BestSet, ...]
    session_today: Session | None


def lifter_rows(gym: Gym, query: str = "") -> tuple[LifterRow, ...]:
    """Everybody whose name contains `query`, people with an open episode first."""
    found = gym.lifters.filter(name__icontains=query).select_related("coach")
    found = found.prefetch_related("episodes__screenings__clearances")
    rows = [LifterRow(lifter=row, episode=open_episode(row), lock=lock_of(row)) for row in found]
    return tuple(sorted(rows, key=lambda row: row.episode is None))


def overview(lifter: Lifter, now: datetime) -> Overview:
    """What is going on with this lifter."""
    today = training_day(now, ZoneInfo(lifter.gym.time_zone))
    episode = open_episode(lifter)
    return Overview(
        consent=consent_of(lifter),
        guardian_needed=needs_guardian(lifter, today),
        episode=episode,
        day_number=(today - episode.since).days if episode else 0,
        earlier=tuple(row for row in lifter.episodes.all() if row.closed_at),
        lock=lock_of(lifter),
        best_sets=tuple(lifter.best_sets.all()),
        session_today=lifter.sessions.filter(day=today).first(),
    )


def open_episode(lifter: Lifter) -> Episode | None:
    """The newest episode that is not closed."""
    return next((row for row in lifter.episodes.all() if row.closed_at is None), None)
