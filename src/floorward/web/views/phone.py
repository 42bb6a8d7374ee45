"""What a phone needs: how to trust this computer, and to go on while it is away a service worker, a page, a sign of life."""

from pathlib import Path

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from floorward.reports.drawings.code import qr_code
from floorward.web.door import CERTIFICATE


@login_not_required
def service_worker(_: HttpRequest) -> HttpResponse:
    """The worker, at the root so that it may answer for every page; another one for every version of the files."""
    script = Path(str(finders.find("js/worker.js"))).read_text()
    script = f'const VERSION = "{settings.VERSION_OF_FILES}";\n{script}'
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


def phones(request: HttpRequest) -> HttpResponse:
    """How a phone on the gym's network comes to trust this computer."""
    page = {
        "page": "gym",
        "tab": "phones",
        "door": settings.LAN_DOOR,
        "code": qr_code(settings.LAN_DOOR, _("QR code of the door for phones")) if settings.LAN_DOOR else "",
        "certificate": CERTIFICATE,
        "fingerprint": settings.LAN_FINGERPRINT,
    }
    return render(request, "gym/phones.html", page)
