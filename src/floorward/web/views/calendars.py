"""Calendars that a phone subscribes to: a lifter's behind their link, a coach's behind an address of their own."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from floorward.actions import calendars
from floorward.errors import Refused
from floorward.reports.calendar import MEDIA_TYPE
from floorward.reports.wording import sentence_for
from floorward.storage import place
from floorward.storage.models import Lifter
from floorward.web.now import now
from floorward.web.speech import speaking
from floorward.web.views.links import GONE, by_link


@by_link
def own_calendar(_request: HttpRequest, lifter: Lifter, *, token: str) -> HttpResponse:  # noqa: ARG001 - by_link gives it
    """A lifter's own."""
    return HttpResponse(calendars.own_calendar(lifter, now()), content_type=MEDIA_TYPE)


@login_not_required
def coach_calendar(request: HttpRequest, token: str) -> HttpResponse:
    """A coach's own."""
    try:
        with place.inside(calendars.place_of_coach(token)):
            coach = calendars.coach_of(token)
            with speaking(
                coach.language or coach.gym.language
            ):  # a phone that fetches it asks for no language
                made = calendars.coach_calendar(coach, now())
    except Refused as refusal:
        page = {"message": sentence_for(refusal.code, refusal.numbers)}
        return render(request, "links/gone.html", page, status=GONE[refusal.code])
    return HttpResponse(made, content_type=MEDIA_TYPE)
