"""The mechanics of one lifter: how they are built, set-ups side by side, the way back to the full lift."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from floorward.actions import body as bodies
from floorward.actions import comparing, lifters, stairs
from floorward.errors import Refused
from floorward.storage import reads
from floorward.units import Unit
from floorward.web.forms.lifters import lifter_values
from floorward.web.forms.mechanics import CompareForm, TapeForm, compared_values
from floorward.web.lookup import lifter_of
from floorward.web.versions import beside


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
    shown = {
        "lifter": lifter,
        "view": bodies.body_view(lifter),
        "form": form,
        "theirs": theirs,
        "page": "lifters",
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "mechanics/body.html", shown, status=status)


def compare(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """Up to four set-ups side by side; which ones, at what load and for which region is in the address."""
    lifter = lifter_of(request, lifter_id)
    built, unit = comparing.choices_of(lifter), Unit(lifter.unit)
    form = CompareForm(request.GET or None, built=built, unit=unit)
    view = comparing.comparison_of(lifter, form.asked() if form.is_valid() else comparing.Asked())
    if view and (not form.is_bound or form.is_valid()):
        form = CompareForm(initial=compared_values(view), built=built, unit=unit)
    shown = {"lifter": lifter, "view": view, "form": form, "page": "lifters", "tab": "variations"}
    return render(request, "mechanics/compare.html", shown)


def way_back(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """From today's set-up to the full lift, step by step."""
    lifter = lifter_of(request, lifter_id)
    view = stairs.stairs_of(lifter, request.GET.get("from", ""))
    shown = {"lifter": lifter, "view": view, "page": "lifters", "tab": "progress"}
    return render(request, "mechanics/way_back.html", shown)
