"""Tries at a door: counted in the database, so that every worker counts the same, and answered with a time to wait.

A try is written down before it is judged and taken back when it succeeds; one that is turned away for being too soon is not counted,
so that nobody can keep a door shut by going on knocking. What is stored is a keyed hash of what was tried, and a time.
"""

import hashlib
import hmac
from collections.abc import Mapping
from datetime import datetime, timedelta
from math import ceil

from django.conf import settings

from floorward.errors import Refused
from floorward.storage.models import Knock
from floorward.tables import value

KEPT_FOR = timedelta(days=2)


def knock(tried: Mapping[str, str], now: datetime) -> tuple[int, ...]:
    """Write a try down; the numbers to give to `opened` if it succeeds.

    Args:
        tried: the doors of table `doors` it counts for (`here`, `address`, `account`, `device`, `code`, `link`), each with what tells
            one such door from another.
        now: the moment.

    Raises:
        Refused: `knocked-too-often`, with the minutes to wait.
    """
    Knock.objects.filter(at__lt=now - KEPT_FOR).delete()
    rows = [Knock.objects.create(key=_key(door, what), at=now) for door, what in tried.items()]
    waits = [_wait(door, row, now) for (door, row) in zip(tried, rows, strict=True)]
    if max(waits):
        opened(tuple(row.pk for row in rows))
        raise Refused("knocked-too-often", minutes=max(waits))
    return tuple(row.pk for row in rows)


def opened(numbers: tuple[int, ...]) -> None:
    """The try succeeded: it counts no longer."""
    Knock.objects.filter(pk__in=numbers).delete()


def forget(tried: Mapping[str, str]) -> None:
    """Nothing tried at these doors before counts any longer."""
    Knock.objects.filter(key__in=[_key(door, what) for door, what in tried.items()]).delete()


def _wait(door: str, row: Knock, now: datetime) -> int:
    """Whole minutes until one more try is allowed; 0 if this one is."""
    most, within = value("doors", door, "most"), timedelta(minutes=value("doors", door, "within"))
    others = Knock.objects.filter(key=row.key, at__gt=now - within).exclude(
        pk=row.pk
    )  # also of this very moment
    times = list(others.order_by("-at").values_list("at", flat=True)[:most])
    if len(times) < most:
        return 0
    return max(1, ceil((times[-1] + within - now) / timedelta(minutes=1)))


def _key(door: str, what: str) -> str:
    said = f"{door}\0{what}".encode()
    return hmac.new(settings.SECRET_KEY.encode(), said, hashlib.sha256).hexdigest()
