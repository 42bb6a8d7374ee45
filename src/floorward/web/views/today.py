"""Today: what is needed next, of whom."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from floorward.actions import audit
from floorward.actions.today import today_view
from floorward.reports.drawings.mark import mark
from floorward.storage.models import Staff
from floorward.web.lookup import gym_of, staff_of
from floorward.web.now import now

EVERYBODY = "all"
LONGEST_NUMBER = 12


def today(request: HttpRequest) -> HttpResponse:
    """The lanes of one coach's lifters, or of everybody's."""
    coach = _whose(request)
    view = today_view(
        gym_of(request), now(), viewer=staff_of(request), coach=coach, whole=request.GET.get("lane", "")
    )
    audit.note_lists(gym_of(request), view.seen, staff_of(request), now())
    page = {
        "page": "today",
        "view": view,
        "show_coach": coach is None and len(view.coaches) > 1,
        "coach_key": coach.pk if coach else EVERYBODY,
        "legend": mark(0.6, 325),
    }
    return render(request, "today/today.html", page)


def _whose(request: HttpRequest) -> Staff | None:
    """The coach asked for; else one's own lifters where there are any, else everybody's."""
    asked, me = request.GET.get("coach", ""), staff_of(request)
    if asked == EVERYBODY:
        return None
    if asked.isdecimal() and len(asked) < LONGEST_NUMBER:
        return get_object_or_404(Staff, pk=int(asked), gym=gym_of(request))
    return me if me.lifters.exists() else None
