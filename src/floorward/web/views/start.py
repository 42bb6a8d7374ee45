"""The first page, the demo's door, opening one's own gym, signing in."""

import time

from django.conf import settings
from django.contrib.auth import login, logout
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from floorward.actions import demo, doors, gyms
from floorward.actions.second_keys import key_of
from floorward.errors import Refused
from floorward.language import spoken
from floorward.reports.wording import sentence_for
from floorward.storage import place
from floorward.storage.models import Gym, Staff
from floorward.web import devices
from floorward.web.forms.start import CodeForm, OwnGymForm, SignInForm
from floorward.web.middleware import PLACE_COOKIE
from floorward.web.now import now

BACKEND = "django.contrib.auth.backends.ModelBackend"
HALF, HALFWAY_S = "half", 300  # whose password was right, and how long that counts


@login_not_required
def start(request: HttpRequest) -> HttpResponse:
    """The first page: the demo, or one's own gym."""
    if request.user.is_authenticated:
        return redirect("today")
    with place.inside(place.GYM):
        own_gym = Gym.objects.exists()
    return render(request, "start/choose.html", {"own_gym": own_gym, "demo_open": settings.DEMO_OPEN})


@login_not_required
@require_POST
def start_demo(request: HttpRequest) -> HttpResponse:
    """Make the demo gym if need be and step inside as its owner; nobody needs a password for invented people.

    On a network there is no such door: whoever went through it could make rooms full of rows on the gym's computer.
    """
    if not settings.DEMO_OPEN:
        return redirect("start")
    login(request, demo.open_demo(now()), backend=BACKEND)
    response = redirect("today")
    response.set_cookie(PLACE_COOKIE, place.DEMO, httponly=True, samesite="Lax")
    return response


@login_not_required
def leave_demo(request: HttpRequest) -> HttpResponse:
    """Back to the first page; the demo keeps what was tried in it."""
    logout(request)
    response = redirect("start")
    response.delete_cookie(PLACE_COOKIE)
    return response


@login_not_required
def start_own(request: HttpRequest) -> HttpResponse:
    """Open the gym of this installation, guarded by the console's code."""
    form = OwnGymForm(request.POST or None, code=settings.FIRST_RUN_CODE)
    if request.method == "POST" and form.is_valid():
        owner = gyms.start_own_gym(now=now(), language=spoken(), **form.gym())
        login(request, owner, backend=BACKEND)
        return redirect("gym")
    return render(request, "start/own.html", {"form": form}, status=422 if request.method == "POST" else 200)


@login_not_required
def sign_in(request: HttpRequest) -> HttpResponse:
    """Sign in by name and password; where there is a second key, it is asked for next."""
    form = SignInForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        staff = _knock(request, form)
        if staff is not None and key_of(staff) is not None:
            request.session.cycle_key()
            request.session[HALF] = {"number": staff.pk, "at": int(time.time())}
            return redirect("sign-in-code")
        if staff is not None:
            return _let_in(request, staff)
    forgotten = _("Password forgotten? An owner of the gym gives you a new one: Gym, People, your name.")
    page = {"form": form, "title": _("Sign in"), "button": _("Sign in"), "after": forgotten}
    return render(request, "_parts/simple_form.html", page, status=422 if request.method == "POST" else 200)


@login_not_required
def sign_in_code(request: HttpRequest) -> HttpResponse:
    """The second key of somebody whose password was right a moment ago."""
    staff = _halfway(request)
    if staff is None:
        return redirect("sign-in")
    form = CodeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            if doors.knock_with_code(staff, form.cleaned_data["code"], now()):
                del request.session[HALF]
                return _let_in(request, staff)
            form.add_error("code", sentence_for("code-wrong", {}))
        except Refused as refusal:
            form.add_error(None, sentence_for(refusal.code, refusal.numbers))
    page = {"form": form, "title": _("Your second key"), "button": _("Sign in"), "back": reverse("sign-in")}
    return render(request, "_parts/simple_form.html", page, status=422 if request.method == "POST" else 200)


def _knock(request: HttpRequest, form: SignInForm) -> Staff | None:
    name = form.cleaned_data["sign_in_name"]
    device = devices.device_of(request, doors.number_of(name))
    try:
        staff = doors.knock_with(
            name,
            form.cleaned_data["password"],
            address=devices.address_of(request),
            device=device,
            now=now(),
        )
    except Refused as refusal:
        form.add_error(None, sentence_for(refusal.code, refusal.numbers))
        return None
    if staff is None:
        form.add_error(None, sentence_for("not-together", {}))
    return staff


def _halfway(request: HttpRequest) -> Staff | None:
    half = request.session.get(HALF) or {"number": 0, "at": 0}
    fresh = time.time() - half["at"] < HALFWAY_S
    return Staff.objects.filter(pk=half["number"], is_active=True).first() if fresh else None


def _let_in(request: HttpRequest, staff: Staff) -> HttpResponse:
    login(request, staff, backend=BACKEND)
    response = redirect("today")
    devices.remember(request, response, staff.pk)
    return response


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """Sign out."""
    logout(request)
    return redirect("start")
