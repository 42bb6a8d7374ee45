"""How much a request may bring: what is too much is turned away unread, in a sentence."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.template.loader import render_to_string
from django.urls import Resolver404, resolve, reverse

from floorward.reports.wording import sentence_for
from floorward.storage.sheets import WEB

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
        files = _takes_files(request.path_info)
        most = LARGEST_FILES if files else settings.DATA_UPLOAD_MAX_MEMORY_SIZE
        if request.method not in METHODS:
            return HttpResponseNotAllowed(METHODS)
        if "%00" in request.META.get("QUERY_STRING", ""):
            return HttpResponse(render_to_string("400.html"), status=400)  # no database takes it
        if _length(request) > most:
            return HttpResponse(render_to_string("413.html", _said(most, files=files)), status=413)
        return get_response(request)

    return handle


def _said(most: int, *, files: bool) -> dict[str, str]:
    """The sentence, and where to choose another file; what a page takes is less than what is read to say so beside the form."""
    most = WEB.bytes_most if files else most
    return {
        "message": sentence_for("too-much", {"most": f"{most / 1e6:g}"}),
        "back": reverse("imports") if files else "",
    }


def _length(request: HttpRequest) -> int:
    typed = str(request.META.get("CONTENT_LENGTH") or "0")
    return int(typed) if typed.isdecimal() and len(typed) < 16 else 0


def _takes_files(path: str) -> bool:
    try:
        return (resolve(path).url_name or "").startswith(TAKES_FILES)
    except Resolver404:
        return False
