"""What was typed on a page that could not be taken: kept on the page that says so, to be sent once more.

Only what came from a page of ours is offered again, as the browser's own word for it has it: what another page sent in somebody's
name must not become theirs by one press more. Passwords and codes are never put on a page again, and files stay on the device.
"""

from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.core.exceptions import DisallowedHost
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.template.loader import render_to_string

from floorward.reports.wording import sentence_for
from floorward.web.context import own_page

SECRETS = frozenset({"password", "now", "new", "code"})  # the names of fields that hold one
GUARD = "csrfmiddlewaretoken"  # what a form carries beside what was typed


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """What a form sent.

    Attributes:
        address: where it was sent.
        fields: names and values, in order.
    """

    address: str
    fields: tuple[tuple[str, str], ...]


def typed_in(request: HttpRequest) -> Typed | None:
    """What the form sent, if it may be offered again; None where nothing was typed, or nothing that can be."""
    if request.method != "POST" or not _from_our_page(request):
        return None
    sent = [(name, value) for name, values in request.POST.lists() for value in values if name != GUARD]
    if not sent or request.FILES or any(name in SECRETS for name, _ in sent):
        return None
    return Typed(address=request.get_full_path(), fields=tuple(sent))


def kept(request: HttpRequest) -> dict[str, Any]:
    """What a page that says what went wrong shows of what was typed; nothing where the request itself cannot be read."""
    try:
        return {"typed": typed_in(request), "csrf_token": get_token(request), "own_page": own_page(request)}
    except Exception:  # noqa: BLE001 - on the way to a page about another error; that one is told
        return {"typed": None}


def token_refused(request: HttpRequest, reason: str = "") -> HttpResponse:  # noqa: ARG001 - Django says why
    """The page's token is not the browser's: somebody signed in meanwhile, or cookies went, or the form came from elsewhere."""
    files = request.content_type == "multipart/form-data"
    return render(request, "403_csrf.html", {**kept(request), "files": files}, status=403)


def not_read(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:  # noqa: ARG001 - Django gives it
    """What could not be read: mostly an address that is not ours, or more than a form of ours holds."""
    unknown = isinstance(exception, DisallowedHost)
    page = {"title": sentence_for("host-unknown", {})} if unknown else {}
    return HttpResponse(render_to_string("400.html", page), status=400)


class SignedIn(LoginRequiredMiddleware):
    """Ask whoever is signed out to sign in; what they typed meanwhile waits on the page that asks."""

    def handle_no_permission(self, request: HttpRequest, view_func: Any) -> HttpResponse:  # type: ignore[override]
        """The sign-in page, or the page that keeps what was typed. A script that keeps it itself is led to the sign-in page."""
        found = kept(request) if "X-Kept" not in request.headers else {}
        if not found.get("typed"):
            return super().handle_no_permission(request, view_func)
        return render(request, "signed_out.html", found, status=403)


def _from_our_page(request: HttpRequest) -> bool:
    ours = f"{request.scheme}://{request.get_host()}"
    return request.headers.get("Origin") in {ours, *settings.CSRF_TRUSTED_ORIGINS}
