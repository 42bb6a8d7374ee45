"""Answers that a phone kept while the server was away: taken once, in words a script can read, at the time they were said.

A script sends such an answer like the form would, with three headers more: X-Kept, the key made on the phone, X-Held-Ms, the
milliseconds since it was said, and X-After, the keys of sets before it that were not known to be stored. It is answered 204 with X-Next
(the page that would follow) once the answer is stored, 401 where nobody is signed in, else like the form: 422 with a question or a slip,
409 with a refusal.
"""

import hashlib
import re
from collections.abc import Callable
from datetime import datetime, timedelta
from urllib.parse import urlsplit

from django.conf import settings
from django.db.models import Max
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from floorward.actions import receipts
from floorward.storage.models import Consent, Erased
from floorward.storage.place import atomic
from floorward.web.now import now

LONGEST = timedelta(
    hours=18
)  # of a set or score; a phone's clock that was put forward must not reach into another day
KEY = re.compile(r"[0-9a-f]{16,40}")
LONGEST_NAMED = 2000  # characters; forty keys as the phone makes them are half of it


def kept_answers(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Take a kept answer and its receipt together or not at all."""

    def handle(request: HttpRequest) -> HttpResponse:
        key = request.headers.get("X-Kept", "")
        if request.method != "POST" or not KEY.fullmatch(key):
            return get_response(request)
        with atomic():
            led = receipts.receipt_of(key) if _may_ask(request) else None
            response = _stored(led) if led is not None else _answer(get_response(request))
            if led is None and response.status_code == 204 and "X-Next" in response:
                receipts.take(key, response["X-Next"][:300], now())
        return response

    return handle


MARK = "X-Kept-Mark"


def mark_page(response: HttpResponse, gym_number: int) -> None:
    """Let a phone know by a page whether pages that it keeps are from before a consent was withdrawn or somebody erased.

    The mark tells nothing else: it is another one after each of both.
    """
    if response.status_code == 200 and response.get("Content-Type", "").startswith("text/html"):
        withdrawn = Consent.objects.filter(lifter__gym=gym_number).aggregate(last=Max("withdrawn_at"))["last"]
        said = f"floorward-pages {gym_number} {withdrawn} {Erased.objects.count()}"
        response[MARK] = hashlib.sha256(said.encode()).hexdigest()[:16]


def said_at(request: HttpRequest, *, not_before: datetime) -> datetime:
    """When a kept answer was said on the phone: this moment less the time it was held; this moment for any other."""
    held = request.headers.get("X-Held-Ms", "")
    if not held.isdecimal() or len(held) > 12:
        return now()
    return min(now(), max(now() - min(timedelta(milliseconds=int(held)), LONGEST), not_before))


def said_after(request: HttpRequest) -> list[str]:
    """Keys of the sets that the same phone had said before and not known to be stored."""
    named = request.headers.get("X-After", "")[:LONGEST_NAMED].split()
    return [key for key in named if KEY.fullmatch(key)]


def _may_ask(request: HttpRequest) -> bool:
    return request.user.is_authenticated or request.path.startswith("/l/")


def _answer(response: HttpResponse) -> HttpResponse:
    if response.status_code not in {301, 302, 303}:
        return response
    if urlsplit(response["Location"]).path == reverse(settings.LOGIN_URL):
        return HttpResponse(status=401)
    return _stored(response["Location"])


def _stored(leads_to: str) -> HttpResponse:
    response = HttpResponse(status=204)
    response["X-Next"] = leads_to
    return response
