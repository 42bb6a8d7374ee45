"""Who may not load what: the screen's outcome until a clinician has cleared it."""

from dataclasses import dataclass

from floorward.storage.models import Episode, Lifter, Screening


@dataclass(frozen=True, slots=True, kw_only=True)
class Lock:
    """A lock in force: the whole person's heavy work, or one region."""

    screening: Screening
    whole_person: bool
    region: str


def lock_of(lifter: Lifter) -> Lock | None:
    """The heaviest lock in force for this lifter, the whole person's before a region's."""
    rows = Screening.objects.filter(episode__lifter=lifter, clearances=None).exclude(locks="none")
    newest_pain_first = rows.select_related("episode").order_by(
        "-episode__started_at", "-episode", "-at", "-id"
    )
    return min(map(_lock, newest_pain_first), key=lambda lock: not lock.whole_person, default=None)


def lock_of_episode(episode: Episode) -> Lock | None:
    """The lock that this episode's answers put on, unless each was cleared after it was given."""
    for screening in episode.screenings.all():
        if screening.locks != "none" and not screening.clearances.all():
            return _lock(screening)
    return None


def _lock(screening: Screening) -> Lock:
    whole = screening.locks == "person"
    return Lock(screening=screening, whole_person=whole, region=screening.episode.region)
