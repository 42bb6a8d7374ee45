"""Decisions whose numbers were changed after they were made."""

from collections.abc import Collection
from datetime import date

from floorward.storage.models import Decision, Episode


def mark_outdated(episode: Episode, days: Collection[date]) -> int:
    """Mark the decisions on the training of `days`: a score or set they read was changed. Returns how many.

    They stand until a coach has looked: the proposal is worked out anew and shown beside what was decided.
    """
    decided = Decision.objects.filter(episode=episode, session__day__in=days, outdated=False)
    return decided.update(outdated=True)
