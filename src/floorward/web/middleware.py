"""What happens around every request: the content policy, the place, the gym's time, plain pages for refusals."""

import logging
from collections.abc import Callable
from zoneinfo import ZoneInfo

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone

from floorward.errors import Refused
from floorward.reports.wording import sentence_for
from floorward.storage import place
from floorward.storage.troubles import code_of

Handler = Callable[[HttpRequest], HttpResponse]

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; connect-src 'self'; "
    "manifest-src 'self'; worker-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)
PLACE_COOKIE = "place"
DEMO_DOOR = "/start/demo"  # whoever knocks here is in the demo from this request on


def content_policy(get_response: Handler) -> Handler:
    """Nothing but our own files may run, style or load; no exceptions."""

    def handle(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.setdefault("Content-Security-Policy", POLICY)
        response.setdefault("Cache-Control", "private, no-store")
        return response

    return handle


def place_of_request(get_response: Handler) -> Handler:
    """Work on the demo's data where the visitor chose to look round, else on the gym's own."""

    def handle(request: HttpRequest) -> HttpResponse:
        in_demo = request.COOKIES.get(PLACE_COOKIE) == place.DEMO or request.path == DEMO_DOOR
        alias = place.DEMO if in_demo and settings.DEMO_OPEN else place.GYM
        with place.inside(alias):
            return get_response(request)

    return handle


def gym_time(get_response: Handler) -> Handler:
    """Show every time as the gym's wall clock has it."""

    def handle(request: HttpRequest) -> HttpResponse:
        if request.user.is_authenticated:
            with timezone.override(ZoneInfo(request.user.gym.time_zone)):
                return get_response(request)
        return get_response(request)

    return handle


class refusals:  # noqa: N801 - named like its neighbours, which are functions
    """Turn a refused action that no view has answered into a plain page."""

    def __init__(self, get_response: Handler) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on."""
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        """The refusal's sentence, status 409; of a disk or database that fails, status 503."""
        if (trouble := code_of(exception)) is not None:
            logging.getLogger("django.request").error("%s: %s", trouble, exception)
            return HttpResponse(
                render_to_string("storage_trouble.html", {"message": sentence_for(trouble, {})}), status=503
            )
        if not isinstance(exception, Refused):
            return None
        message = sentence_for(exception.code, exception.numbers)
        return render(request, "refused.html", {"message": message}, status=409)
