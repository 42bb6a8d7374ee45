"""The first page, the demo's door, opening one's own gym, signing in."""

from django.conf import settings
from django.contrib.auth import authenticate, login, logout
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from floorward.actions import demo, gyms
from floorward.storage import place
from floorward.storage.models import Gym
from floorward.web.forms.start import OwnGymForm, SignInForm
from floorward.web.middleware import PLACE_COOKIE
from floorward.web.now import now

BACKEND = "django.contrib.auth.backends.ModelBackend"


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
        owner = gyms.start_own_gym(now=now(), **form.gym())
        login(request, owner, backend=BACKEND)
        return redirect("gym")
    return render(request, "start/own.html", {"form": form}, status=422 if request.method == "POST" else 200)


@login_not_required
def sign_in(request: HttpRequest) -> HttpResponse:
    """Sign in by name and password."""
    form = SignInForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        user = authenticate(
            request, username=form.cleaned_data["sign_in_name"], password=form.cleaned_data["password"]
        )
        if user is not None:
            login(request, user)
            return redirect("today")
        form.add_error(None, "This name and password do not belong together.")
    page = {"form": form, "title": "Sign in", "button": "Sign in"}
    return render(request, "_parts/simple_form.html", page, status=422 if request.method == "POST" else 200)


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """Sign out."""
    logout(request)
    return redirect("start")
