"""What a phone needs to go on while the server is away: the service worker, a page to fall back on, a sign of life."""

from pathlib import Path

from django.contrib.auth.decorators import login_not_required
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


@login_not_required
def service_worker(_: HttpRequest) -> HttpResponse:
    """The worker, at the root so that it may answer for every page."""
    script = Path(str(finders.find("js/worker.js"))).read_bytes()
    response = HttpResponse(script, content_type="text/javascript")
    response["Cache-Control"] = "no-cache"
    return response


@login_not_required
def away(request: HttpRequest) -> HttpResponse:
    """What is shown in place of a page that the phone has no copy of. It says nothing about anybody."""
    return render(request, "phone/away.html")


@login_not_required
def alive(_: HttpRequest) -> HttpResponse:
    """Nothing, quickly."""
    return HttpResponse(status=204)
