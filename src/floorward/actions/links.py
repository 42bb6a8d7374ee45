"""Personal links: a lifter's own door to today's card and the morning entry, without an account.

A link is the number of its row, signed with the installation's key. It ends by itself, can be taken back, and opens for one
lifter only; whoever finds it sees no history. The demo's links name the demo, because a lifter's phone carries no cookie.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.core.signing import BadSignature, Signer
from django.db.models import Q

from floorward.actions.histories import locks_on
from floorward.actions.mornings import open_report
from floorward.core.screen import Outcome
from floorward.errors import Refused
from floorward.storage import place
from floorward.storage.models import Lifter, PersonalLink
from floorward.tables import value

_SIGNER = Signer(salt="floorward.personal-link", sep=".")
PLACES = {"g": place.GYM, "d": place.DEMO}
LETTERS = {alias: letter for letter, alias in PLACES.items()}


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkView:
    """A link in force, as a coach sees it. `address` is empty while phones cannot reach this installation."""

    link: PersonalLink
    path: str
    address: str


def token_of(link: PersonalLink) -> str:
    """What stands in the link's address."""
    return _SIGNER.sign(f"{LETTERS[place.current()]}{link.pk}")


def place_of(token: str) -> str:
    """The place that a token belongs to.

    Raises:
        Refused: `link-unknown` if the token was not signed here, or is of the demo while that is closed.
    """
    found = _read(token)[0]
    if found == place.DEMO and not settings.DEMO_OPEN:
        raise Refused("link-unknown")
    return found


def open_link(token: str, now: datetime, *, looked: bool = True) -> PersonalLink:
    """The link with its lifter and gym; remembers that somebody `looked`. To be called inside the token's place.

    Raises:
        Refused: `link-unknown` if the token was not signed here or its row is gone, `link-over` if it has ended or was
            taken back.
    """
    rows = PersonalLink.objects.select_related("lifter__gym")
    link = rows.filter(pk=_read(token)[1]).first()
    if link is None:
        raise Refused("link-unknown")
    if link.revoked_at is not None or link.expires_at <= now:
        raise Refused("link-over")
    if looked:
        PersonalLink.objects.filter(pk=link.pk).update(opened_at=now)
    return link


def make_link(lifter: Lifter, now: datetime) -> PersonalLink:
    """A new link; those already given out go on opening until they end or are taken back."""
    valid = timedelta(days=value("links", "valid"))
    return PersonalLink.objects.create(lifter=lifter, made_at=now, expires_at=now + valid)


def revoke_links(lifter: Lifter, now: datetime) -> None:
    """Take back every link of this lifter: whoever holds one finds a plain page."""
    lifter.links.filter(revoked_at=None).update(revoked_at=now)


def link_in_force(lifter: Lifter, now: datetime) -> LinkView | None:
    """The newest link that still opens, or None."""
    link = lifter.links.filter(Q(revoked_at=None) & Q(expires_at__gt=now)).first()
    return None if link is None else _view(link)


def links_in_force(lifters: Iterable[Lifter], now: datetime) -> dict[int, LinkView]:
    """The newest link that still opens of each lifter, by the lifter's number."""
    rows = PersonalLink.objects.filter(lifter__in=list(lifters), revoked_at=None, expires_at__gt=now)
    return {link.lifter_id: _view(link) for link in rows.order_by("made_at")}


def stop_of(lifter: Lifter) -> str:
    """Why this lifter's card stays shut: `report` for new symptoms before a screen, `urgent` for a lock that sent them to
    the emergency department, `lock` for any other on all heavy work, else nothing.
    """
    open_ones = list(lifter.episodes.filter(closed_at=None))
    if any(open_report(episode) is not None for episode in open_ones):
        return "report"
    locks = [lock.screening for lock in locks_on(open_ones).values() if lock.whole_person]
    if any(screening.outcome == Outcome.EMERGENCY for screening in locks):
        return "urgent"
    return "lock" if locks else ""


def address_for(lifter: Lifter, now: datetime) -> str | None:
    """The address to print or send for this lifter, made if there is none that lasts; None while no phone can reach us."""
    if not settings.PUBLIC_ADDRESS:
        return None
    lasting = now + timedelta(days=value("links", "renew_under"))
    link = lifter.links.filter(revoked_at=None, expires_at__gt=lasting).first()
    return _view(link or make_link(lifter, now)).address


def _view(link: PersonalLink) -> LinkView:
    path = f"/l/{token_of(link)}/"
    return LinkView(
        link=link, path=path, address=f"{settings.PUBLIC_ADDRESS}{path}" if settings.PUBLIC_ADDRESS else ""
    )


def _read(token: str) -> tuple[str, int]:
    try:
        plain = _SIGNER.unsign(token)
        return PLACES[plain[0]], int(plain[1:])
    except (BadSignature, KeyError, ValueError, IndexError) as error:
        raise Refused("link-unknown") from error
