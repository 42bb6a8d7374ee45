"""Where a request comes from, and whether this browser has signed in with a name before."""

import secrets
from ipaddress import ip_address

from django.conf import settings
from django.core.signing import BadSignature, TimestampSigner
from django.http import HttpRequest, HttpResponse

COOKIE = "device"
LIFE_S = 180 * 24 * 3600
_SIGNER = TimestampSigner(salt="floorward.device", sep=".")


def address_of(request: HttpRequest) -> str:
    """The address that asks. A proxy on this computer says for whom; nobody else is believed."""
    near = str(request.META.get("REMOTE_ADDR", ""))
    said = request.headers.get("X-Forwarded-For", "").rpartition(",")[2].strip()
    return said if said and _is_here(near) and _is_address(said) else near


def device_of(request: HttpRequest, number: int | None) -> str:
    """What this browser carries from having signed in as the person with this number; "" where it did not."""
    try:
        plain = _SIGNER.unsign(request.COOKIES.get(COOKIE, ""), max_age=LIFE_S)
    except BadSignature:
        return ""
    device, _, who = plain.partition(":")
    return device if number is not None and str(number) in who.split("-") else ""


def remember(request: HttpRequest, response: HttpResponse, number: int) -> None:
    """Let this browser carry that the person with this number has signed in with it; several may share one."""
    try:
        plain = _SIGNER.unsign(request.COOKIES.get(COOKIE, ""), max_age=LIFE_S)
    except BadSignature:
        plain = f"{secrets.token_hex(12)}:"
    device, _, who = plain.partition(":")
    known = [one for one in who.split("-") if one and one != str(number)][-9:]
    response.set_cookie(
        COOKIE,
        _SIGNER.sign(f"{device}:{'-'.join([*known, str(number)])}"),
        max_age=LIFE_S,
        httponly=True,
        samesite="Lax",
        secure=settings.SESSION_COOKIE_SECURE,
    )


def _is_address(text: str) -> bool:
    try:
        ip_address(text)
    except ValueError:
        return False
    return True


def _is_here(near: str) -> bool:
    return not near or (_is_address(near) and ip_address(near).is_loopback)
