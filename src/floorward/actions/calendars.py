"""Calendars to subscribe to: a lifter's by their personal link, a coach's by a signed address of their own.

A coach's address is signed with their password: it ends when the password changes, or when they may no longer sign in.
"""

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.core.signing import BadSignature, Signer
from django.db.models import Q, QuerySet
from django.utils.crypto import constant_time_compare, salted_hmac

from floorward.actions.lifters import consent_of
from floorward.actions.links import LETTERS, PLACES
from floorward.actions.mornings import gym_day
from floorward.errors import Refused
from floorward.reports.calendar import Entry, calendar, morning_entry
from floorward.reports.card import called
from floorward.reports.wording import sentence_for
from floorward.storage import place
from floorward.storage.models import Lifter, Session, Staff
from floorward.tables import value

_SIGNER = Signer(salt="floorward.coach-calendar", sep=".")


def own_calendar(lifter: Lifter, now: datetime) -> bytes:
    """A lifter's sessions, and the reminder of the morning check while it is asked."""
    zone = ZoneInfo(lifter.gym.time_zone)
    entries = [
        _session(row, sentence_for("calendar-session", {})) for row in _since(lifter.sessions.all(), now)
    ]
    asked = lifter.episodes.filter(closed_at=None).order_by("started_at").first()
    if asked is not None and consent_of(lifter) is not None:
        day = gym_day(lifter.gym, asked.started_at) + timedelta(days=1)
        first = datetime.combine(day, time(value("calendar", "morning_hour")), zone)
        entries.append(morning_entry(_key("morning", asked.pk), first, asked.started_at))
    return calendar(sentence_for("calendar-own", {"gym": lifter.gym.name}), zone, entries)


def coach_calendar(staff: Staff, now: datetime) -> bytes:
    """The sessions of the lifters whom this coach trains, and those they began themselves."""
    rows = Session.objects.filter(lifter__gym=staff.gym_id)
    mine = rows.filter(Q(lifter__coach=staff) | Q(made_by=staff)).select_related("lifter__gym")
    entries = [
        _session(row, sentence_for("calendar-session-of", {"name": called(row.lifter.name)}))
        for row in _since(mine, now)
    ]
    name = sentence_for("calendar-coach", {"coach": staff.name})
    return calendar(name, ZoneInfo(staff.gym.time_zone), entries)


def coach_token(staff: Staff) -> str:
    """What stands in the address of a coach's calendar."""
    return _SIGNER.sign(f"{LETTERS[place.current()]}{staff.pk}-{_seal(staff)}")


def place_of_coach(token: str) -> str:
    """The place that a token belongs to.

    Raises:
        Refused: `link-unknown` if it was not signed here.
    """
    return _read(token)[0]


def coach_of(token: str) -> Staff:
    """Whose calendar it is. To be called inside the token's place.

    Raises:
        Refused: `link-unknown`, or `link-over` when the password changed or they may no longer sign in.
    """
    _, number, seal = _read(token)
    staff = Staff.objects.select_related("gym").filter(pk=number).first()
    if staff is None or not staff.is_active or not staff.may_coach:
        raise Refused("link-over")
    if not constant_time_compare(seal, _seal(staff)):
        raise Refused("link-over")
    return staff


def _seal(staff: Staff) -> str:
    return salted_hmac("floorward.coach-calendar", staff.password, algorithm="sha256").hexdigest()[:24]


def _read(token: str) -> tuple[str, int, str]:
    try:
        plain, _, seal = _SIGNER.unsign(token).partition("-")
        return PLACES[plain[0]], int(plain[1:]), seal
    except (BadSignature, KeyError, ValueError, IndexError) as error:
        raise Refused("link-unknown") from error


def _since(rows: QuerySet[Session], now: datetime) -> QuerySet[Session]:
    back = now.date() - timedelta(days=value("calendar", "back"))
    return rows.filter(day__gte=back).order_by("started_at", "pk")


def _session(row: Session, summary: str) -> Entry:
    longest = timedelta(minutes=value("calendar", "length"))
    ends = row.ended_at if row.ended_at and row.ended_at > row.started_at else row.started_at + longest
    return Entry(
        key=_key("session", row.pk),
        summary=summary,
        starts=row.started_at,
        ends=ends,
        noted=row.started_at,
        place=row.lifter.gym.name,
    )


def _key(kind: str, number: int) -> str:
    return salted_hmac("floorward.calendar", f"{kind} {number}", algorithm="sha256").hexdigest()
