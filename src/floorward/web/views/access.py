"""Who sees the health answers of a lifter."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from floorward.actions import access, audit
from floorward.web.forms.access import CoachesForm
from floorward.web.lookup import gym_of, lifter_of, staff_of
from floorward.web.now import now


def coaches(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """The owner assigns coaches to a lifter."""
    lifter = lifter_of(request, lifter_id)
    among, assigned = access.may_be_assigned(gym_of(request)), access.coaches_of(lifter)
    form = CoachesForm(
        request.POST if request.method == "POST" else None,
        among=among,
        initial={"coaches": [row.pk for row in assigned]},
    )
    if request.method == "POST" and form.is_valid():
        access.assign(lifter, form.cleaned_data["coaches"], by=staff_of(request), now=now())
        return redirect("lifter", lifter.pk)
    page = {"form": form, "lifter": lifter, "back": reverse("lifter", args=[lifter.pk]), "page": "lifters"}
    return render(request, "lifters/coaches.html", page, status=422 if request.method == "POST" else 200)


def trail(request: HttpRequest) -> HttpResponse:
    """The owner's page: who saw or changed whose health answers."""
    return render(request, "lifters/trail.html", {"rows": audit.trail_of(gym_of(request)), "page": "gym"})


def own_trail(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """The same of one lifter."""
    lifter = lifter_of(request, lifter_id)
    page = {"rows": audit.trail_of(lifter.gym, lifter), "lifter": lifter, "page": "lifters"}
    return render(request, "lifters/trail.html", page)
