"""The mechanics of one lifter: how they are built, set-ups side by side, the way back to the full lift."""

from functools import partial
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.views.decorators.http import require_POST

from floorward.actions import body as bodies
from floorward.actions import comparing, lifters, stairs
from floorward.actions import measured as angles
from floorward.actions import start_position as start_positions
from floorward.errors import Refused
from floorward.storage import reads
from floorward.storage.models import Lifter, MeasuredStart
from floorward.units import Unit
from floorward.web.forms.lifters import lifter_values
from floorward.web.forms.mechanics import (
    AnglesForm,
    CompareForm,
    StartForm,
    TapeForm,
    angle_values,
    angles_seen,
    compared_values,
)
from floorward.web.lookup import lifter_of, staff_of
from floorward.web.now import now
from floorward.web.versions import beside, seen_version


def body(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """Links and proportions, and what one more tape measure would buy; entered on the spot."""
    lifter = lifter_of(request, lifter_id)
    person, theirs = reads.person(lifter), None
    form = TapeForm(request.POST or None, person=person, initial=lifter_values(lifter))
    if request.method == "POST" and form.is_valid():
        try:
            lifters.change_lifter(
                lifter, seen_version=form.cleaned_data["version"] or 0, changes=form.tapes()
            )
        except Refused:
            lifter.refresh_from_db()
            theirs, typed = beside(form, lifter_values(lifter))
            form = TapeForm(typed, person=person)
        else:
            return redirect("body", lifter.pk)
    return _body_page(request, lifter, form, _angles_form(lifter), theirs=theirs)


@require_POST
def measure_start(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """A knee or trunk angle that was measured at a start."""
    lifter = lifter_of(request, lifter_id)
    form = _angles_form(lifter, request.POST)
    if not form.is_valid():
        tapes = TapeForm(person=reads.person(lifter), initial=lifter_values(lifter))
        return _body_page(request, lifter, tapes, form)
    said = form.cleaned_data
    try:
        angles.write_down(
            lifter,
            form.setup,
            knee_deg=said["knee_deg"],
            trunk_deg=said["trunk_deg"],
            by=staff_of(request),
            day=now().date(),
            seen_versions=form.seen_versions,
        )
    except Refused:
        stored = angles.stored_at(lifter, form.setup)
        differing, typed = beside(form, angle_values(lifter.measured_starts.all(), said["start"], stored))
        tapes = TapeForm(person=reads.person(lifter), initial=lifter_values(lifter))
        return _body_page(request, lifter, tapes, _angles_form(lifter, typed), theirs_at_start=differing)
    return redirect(f"{reverse('body', args=[lifter.pk])}#angles")


@require_POST
def forget_start(request: HttpRequest, lifter_id: int, start_id: int) -> HttpResponse:
    """Take back what was measured at a start."""
    lifter = lifter_of(request, lifter_id)
    row = get_object_or_404(MeasuredStart, pk=start_id, lifter=lifter)
    try:
        angles.forget(row, seen_version=seen_version(request))
    except Refused:
        tapes = TapeForm(person=reads.person(lifter), initial=lifter_values(lifter))
        return _body_page(request, lifter, tapes, _angles_form(lifter), changed=row.pk)
    return redirect(f"{reverse('body', args=[lifter.pk])}#angles")


def _angles_form(lifter: Lifter, typed: QueryDict | None = None) -> AnglesForm:
    return AnglesForm(
        typed,
        built=angles.measurable(lifter),
        findings=partial(angles.angle_findings, lifter),
        initial={"version": angles_seen(lifter.measured_starts.all())},
    )


def _body_page(
    request: HttpRequest, lifter: Lifter, tapes: TapeForm, measured: AnglesForm, **more: Any
) -> HttpResponse:
    shown = {
        "lifter": lifter,
        "view": bodies.body_view(lifter),
        "form": tapes,
        "angles": measured,
        "measured": angles.measured_of(lifter),
        "page": "lifters",
        **more,
    }
    return render(request, "mechanics/body.html", shown, status=422 if request.method == "POST" else 200)


def compare(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """Up to four set-ups side by side; which ones, at what load and for which region is in the address."""
    lifter = lifter_of(request, lifter_id)
    built, unit = comparing.choices_of(lifter), Unit(lifter.unit)
    form = CompareForm(request.GET or None, built=built, unit=unit)
    view = comparing.comparison_of(lifter, form.asked() if form.is_valid() else comparing.Asked())
    if view and (not form.is_bound or form.is_valid()):
        form = CompareForm(initial=compared_values(view), built=built, unit=unit)
    shown = {
        "lifter": lifter,
        "view": view,
        "form": form,
        "measured": angles.measured_of(lifter),
        "page": "lifters",
        "tab": "variations",
    }
    return render(request, "mechanics/compare.html", shown)


def start_position(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """Two starts beside one another, each moved by a slider; what is chosen is in the address."""
    lifter = lifter_of(request, lifter_id)
    form = StartForm(request.GET or None, unit=Unit(lifter.unit))
    view = start_positions.start_page(lifter, form.chosen(), *form.at())
    if view and (not form.is_bound or form.is_valid()):
        question = view.ground.question
        form = StartForm(
            initial={"load": str(question.load), "region": str(question.region)}, unit=Unit(lifter.unit)
        )
    shown = {
        "lifter": lifter,
        "view": view,
        "form": form,
        "asked_fields": [form["load"], form["region"]],
        "measured": angles.measured_of(lifter),
        "page": "lifters",
        "tab": "variations",
    }
    return render(request, "mechanics/start_position.html", shown)


def start_track(request: HttpRequest, lifter_id: int, lift: str) -> HttpResponse:
    """A lift along its slider as the script of that page takes it: the same parts of the page, written at a few places."""
    lifter = lifter_of(request, lifter_id)
    form = StartForm(request.GET, unit=Unit(lifter.unit))
    track = start_positions.track_of(lifter, lift, *form.at(), wide=request.GET.get("size") == "wide")
    if track is None:
        raise Http404
    return JsonResponse(_track(track))


def _track(track: start_positions.Track) -> dict[str, Any]:
    slider = track.slider
    return {
        "axis": slider.axis,
        "least": slider.least,
        "most": slider.most,
        "usual": slider.usual,
        "step": slider.step,
        "loads": track.loads,
        "stands": [
            render_to_string(
                "mechanics/under.html", {"stand": stand, "axis": slider.axis, "lowered": track.lowered}
            )
            for stand in track.stands
        ],
        "places": [_place(track, place) for place in track.places],
    }


def _place(track: start_positions.Track, place: start_positions.Place) -> dict[str, Any]:
    """The parts of a place; `itself` is what its load is where nothing lies between: loads are reckoned from it there."""
    shown = {"column": place.column, "ground": track.ground, "between": True}
    parts = {
        part: render_to_string("mechanics/start_part.html", {"part": part, **shown})
        for part in ("demand", "bend", "load")
    }
    if place.column.is_start_of(track.ground.question):
        parts["itself"] = render_to_string(
            "mechanics/start_part.html", {"part": "load", **shown, "between": False}
        )
    words = render_to_string("mechanics/start_at.html", {"at": place.at, "axis": track.slider.axis})
    return {"at": place.at, "figure": track.drawn(place), "said": place.said, "words": words, **parts}


def way_back(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """From today's set-up to the full lift, step by step."""
    lifter = lifter_of(request, lifter_id)
    view = stairs.stairs_of(lifter, request.GET.get("from", ""))
    shown = {
        "lifter": lifter,
        "view": view,
        "measured": angles.measured_of(lifter),
        "page": "lifters",
        "tab": "progress",
    }
    return render(request, "mechanics/way_back.html", shown)
