"""Episodes: starting, changing, closing and reopening one."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from floorward.actions import episodes
from floorward.actions.lifters import consent_of
from floorward.errors import Refused
from floorward.reports.wording import sentence_for
from floorward.web.forms.episodes import EpisodeForm, episode_values
from floorward.web.lookup import episode_of, lifter_of, staff_of
from floorward.web.now import now
from floorward.web.versions import beside


def new_episode(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """The first report of pain."""
    lifter = lifter_of(request, lifter_id)
    today = timezone.localtime(now()).date()
    form = EpisodeForm(request.POST or None, lifter=lifter, today=today, initial={"since": today})
    page: dict[str, Any] = {"lifter": lifter, "form": form, "consent": consent_of(lifter), "page": "lifters"}
    if request.method == "POST" and form.is_valid():
        try:
            episode = episodes.start_episode(lifter, by=staff_of(request), now=now(), about=form.about())
        except Refused as refusal:
            page["refusal"] = sentence_for(refusal.code, refusal.numbers)
        else:
            return redirect("screen", episode.pk)
    return render(request, "episodes/new.html", page, status=_status(request))


def change_episode(request: HttpRequest, episode_id: int) -> HttpResponse:
    """Mend what was written down at the first report; a colleague's change meanwhile is shown beside yours."""
    episode = episode_of(request, episode_id)
    today = timezone.localtime(now()).date()
    form = EpisodeForm(
        request.POST or None, lifter=episode.lifter, today=today, initial=episode_values(episode)
    )
    page: dict[str, Any] = {"lifter": episode.lifter, "episode": episode, "form": form, "page": "lifters"}
    if request.method == "POST" and form.is_valid():
        try:
            seen = form.cleaned_data["version"] or 0
            episodes.change_episode(episode, seen_version=seen, changes=form.about())
        except Refused as refusal:
            page["refusal"] = sentence_for(refusal.code, refusal.numbers)
            episode.refresh_from_db()
            page["theirs"], typed = beside(form, {**episode_values(episode), "version": episode.version})
            page["form"] = EpisodeForm(typed, lifter=episode.lifter, today=today)
        else:
            return redirect("lifter", episode.lifter_id)
    page["consent"] = consent_of(episode.lifter)
    return render(request, "episodes/new.html", page, status=_status(request))


@require_POST
def close_episode(request: HttpRequest, episode_id: int) -> HttpResponse:
    """The spell is over."""
    episode = episode_of(request, episode_id)
    episodes.close_episode(episode, now=now())
    return redirect("lifter", episode.lifter_id)


@require_POST
def reopen_episode(request: HttpRequest, episode_id: int) -> HttpResponse:
    """It was not over."""
    episode = episode_of(request, episode_id)
    episodes.reopen_episode(episode)
    return redirect("lifter", episode.lifter_id)


def _status(request: HttpRequest) -> int:
    return 422 if request.method == "POST" else 200
