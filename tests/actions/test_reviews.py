"""The clock fed by the log: lost nights, illness and a lift that stands still raise their calls by themselves."""

from datetime import date, timedelta

import pytest

from floorward.actions.mornings import Answer, record_morning
from floorward.actions.reviews import hold_review, review_of, reviews_of
from floorward.actions.today import today_view
from floorward.core.screen import Outcome
from floorward.storage.models import Screening
from tests.conftest import at
from tests.training import sore_back, trained

pytestmark = pytest.mark.django_db
DAY_THREE = at("2026-11-26 09:00")
DAY_42 = at("2027-01-04 09:00")


@pytest.fixture
def episode(lifter, coach):
    return sore_back(lifter, coach)


def woke(episode, day, score=2, **told):
    record_morning(episode, Answer(day=date.fromisoformat(day), score=score, **told), now=at(f"{day} 07:00"))


def called(episode, now=DAY_THREE):
    """What calls on the lifter's page, which must be what Today shows."""
    lifter = episode.lifter
    view = today_view(lifter.gym, now, viewer=lifter.coach)
    shown = {row.review.code for row in view.review if row.who.episode.pk == episode.pk}
    found = {row.code for row in reviews_of(episode, now) if row.due <= now.date() and row.done is None}
    assert shown <= found
    return shown


def test_three_nights_in_a_row_that_cost_sleep_call_a_clinician_within_a_week(episode):
    woke(episode, "2026-11-24", night_lost=True)
    woke(episode, "2026-11-25", night_lost=True)
    assert called(episode, at("2026-11-25 09:00")) == set()
    woke(episode, "2026-11-26", night_lost=True)
    assert called(episode) == {"sleep_lost"}
    review = review_of(episode, "sleep_lost", DAY_THREE)
    assert (review.outcome, review.within_days) == (Outcome.ROUTINE, 7)


def test_a_good_night_between_breaks_the_run(episode):
    for day, lost in (("2026-11-24", True), ("2026-11-25", False), ("2026-11-26", True)):
        woke(episode, day, night_lost=lost)
    assert called(episode) == set()


def test_pain_at_rest_in_somebody_who_feels_ill_is_for_the_same_day(episode):
    for day in ("2026-11-24", "2026-11-25", "2026-11-26"):
        trained(episode, day, "20", (7, 7, 7))
    assert review_of(episode, "rest_pain", DAY_THREE).outcome is Outcome.ROUTINE
    woke(episode, "2026-11-26", unwell=True)
    assert review_of(episode, "rest_pain", DAY_THREE).outcome is Outcome.SAME_DAY
    assert called(episode) == {"rest_pain", "ill"}


def test_feeling_ill_asks_for_the_questions_until_they_were_asked(episode):
    woke(episode, "2026-11-26", unwell=True)
    assert called(episode) == {"ill"}
    Screening.objects.create(episode=episode, at=DAY_THREE, answers={}, outcome="go-on", locks="none")
    assert called(episode, at("2026-11-26 10:00")) == set()


def six_weeks(episode, *loads):
    """Two evenings a week at these loads."""
    for number, load in enumerate(loads):
        day = episode.since + timedelta(days=round(3.5 * number))
        trained(episode, day.isoformat(), load)


def test_a_lift_that_stands_still_fails_the_six_weeks_review_without_being_asked(episode):
    six_weeks(episode, "80", "85", *["90"] * 10)
    review = review_of(episode, "six_weeks", DAY_42)
    assert (review.outcome, review.within_days, review.missing) == (Outcome.ROUTINE, 14, ())
    assert "six_weeks" in called(episode, DAY_42)


def test_a_lift_that_moves_waits_for_the_coachs_word(episode):
    six_weeks(episode, "80", "80", "85", "85", "90", "90", "95", "95", "100", "100", "105", "105")
    assert review_of(episode, "six_weeks", DAY_42).missing == ("lifts_blocked",)


def test_a_held_review_keeps_what_the_standstill_says(episode, coach):
    six_weeks(episode, "80", "85", *["90"] * 10)
    row = hold_review(episode, "six_weeks", score=2, lifts_blocked=False, note="", by=coach, now=DAY_42)
    assert row.outcome == Outcome.ROUTINE


def test_a_load_in_pounds_is_compared_with_one_in_kilograms(episode):
    six_weeks(episode, "80", "85", *["90"] * 9)
    trained(episode, "2026-12-31", "198", unit="lb")
    assert review_of(episode, "six_weeks", DAY_42).outcome is Outcome.ROUTINE
