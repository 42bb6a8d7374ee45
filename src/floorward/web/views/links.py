"""What a lifter's personal link opens: the morning check and today's card. No account, no history."""

from collections.abc import Callable
from functools import wraps
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from floorward.actions import audit, links, mornings
from floorward.actions.sessions import planned_today
from floorward.errors import Refused
from floorward.reports.wording import sentence_for
from floorward.storage import place
from floorward.storage.models import Lifter
from floorward.web.forms.mornings import MorningForm
from floorward.web.kept import mark_page
from floorward.web.lookup import lifter_of, staff_of
from floorward.web.now import now
from floorward.web.speech import for_lifter, speaking

# what opens behind a stop too: a lifter's first page and their rights
ALWAYS_OPEN = frozenset(
    {"door", "own_data", "own_language", "own_archive", "own_withdraw", "own_asking", "own_erase"}
)
GONE = {"link-unknown": 404, "link-over": 410}


def by_link(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Open the link of the address, in its own place and its gym's time; a plain page where it does not open."""

    @login_not_required
    @wraps(view)
    def opened(request: HttpRequest, token: str, **rest: Any) -> HttpResponse:
        try:
            with place.inside(links.place_of(token)):
                by_itself = view.__name__ == "own_calendar"  # a phone asks for it every few hours
                lifter = links.open_link(token, now(), looked=not by_itself).lifter
                stop = links.stop_of(lifter)
                if (
                    stop and view.__name__ not in ALWAYS_OPEN and not by_itself
                ):  # behind a stop there is nothing but the first page
                    return redirect("personal-link", token)
                speech = speaking(for_lifter(lifter, request), lifter.unit)
                with timezone.override(ZoneInfo(lifter.gym.time_zone)), speech:
                    response = view(request, lifter, token=token, **rest)
                mark_page(response, lifter.gym_id)
                if not by_itself:
                    _on_the_trail(request, lifter, response)
        except Refused as refusal:
            if refusal.code not in GONE:
                raise
            page = {"message": sentence_for(refusal.code, refusal.numbers)}
            return render(request, "links/gone.html", page, status=GONE[refusal.code])
        response["X-Robots-Tag"] = "noindex, nofollow"
        return response

    return opened


def _on_the_trail(request: HttpRequest, lifter: Lifter, response: HttpResponse) -> None:
    changed = request.method == "POST" and response.status_code == 302
    if (changed or response.status_code == 200) and Lifter.objects.filter(pk=lifter.pk).exists():
        audit.note_own(lifter, changed=changed, now=now())


@by_link
def door(request: HttpRequest, lifter: Lifter, *, token: str) -> HttpResponse:
    """The morning check while it is due, else what there is for today."""
    asked = _asked(request)
    view = mornings.morning_view(lifter, now(), episode_id=asked)
    page: dict[str, Any] = {
        "lifter": lifter,
        "view": view,
        "token": token,
        "stop": links.stop_of(lifter),
        "planned": planned_today(lifter, now()) is not None,
    }
    if view is None or (request.method != "POST" and not view.due and "again" not in request.GET):
        return render(request, "links/door.html", page)
    form = MorningForm(request.POST or None, view=view)
    if request.method == "POST" and form.is_valid():
        kept = mornings.record_morning(view.episode, form.answer(), now=now())
        if kept is None:
            return render(request, "links/not_kept.html", {**page, "answer": form.answer()})
        return redirect("personal-link", token)
    return render(
        request, "links/morning.html", {**page, "form": form}, status=422 if request.method == "POST" else 200
    )


def _asked(request: HttpRequest) -> int | None:
    """The episode that the page was about; somebody else's is not found among the lifter's own."""
    typed = request.POST.get("episode", "")
    return int(typed) if typed.isdecimal() and len(typed) < 12 else None


def link(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """A lifter's link, to copy or send."""
    lifter = lifter_of(request, lifter_id)
    found = links.link_in_force(lifter, now())
    here = request.build_absolute_uri(found.path) if found else ""
    page = {
        "lifter": lifter,
        "view": found,
        "here": here,
        "calendar": f"{found.address or here}calendar.ics" if found else "",
        "page": "lifters",
        "first_name": mornings.first_name(lifter),
    }
    return render(request, "lifters/link.html", page)


@require_POST
def new_link(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """Make a link for a lifter."""
    links.make_link(lifter_of(request, lifter_id), now())
    return redirect("link", lifter_id)


@require_POST
def revoke_links(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """Take back all links of a lifter."""
    links.revoke_links(lifter_of(request, lifter_id), now())
    return redirect("link", lifter_id)


def morning(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """A coach enters a morning for the lifter; it is marked so."""
    lifter = lifter_of(request, lifter_id)
    view = mornings.morning_view(lifter, now(), by_coach=True, episode_id=_asked(request))
    if view is None or not view.kept:
        return redirect("lifter", lifter_id)
    form = MorningForm(request.POST or None, view=view)
    if request.method == "POST" and form.is_valid():
        mornings.record_morning(view.episode, form.answer(), now=now(), by=staff_of(request))
        return redirect("lifter", lifter_id)
    page = {"lifter": lifter, "view": view, "form": form, "page": "lifters"}
    return render(request, "lifters/morning.html", page, status=422 if request.method == "POST" else 200)
