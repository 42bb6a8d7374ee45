"""Other pulls for a sore lifter: ranked, drawn, and put into today's session."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from floorward.actions import lines, offers, sessions
from floorward.actions.histories import locks_on
from floorward.actions.locks import Lock
from floorward.actions.measured import measured_of
from floorward.actions.mornings import gym_day
from floorward.actions.overview import open_episode
from floorward.errors import Refused
from floorward.reports.wording import sentence_for
from floorward.storage.models import Episode, Lifter
from floorward.web.lookup import lifter_of, staff_of
from floorward.web.now import now

PHONE_PX = 358.0


def variations(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """The ranked list; what is ticked goes into today's session."""
    lifter = lifter_of(request, lifter_id)
    episode = open_episode(lifter)
    if episode is None:
        return redirect("lifter", lifter.pk)
    lock = locks_on([episode]).get(episode.pk)
    if lock is not None:
        return _stopped(request, episode, lock)
    moment = now()
    view = offers.offers_for(episode, sessions.session_today(lifter, moment), gym_day(lifter.gym, moment))
    if request.method == "POST":
        return _add(request, lifter, view)
    drawn = next((one for one in view.offers if one.key == request.GET.get("draw")), None)
    drawn = drawn or next(iter(view.offers), None)
    shown = {
        "lifter": lifter,
        "view": view,
        "measured": measured_of(lifter),
        "drawn": drawn,
        "wide": offers.drawing_of(view, drawn) if drawn else None,
        "phone": offers.drawing_of(view, drawn, most_px=PHONE_PX) if drawn else None,
        "page": "lifters",
        "tab": "variations",
    }
    return render(request, "variations/list.html", shown)


def _stopped(request: HttpRequest, episode: Episode, lock: Lock) -> HttpResponse:
    """No loads while the sore region or all heavy work is locked."""
    if request.method == "POST":
        return redirect("outcome", lock.screening.pk)
    page = {
        "lifter": episode.lifter,
        "episode": episode,
        "lock": lock,
        "page": "lifters",
        "tab": "variations",
    }
    return render(request, "variations/stopped.html", page)


def _add(request: HttpRequest, lifter: Lifter, view: offers.Offers) -> HttpResponse:
    chosen = set(request.POST.getlist("offer"))
    session = sessions.plan_today(lifter, by=staff_of(request), now=now())
    for offer in view.offers:
        if offer.key not in chosen or offer.planned:
            continue
        try:
            lines.add_line(session, offers.line_values(offer))
        except Refused as refusal:
            messages.warning(request, sentence_for(refusal.code, refusal.numbers))
    return redirect("plan", session.pk)
