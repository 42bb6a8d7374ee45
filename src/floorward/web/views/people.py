"""One's own door (password, second key), and what an owner changes about a colleague."""

from typing import Any

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from floorward.actions import doors, knocks, second_keys
from floorward.errors import Refused
from floorward.reports.drawings.code import qr_code
from floorward.reports.wording import sentence_for
from floorward.storage.models import Staff
from floorward.web.forms.people import LeaveForm, PasswordForm, PersonForm, RemoveKeyForm, SpeechForm
from floorward.web.forms.start import FirstCodeForm
from floorward.web.lookup import gym_of, staff_of
from floorward.web.now import now


def own_door(request: HttpRequest) -> HttpResponse:
    """How one signs in: the password, and the second key."""
    return _page(request)


@require_POST
def own_speech(request: HttpRequest) -> HttpResponse:
    """The language and the unit that pages take for whoever asks."""
    form = SpeechForm(request.POST, staff=staff_of(request))
    if not form.is_valid():
        return _page(request, speech=form)
    doors.change_speech(staff_of(request), **form.cleaned_data)
    return redirect("own-door")


@require_POST
def own_password(request: HttpRequest) -> HttpResponse:
    """A new password; other browsers are signed out, this one gets a new session."""
    staff = staff_of(request)
    form = PasswordForm(request.POST, staff=staff)
    if not _is_patient(request, form):
        return _page(request, password=form)
    doors.change_password(staff, form.cleaned_data["new"])
    update_session_auth_hash(request, staff)
    messages.success(request, sentence_for("password-changed", {}))
    return redirect("own-door")


@require_POST
def own_key(request: HttpRequest) -> HttpResponse:
    """Begin a second key."""
    second_keys.begin(staff_of(request), now())
    return redirect("own-door")


@require_POST
def own_key_confirm(request: HttpRequest) -> HttpResponse:
    """Put it in force, and show the codes for paper this once."""
    form = FirstCodeForm(request.POST)
    if form.is_valid():
        try:
            tried = knocks.knock({"code": f"confirm {staff_of(request).pk}"}, now())
            codes = second_keys.confirm(staff_of(request), form.cleaned_data["code"], now())
        except Refused as refusal:
            form.add_error("code", sentence_for(refusal.code, refusal.numbers))
        else:
            knocks.opened(tried)
            request.session.cycle_key()
            return render(request, "gym/recovery.html", {"codes": codes, "page": "gym", "tab": "people"})
    return _page(request, code=form)


@require_POST
def own_key_remove(request: HttpRequest) -> HttpResponse:
    """Take it away again."""
    form = RemoveKeyForm(request.POST, staff=staff_of(request))
    if not _is_patient(request, form):
        return _page(request, remove=form)
    second_keys.remove(staff_of(request))
    request.session.cycle_key()
    messages.success(request, sentence_for("second-key-gone", {}))
    return redirect("own-door")


def person(request: HttpRequest, staff_id: int) -> HttpResponse:
    """An owner changes a colleague."""
    row = get_object_or_404(Staff, pk=staff_id, gym=gym_of(request))
    form = PersonForm(request.POST or None, staff=row, initial={"name": row.name, "role": row.role})
    if request.method == "POST" and form.is_valid():
        try:
            doors.change_person(row, by=staff_of(request), **form.cleaned_data)
        except Refused as refusal:
            form.add_error("role", sentence_for(refusal.code, refusal.numbers))
        else:
            messages.success(request, sentence_for("person-changed", {}))
            return redirect("people")
    page = {"form": form, "leave": LeaveForm(), "person": row, "page": "gym", "back": reverse("people")}
    return render(request, "gym/person.html", page, status=422 if request.method == "POST" else 200)


@require_POST
def person_left(request: HttpRequest, staff_id: int) -> HttpResponse:
    """A colleague has left."""
    row = get_object_or_404(Staff, pk=staff_id, gym=gym_of(request))
    take_back = "take_links_back" in request.POST
    doors.leave(row, take_links_back=take_back, by=staff_of(request), now=now())
    messages.success(request, sentence_for("person-left", {"name": row.name}))
    return redirect("people")


def _is_patient(request: HttpRequest, form: PasswordForm | RemoveKeyForm) -> bool:
    """Whether the form holds; a wrong password counts as a try, as it does when signing in."""
    try:
        tried = knocks.knock({"device": f"own {staff_of(request).pk}"}, now())
    except Refused as refusal:
        form.add_error(None, sentence_for(refusal.code, refusal.numbers))
        return False
    if form.is_valid() or "now" not in form.errors:
        knocks.opened(tried)
    return form.is_valid()


def _page(request: HttpRequest, **typed: Any) -> HttpResponse:
    staff = staff_of(request)
    secret = second_keys.waiting_secret(staff)
    address = second_keys.address_of(staff, secret) if secret else ""
    page = {
        "page": "gym",
        "tab": "people",
        "key": second_keys.key_of(staff),
        "secret": secret,
        "address": address,
        "drawn": qr_code(address, _("QR code of the second key")) if address else "",
        "speech": typed.get("speech") or SpeechForm(staff=staff, auto_id="speech_%s"),
        "password": typed.get("password") or PasswordForm(staff=staff, auto_id="password_%s"),
        "code": typed.get("code") or FirstCodeForm(auto_id="code_%s"),
        "remove": typed.get("remove") or RemoveKeyForm(staff=staff, auto_id="remove_%s"),
    }
    return render(request, "gym/own_door.html", page, status=422 if typed else 200)
