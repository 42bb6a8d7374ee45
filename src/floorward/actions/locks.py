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
    locks = [lock for episode in lifter.episodes.all() if (lock := lock_of_episode(episode))]
    return min(locks, key=lambda lock: not lock.whole_person, default=None)


def lock_of_episode(episode: Episode) -> Lock | None:
    """The lock that this episode's answers put on, unless each was cleared after it was given."""
    for screening in episode.screenings.all():
        if screening.locks != "none" and not screening.clearances.all():
            return Lock(screening=screening, whole_person=screening.locks == "person", region=episode.region)
    return None
