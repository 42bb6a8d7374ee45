"""The gym: its iron and wood, its protocol, its staff."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from floorward.actions import gyms, iron
from floorward.actions.calendars import coach_token
from floorward.core import equipment
from floorward.errors import Refused
from floorward.reports.wording import sentence_for, word
from floorward.storage import reads
from floorward.storage.models import Gym, Staff
from floorward.web.forms.gym import FORMS, PieceForm, ProtocolForm, StaffForm, piece_values
from floorward.web.lookup import gym_of, staff_of
from floorward.web.versions import beside

PROTOCOL = (
    "ceiling_finding",
    "ceiling_set",
    "after_max",
    "forward_percent",
    "rung_percent",
    "profile",
    "emergency_number",
    "version",
)


View = Callable[..., HttpResponse]


def owners_only(view: View) -> View:
    """Let only owners through; a coach is told who can do it."""

    @wraps(view)
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not staff_of(request).is_owner:
            page = {"message": sentence_for("owners-only", {})}
            return render(request, "refused.html", page, status=403)
        return view(request, *args, **kwargs)

    return guarded


def gym(request: HttpRequest) -> HttpResponse:
    """All equipment, with what is odd about it."""
    mine = gym_of(request)
    page = {
        "page": "gym",
        "tab": "equipment",
        "bars": mine.bars.all(),
        "plates": mine.plates.all(),
        "collars": mine.collars.all(),
        "blocks": mine.blocks.all(),
        "pins": mine.pins.all(),
        "boxes": mine.boxes.all(),
        "findings": equipment.check(reads.equipment(mine)),
    }
    return render(request, "gym/equipment.html", page)


def piece(request: HttpRequest, kind: str, row_id: int | None = None) -> HttpResponse:
    """Add or change a piece of equipment; a colleague's change meanwhile is shown beside yours."""
    mine, row = gym_of(request), _row(request, kind, row_id)
    initial = piece_values(row) if row else None
    form = FORMS[kind](request.POST or None, gym=mine, row=row, initial=initial)
    theirs = None
    if request.method == "POST" and form.is_valid():
        try:
            _keep(mine, kind, form)
        except Refused:
            row.refresh_from_db()
            initial = piece_values(row)
            theirs, typed = beside(form, initial)
            form = FORMS[kind](typed, gym=mine, row=row, initial=initial)
        else:
            return redirect("gym")
    title = word("equipment-change" if row else "equipment-add", kind)
    remove = reverse("remove-piece", args=[kind, row_id]) if row_id else ""
    page = {
        "form": form,
        "title": title,
        "button": _("Save"),
        "back": reverse("gym"),
        "page": "gym",
        "remove": remove,
        "theirs": theirs,
    }
    return render(request, "_parts/simple_form.html", page, status=422 if request.method == "POST" else 200)


def _keep(mine: Gym, kind: str, form: PieceForm) -> None:
    if form.row is None:
        iron.add(mine, kind, form.columns())
    else:
        iron.change(form.row, seen_version=form.cleaned_data["version"] or 0, changes=form.columns())


@require_POST
def remove_piece(request: HttpRequest, kind: str, row_id: int) -> HttpResponse:
    """Take a piece out of the gym, unless a plan needs it."""
    row = _row(request, kind, row_id)
    try:
        iron.remove(row)
    except Refused as refusal:
        page = {"page": "gym", "plans": refusal.numbers.get("plans", ()), "code": refusal.code}
        return render(request, "gym/needed.html", page, status=409)
    return redirect("gym")


def _row(request: HttpRequest, kind: str, row_id: int | None) -> Any:
    if kind not in iron.KINDS:
        raise Http404
    return get_object_or_404(iron.KINDS[kind], pk=row_id, gym=gym_of(request)) if row_id else None


def protocol(request: HttpRequest) -> HttpResponse:
    """What the coaches agreed to do alike; owners change it."""
    mine = gym_of(request)
    if request.method == "POST" and not staff_of(request).is_owner:
        return render(request, "refused.html", {"message": sentence_for("owners-only", {})}, status=403)
    stored = {name: getattr(mine, name) for name in PROTOCOL}
    form = ProtocolForm(request.POST or None, initial=stored)
    theirs = None
    if request.method == "POST" and form.is_valid():
        changes = {name: value for name, value in form.cleaned_data.items() if name != "version"}
        try:
            gyms.change_protocol(mine, seen_version=form.cleaned_data["version"], changes=changes)
        except Refused:
            theirs, typed = beside(form, stored)
            form = ProtocolForm(typed)
        else:
            messages.success(request, sentence_for("protocol-saved", {"version": mine.protocol_version + 1}))
            return redirect("protocol")
    page = {"form": form, "gym": mine, "page": "gym", "tab": "protocol", "theirs": theirs}
    return render(request, "gym/protocol.html", page, status=422 if request.method == "POST" else 200)


def people(request: HttpRequest) -> HttpResponse:
    """Who signs in here."""
    person = staff_of(request)
    path = reverse("coach-calendar", args=[coach_token(person)]) if person.may_coach else ""
    page = {
        "page": "gym",
        "tab": "people",
        "people": gym_of(request).staff.order_by("-is_active", "name"),
        "calendar": request.build_absolute_uri(path) if path else "",
    }
    return render(request, "gym/people.html", page)


@owners_only
def new_person(request: HttpRequest) -> HttpResponse:
    """Add a colleague."""
    form = StaffForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        gyms.add_staff(gym_of(request), **form.cleaned_data)
        return redirect("people")
    page = {
        "form": form,
        "title": _("New colleague"),
        "button": _("Add"),
        "back": reverse("people"),
        "page": "gym",
    }
    return render(request, "_parts/simple_form.html", page, status=422 if request.method == "POST" else 200)


@owners_only
@require_POST
def switch_person(request: HttpRequest, staff_id: int) -> HttpResponse:
    """Let a colleague sign in no longer, or again."""
    row = get_object_or_404(Staff, pk=staff_id, gym=gym_of(request))
    gyms.switch_staff(row, by=staff_of(request))
    return redirect("people")
