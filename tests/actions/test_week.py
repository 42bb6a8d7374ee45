"""A week planned whole: each day has the sore lift, nothing asks more than it may, and the first day can be taken."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from floorward.actions.building import take_day, wishes_of
from floorward.actions.sessions import open_session
from floorward.actions.week import blank_week, week_of
from floorward.storage.models import BestSet
from tests.conftest import at
from tests.people import a_lifter
from tests.training import sore_back, trained

pytestmark = pytest.mark.django_db
BESTS = (("deadlift", 150, 5), ("bench-press", 80, 5), ("lat-pulldown", 60, 8), ("leg-curl", 40, 10))


@pytest.fixture
def session(gym, coach):
    """A Monday with a sore back that bore 90 kg twice."""
    lifter = a_lifter(gym, coach, at("2026-11-01 09:00"), "Una Brack")
    for lift, load, reps in BESTS:
        BestSet.objects.create(
            lifter=lifter, lift=lift, load=Decimal(load), unit="kg", reps=reps, day=date(2026, 10, 1)
        )
    episode = sore_back(lifter, coach, started="2026-11-10 18:00", load=Decimal(140), usual_load=Decimal(140))
    for day in ("2026-11-16", "2026-11-19"):
        trained(episode, day, "90", (1, 1, 1))
    return open_session(lifter, by=coach, now=at("2026-11-23 18:00"))


def test_a_week_is_planned_day_by_day_and_its_first_day_can_be_taken(session):
    days = (0, 2, 4)
    page = week_of(session, days, 45)
    assert [one.day for one in page.days] == [session.day + timedelta(days=count) for count in days]
    # full-range work first, on every day, and no day over its hour or over what the back may be asked
    assert all(one.lines[0].role == "full-range" for one in page.days)
    assert all(one.minutes <= 45 for one in page.days)
    assert all(percent <= 100 for one in page.days for _, percent in one.asked)
    assert all(percent <= 100 for _, percent in page.asked_of_week)
    # two sessions in a row of days are not both hard, and the week is worth more than nothing everywhere it can be
    assert {one.name: one.percent for one in page.kept}["chest"] > 30
    take_day(session, days, 45, seen_version=0)
    taken = [(line.load, line.sets, line.reps) for line in session.lines.order_by("order")]
    first = page.days[0].lines
    assert [(line.sets, line.repetitions) for line in first] == [(sets, reps) for _, sets, reps in taken]
    assert wishes_of(session).said[0]["code"] == "plan-of-week"


def test_only_days_until_sunday_are_offered(session):
    page = blank_week(session)
    assert [count for count, _ in page.open_days] == list(range(7))
    assert page.open_days[-1][1].weekday() == 6
    assert page.chosen[0] == 0
