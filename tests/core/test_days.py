"""Late sessions stay on their evening, early mornings are the next day, and the change of clocks moves nothing."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.core.days import age_years, morning_of, training_day

LONDON = ZoneInfo("Europe/London")


def wall(text: str, zone: ZoneInfo = LONDON) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=zone)


@pytest.mark.parametrize(
    ("moment", "day"),
    [
        ("2026-11-23 18:10", date(2026, 11, 23)),
        ("2026-11-23 23:30", date(2026, 11, 23)),
        ("2026-11-24 00:40", date(2026, 11, 23)),
        ("2026-11-24 03:59", date(2026, 11, 23)),
        ("2026-11-24 04:00", date(2026, 11, 24)),
    ],
)
def test_a_late_session_stays_on_its_evening(moment, day):
    assert training_day(wall(moment), LONDON) == day


@pytest.mark.parametrize("night", ["2026-03-28", "2026-10-24"])  # the nights of the change in London
def test_the_change_of_clocks_moves_no_session(night):
    evening = wall(f"{night} 23:30")
    assert training_day(evening, LONDON) == date.fromisoformat(night)
    assert training_day(evening + timedelta(hours=1), LONDON) == date.fromisoformat(night)
    next_morning = wall(f"{morning_of(date.fromisoformat(night))} 07:00")
    assert training_day(next_morning, LONDON) == morning_of(date.fromisoformat(night))


@given(
    st.datetimes(min_value=datetime(2020, 1, 1), max_value=datetime(2030, 1, 1)),
    st.sampled_from(["Europe/London", "America/New_York", "Asia/Kathmandu", "Australia/Lord_Howe"]),
)
def test_a_moment_is_at_most_four_hours_older_than_its_day(moment, zone_name):
    zone = ZoneInfo(zone_name)
    at = moment.replace(tzinfo=UTC)
    assert at.astimezone(zone).date() - training_day(at, zone) in (timedelta(0), timedelta(days=1))


def test_a_year_of_birth_tells_an_age_to_the_year():
    assert age_years(1991, date(2026, 11, 23)) == 35
