"""In which language a visitor is spoken to: their own choice, else their browser's, else their gym's."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils import translation
from django.utils.cache import patch_vary_headers
from django.utils.translation import trans_real

from floorward import language
from floorward.storage.models import Gym, Lifter, Staff

Handler = Callable[[HttpRequest], HttpResponse]


def language_of_visitor(get_response: Handler) -> Handler:
    """Speak to whoever asks in their language; a page by personal link then turns to the lifter's."""

    def handle(request: HttpRequest) -> HttpResponse:
        with speaking(_of_staff(request), getattr(request.user, "unit", "")):
            response = get_response(request)
        patch_vary_headers(response, ["Accept-Language"])
        return response

    return handle


@contextmanager
def speaking(code: str, unit: str = "") -> Iterator[None]:
    """Speak a language, in templates as in every other text, with loads in `unit`; empty: in their own."""
    with language.speaking(code, unit), translation.override(_whole(language.spoken())):
        yield


def for_lifter(lifter: Lifter, request: HttpRequest | None = None) -> str:
    """What a lifter is spoken to in: their own choice, else their browser's, else the gym's."""
    return lifter.language or (request and of_browser(request)) or lifter.gym.language


def of_browser(request: HttpRequest) -> str:
    """The first language that the browser asks for and that is offered; empty if there is none."""
    return first_offered(request.headers.get("Accept-Language", ""))


def first_offered(header: str) -> str:
    """As `of_browser`, of the header Accept-Language itself."""
    asked = trans_real.parse_accept_lang_header(header.lower())
    codes = (code.partition("-")[0] for code, _ in asked)
    return next((code for code in codes if code in language.OFFERED), "")


def languages() -> list[tuple[str, str]]:
    """The languages that can be chosen, called as their speakers call them, and the browser's."""
    named = [(code, language.NAMES[code]) for code in language.OFFERED]
    return [("", language.translated("the browser's")), *named]


def _of_staff(request: HttpRequest) -> str:
    user = getattr(request, "user", None)
    if isinstance(user, Staff):
        return user.language or of_browser(request) or user.gym.language
    gyms = list(Gym.objects.all()[:2]) if not of_browser(request) else []
    return of_browser(request) or (gyms[0].language if len(gyms) == 1 else language.ENGLISH)


@cache
def _whole(code: str) -> str:
    """Django's name for the language, once Django knows our texts in it."""
    if code == language.ENGLISH:
        return str(settings.LANGUAGE_CODE)
    trans_real.translation(code).merge(language.catalogue(code))
    return code
