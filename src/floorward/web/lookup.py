"""Rows of the gym of whoever is signed in; anybody else's are not there (404)."""

from django.http import HttpRequest
from django.shortcuts import get_object_or_404

from floorward.storage.models import Episode, Gym, Lifter, Session, Staff


def staff_of(request: HttpRequest) -> Staff:
    """The person signed in."""
    assert isinstance(request.user, Staff)  # noqa: S101 - the login middleware lets nobody else in
    return request.user


def gym_of(request: HttpRequest) -> Gym:
    """The gym of the person signed in."""
    return staff_of(request).gym


def lifter_of(request: HttpRequest, lifter_id: int) -> Lifter:
    """A lifter of this gym."""
    return get_object_or_404(Lifter.objects.select_related("gym", "coach"), pk=lifter_id, gym=gym_of(request))


def episode_of(request: HttpRequest, episode_id: int) -> Episode:
    """An episode of a lifter of this gym."""
    rows = Episode.objects.select_related("lifter__gym", "lifter__coach")
    return get_object_or_404(rows, pk=episode_id, lifter__gym=gym_of(request))


def session_of(request: HttpRequest, session_id: int) -> Session:
    """A session of a lifter of this gym."""
    rows = Session.objects.select_related("lifter__gym", "lifter__coach", "episode")
    return get_object_or_404(rows, pk=session_id, lifter__gym=gym_of(request))
