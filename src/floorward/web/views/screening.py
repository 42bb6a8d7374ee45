"""The 90-second screen, its outcome, and a clinician's clearance."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from floorward.actions import screening
from floorward.actions.lifters import consent_of
from floorward.actions.screening import Sheet
from floorward.storage.models import Screening
from floorward.web.access import sees_health
from floorward.web.forms.screening import ClearanceForm, ScreenForm, UnkeptForm, limb_symptoms_typed
from floorward.web.lookup import episode_of, gym_of, lifter_of, staff_of
from floorward.web.now import now


def screen(request: HttpRequest, episode_id: int) -> HttpResponse:
    """Ask; keep the answers where that was agreed; show what they come to."""
    episode = episode_of(request, episode_id)
    if request.method != "POST" and not sees_health(request):
        return redirect("screen-unkept", episode.lifter_id)
    limb = limb_symptoms_typed(request.POST or None, before=episode.limb_symptoms)
    whole = (request.POST or request.GET).get("whole") == "1"
    sheet = screening.sheet_for(episode, now(), limb_symptoms=limb, whole=whole)
    form = ScreenForm(request.POST or None, sheet=sheet, initial={"limb": "yes" if limb else "no"})
    page = _page(form, sheet, lifter=episode.lifter, episode=episode, whole=whole)
    if request.method == "POST" and form.is_valid():
        row = screening.record_answers(episode, sheet, form.answers(), by=staff_of(request), now=now())
        return redirect("outcome", row.pk) if row else _shown_only(request, form, sheet, page)
    if not sees_health(request):  # the sheet asks by what is on record
        return redirect("screen-unkept", episode.lifter_id)
    return render(request, "screen/ask.html", page, status=_status(request))


def screen_unkept(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """Ask somebody whose answers are not kept: where it hurts, then the questions, then the outcome."""
    lifter = lifter_of(request, lifter_id)
    data = request.POST or request.GET
    about = UnkeptForm(data or None)
    if not (data and about.is_valid()):
        page = {"lifter": lifter, "form": about, "page": "lifters"}
        return render(request, "screen/where.html", page, status=422 if data else 200)
    today = timezone.localtime(now()).date()
    limb = limb_symptoms_typed(request.POST or None, before=False)
    facts = screening.facts_of(lifter, today, injury=about.cleaned_data["injury"], limb_symptoms=limb)
    sheet = screening.sheet_of(about.cleaned_data["region"], facts)
    form = ScreenForm(request.POST or None, sheet=sheet)
    page = _page(form, sheet, lifter=lifter, about=about)
    if request.method == "POST" and form.is_valid():
        return _shown_only(request, form, sheet, page)
    return render(request, "screen/ask.html", page, status=_status(request))


def outcome(request: HttpRequest, screening_id: int) -> HttpResponse:
    """What to say and what to do."""
    rows = Screening.objects.select_related("episode__lifter__gym", "asked_by")
    row = get_object_or_404(rows, pk=screening_id, episode__lifter__gym=gym_of(request))
    episode = row.episode
    page = {
        "outcome": screening.outcome_of(row),
        "lifter": episode.lifter,
        "episode": episode,
        "locked": screening.locking(episode),
        "page": "lifters",
    }
    return render(request, "screen/outcome.html", page)


def clearance(request: HttpRequest, episode_id: int) -> HttpResponse:
    """Enter what a clinician said; it lifts the lock."""
    episode = episode_of(request, episode_id)
    today = timezone.localtime(now()).date()
    form = ClearanceForm(request.POST or None, episode=episode, today=today, initial={"day": today})
    locked = screening.locking(episode)
    if request.method == "POST" and form.is_valid():
        screening.record_clearance(episode, by=staff_of(request), now=now(), **form.said())
        return redirect("lifter", episode.lifter_id)
    page = {"form": form, "lifter": episode.lifter, "episode": episode, "locked": locked, "page": "lifters"}
    return render(request, "screen/clearance.html", page, status=_status(request))


def _page(form: ScreenForm, sheet: Sheet, *, lifter: Any, **more: Any) -> dict[str, Any]:
    kept = consent_of(lifter) is not None and "episode" in more
    return {"form": form, "sheet": sheet, "lifter": lifter, "kept": kept, "page": "lifters", **more}


def _shown_only(request: HttpRequest, form: ScreenForm, sheet: Sheet, page: dict[str, Any]) -> HttpResponse:
    today = timezone.localtime(now()).date()
    shown = screening.judged(sheet, form.answers(), gym_of(request).emergency_number, today)
    return render(request, "screen/outcome.html", {**page, "outcome": shown})


def _status(request: HttpRequest) -> int:
    return 422 if request.method == "POST" else 200
