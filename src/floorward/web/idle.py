"""Signing out whoever has asked for no page for hours, or has been signed in for a week."""

import time
from collections.abc import Callable

from django.conf import settings
from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

BEGUN, SEEN = "begun", "seen"
NOTED_EVERY_S = 300  # so that not every page writes to the database


def idle(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Sessions go by the real clock, whatever the gym's clock is set to for a rehearsal."""

    def handle(request: HttpRequest) -> HttpResponse:
        if request.path != reverse("alive") and request.user.is_authenticated:
            _look(request, int(time.time()))
        return get_response(request)

    return handle


def _look(request: HttpRequest, at: int) -> None:
    begun, seen = request.session.get(BEGUN), request.session.get(SEEN)
    if begun is None or seen is None:
        request.session[BEGUN] = request.session[SEEN] = at
    elif at - seen > settings.SESSION_IDLE_S or at - begun > settings.SESSION_LONGEST_S:
        logout(request)
    elif at - seen > NOTED_EVERY_S:
        request.session[SEEN] = at
