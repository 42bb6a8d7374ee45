"""Episodes: one spell of pain in one region, from first report to closed."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from floorward.actions.lifters import consent_of
from floorward.actions.locks import lock_of_episode
from floorward.actions.versions import take_changes
from floorward.errors import Refused
from floorward.storage.models import Episode, Lifter, Staff
from floorward.storage.place import atomic


def start_episode(lifter: Lifter, *, by: Staff, now: datetime, about: Mapping[str, Any]) -> Episode:
    """A new episode, linked to the last closed one of the same region.

    Raises:
        Refused: `consent-needed` without a consent in force, `episode-open` if this region already has an open one.
    """
    with atomic():
        if consent_of(lifter) is None:
            raise Refused("consent-needed", name=lifter.name)
        earlier = lifter.episodes.filter(region=about["region"])
        if earlier.filter(closed_at=None).exists():
            raise Refused("episode-open", name=lifter.name)
        return Episode.objects.create(
            lifter=lifter,
            previous=earlier.order_by("-closed_at").first(),
            started_at=now,
            started_by=by,
            **about,
        )


def change_episode(episode: Episode, *, seen_version: int, changes: Mapping[str, Any]) -> Episode:
    """The episode with `changes`; what was found meanwhile stays as it was found.

    Raises:
        Refused: `consent-needed`, or `changed-meanwhile` if a colleague changed it since `seen_version`.
    """
    with atomic():
        row = Episode.objects.select_for_update().get(pk=episode.pk)
        if consent_of(row.lifter) is None:
            raise Refused("consent-needed", name=row.lifter.name)
        return take_changes(row, seen_version=seen_version, changes=changes)


def close_episode(episode: Episode, *, now: datetime) -> None:
    """The spell is over. What locks it must be cleared first.

    Raises:
        Refused: `locked-cannot-close`.
    """
    if lock_of_episode(episode):
        raise Refused("locked-cannot-close")
    _set_closed(episode, now)


def reopen_episode(episode: Episode) -> None:
    """It was not over.

    Raises:
        Refused: `episode-open` if a newer one of this region is open.
    """
    others = episode.lifter.episodes.filter(region=episode.region, closed_at=None).exclude(pk=episode.pk)
    if others.exists():
        raise Refused("episode-open", name=episode.lifter.name)
    _set_closed(episode, None)


def _set_closed(episode: Episode, at: datetime | None) -> None:
    with atomic():
        row = Episode.objects.select_for_update().get(pk=episode.pk)
        row.closed_at = at
        row.version += 1
        row.save()
