"""Which day a set, a session or a morning belongs to.

A training day runs from 04:00 to 04:00 on the gym's wall clock, so that a session that ends after midnight stays on its evening
and a morning answered at five is the next one. The change to and from summer time moves no set to another day, because
the shift is taken on the wall clock and not on elapsed hours.
"""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from floorward.tables import value


def training_day(at: datetime, zone: ZoneInfo) -> date:
    """The training day of the moment `at` (any time zone) on the wall clock of `zone`."""
    wall = at.astimezone(zone).replace(tzinfo=None)
    return (wall - timedelta(hours=value("days", "night_ends"))).date()


def morning_of(day: date) -> date:
    """The day whose morning answers for the training of `day`."""
    return day + timedelta(days=1)


def age_years(born_year: int, today: date) -> int:
    """The age reached during this calendar year; a year of birth tells no more."""
    return today.year - born_year
