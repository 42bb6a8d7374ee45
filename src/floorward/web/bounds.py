"""How much a request may bring: what is too much is turned away unread, in a sentence."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.template.loader import render_to_string
from django.urls import Resolver404, resolve

from floorward.reports.wording import sentence_for

LARGEST_FILES = 256_000_000  # where files are taken at all
TAKES_FILES = "import"  # how the names of such pages begin
METHODS = (
    "GET",
    "HEAD",
    "POST",
)  # what browsers send; a page asked in any other way might skip what it asks of these


def bounds(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Turn away what is larger than any honest answer, before a byte of it is read."""

    def handle(request: HttpRequest) -> HttpResponse:
        most = LARGEST_FILES if _takes_files(request.path_info) else settings.DATA_UPLOAD_MAX_MEMORY_SIZE
        if request.method not in METHODS:
            return HttpResponseNotAllowed(METHODS)
        if "%00" in request.META.get("QUERY_STRING", ""):
            return HttpResponse(render_to_string("400.html"), status=400)  # no database takes it
        if _length(request) > most:
            said = sentence_for("too-much", {"most": f"{most / 1e6:g}"})
            return HttpResponse(render_to_string("413.html", {"message": said}), status=413)
        return get_response(request)

    return handle


def _length(request: HttpRequest) -> int:
    typed = str(request.META.get("CONTENT_LENGTH") or "0")
    return int(typed) if typed.isdecimal() and len(typed) < 16 else 0


def _takes_files(path: str) -> bool:
    try:
        return (resolve(path).url_name or "").startswith(TAKES_FILES)
    except Resolver404:
        return False
