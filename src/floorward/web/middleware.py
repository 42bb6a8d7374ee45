"""What happens around every request: the content policy, the place, the gym's time, plain pages for refusals."""

import logging
import sys
from collections.abc import Callable
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import connections
from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone

from floorward.errors import Refused
from floorward.reports.wording import sentence_for
from floorward.storage import place
from floorward.storage.troubles import AWAY, code_of
from floorward.web import typed

Handler = Callable[[HttpRequest], HttpResponse]

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; connect-src 'self'; "
    "manifest-src 'self'; worker-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)
PLACE_COOKIE = "place"
LOOK_AGAIN_S = 5
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
            response = get_response(request)
            if not _worth_another_try(request, response):
                return response
            connections[alias].close_if_unusable_or_obsolete()
            return get_response(request)

    return handle


def _worth_another_try(request: HttpRequest, response: HttpResponse) -> bool:
    """Whether only a connection broke under a page that changes nothing: the server may be back already."""
    return isinstance(response, TroublePage) and response.code == AWAY and request.method in {"GET", "HEAD"}


class TroublePage(HttpResponse):
    """What the disk or the database complained of, status 503."""

    def __init__(self, code: str, request: HttpRequest) -> None:
        again_s = LOOK_AGAIN_S if request.method in {"GET", "HEAD"} else None
        # who only opened a page has done nothing that could be lost
        said = f"{code}-opened" if again_s else code
        page = {"message": sentence_for(said, {}), "look_again_s": again_s, **typed.kept(request)}
        super().__init__(render_to_string("storage_trouble.html", page), status=503)
        self["Retry-After"] = str(LOOK_AGAIN_S)
        self.code = code


def trouble_page(request: HttpRequest, error: BaseException | None) -> TroublePage | None:
    """The page of a disk or database that fails; None if `error` is something else."""
    code = code_of(error) if error is not None else None
    if code is None:
        return None
    logging.getLogger("django.request").error("%s: %s", code, error, extra={"trouble": code})
    return TroublePage(code, request)


def last_words(request: HttpRequest) -> HttpResponse:
    """What answers an error outside any page: also who is signed in is read from the database."""
    page = trouble_page(request, sys.exc_info()[1])
    return page or HttpResponse(render_to_string("500.html", typed.kept(request)), status=500)


def gym_time(get_response: Handler) -> Handler:
    """Show every time as the gym's wall clock has it; change that gym alone."""

    def handle(request: HttpRequest) -> HttpResponse:
        if request.user.is_authenticated:
            gym = request.user.gym
            with timezone.override(ZoneInfo(gym.time_zone)), place.on_behalf_of(gym.pk):
                return get_response(request)
        return get_response(request)

    return handle


class refusals:  # noqa: N801 - named like its neighbours, which are functions
    """Turn a refused action that no view has answered into a plain page, and so an address that only takes what a form sends."""

    def __init__(self, get_response: Handler) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on; an address that shows nothing says so instead of a blank page."""
        response = self.get_response(request)
        if not isinstance(response, HttpResponseNotAllowed) or request.resolver_match is None:
            return response
        told = render(request, "405.html", status=response.status_code)
        told["Allow"] = response["Allow"]
        return told

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        """The refusal's sentence, status 409; of a disk or database that fails, status 503."""
        if page := trouble_page(request, exception):
            return page
        if not isinstance(exception, Refused):
            return None
        message = sentence_for(exception.code, exception.numbers)
        return render(request, "refused.html", {"message": message}, status=409)
