"""Morning checks: which day they belong to, what is asked twice, what is kept."""

from datetime import date, timedelta

import pytest

from floorward.actions.lifters import withdraw_consent
from floorward.actions.mornings import (
    Answer,
    gym_day,
    morning_findings,
    morning_view,
    open_report,
    record_morning,
)
from floorward.storage.models import Screening, Trace
from tests.conftest import at
from tests.training import sore_back

pytestmark = pytest.mark.django_db
TUESDAY = date(2026, 11, 24)
SEVEN = at("2026-11-24 07:00")


@pytest.fixture
def episode(lifter, coach):
    return sore_back(lifter, coach)


def codes(view, answer, **asked):
    return [finding.code for finding in morning_findings(view, answer, **asked)]


def test_a_morning_is_due_until_it_is_answered(lifter, episode):
    assert morning_view(lifter, SEVEN).due
    record_morning(episode, Answer(day=TUESDAY, score=1), now=SEVEN)
    view = morning_view(lifter, SEVEN)
    assert (view.due, view.answered[TUESDAY], view.answered_at) == (False, 1, SEVEN)


def test_nothing_is_asked_without_an_open_episode(lifter):
    assert morning_view(lifter, SEVEN) is None


def test_a_second_answer_with_another_score_asks(lifter, episode):
    record_morning(episode, Answer(day=TUESDAY, score=1), now=SEVEN)
    view = morning_view(lifter, SEVEN)
    assert codes(view, Answer(day=TUESDAY, score=3)) == ["morning-answered"]
    assert codes(view, Answer(day=TUESDAY, score=1)) == []


def test_a_page_left_open_overnight_asks_which_morning_is_meant(lifter, episode):
    view = morning_view(lifter, at("2026-11-25 07:00"))
    assert codes(view, Answer(day=TUESDAY, score=1), shown_day=TUESDAY) == ["morning-other-day"]
    assert codes(view, Answer(day=date(2026, 11, 25), score=1), shown_day=date(2026, 11, 25)) == []


def test_a_lifter_reaches_back_one_morning_and_a_coach_two_weeks(lifter, episode):
    late = at("2026-12-20 09:00")
    assert len(morning_view(lifter, late).days) == 2
    assert len(morning_view(lifter, late, by_coach=True).days) == 15
    assert codes(morning_view(lifter, late), Answer(day=TUESDAY, score=1)) == ["morning-out-of-reach"]


def test_no_morning_before_the_first_report_can_be_answered(lifter, episode):
    assert morning_view(lifter, SEVEN, by_coach=True).days == (TUESDAY, TUESDAY - timedelta(days=1))


def test_a_replaced_answer_leaves_a_trace(episode):
    record_morning(episode, Answer(day=TUESDAY, score=1, sentence="Fine."), now=SEVEN)
    record_morning(episode, Answer(day=TUESDAY, score=3), now=SEVEN + timedelta(hours=1))
    assert episode.mornings.get().score == 3
    assert Trace.objects.get().before == {
        "day": "2026-11-24",
        "score": 1,
        "new_symptoms": "no",
        "night_lost": False,
        "unwell": False,
        "sentence": "Fine.",
    }


def test_the_same_answer_sent_twice_is_one(episode):
    for _ in range(2):
        record_morning(episode, Answer(day=TUESDAY, score=1), now=SEVEN)
    assert (episode.mornings.count(), Trace.objects.count()) == (1, 0)


def test_an_answer_entered_by_a_coach_is_marked(episode, coach):
    assert record_morning(episode, Answer(day=TUESDAY, score=1), now=SEVEN, by=coach).entered_by == coach
    assert record_morning(episode, Answer(day=date(2026, 11, 25), score=1), now=SEVEN).entered_by is None


def test_nothing_is_kept_without_consent(lifter, episode):
    withdraw_consent(lifter, now=SEVEN)
    assert not morning_view(lifter, SEVEN).kept
    assert record_morning(episode, Answer(day=TUESDAY, score=1), now=SEVEN) is None
    assert not episode.mornings.exists()


@pytest.mark.parametrize("said", ["yes", "unsure"])
def test_new_symptoms_stay_open_until_a_screen_follows(episode, coach, said):
    record_morning(episode, Answer(day=TUESDAY, score=1, new_symptoms=said), now=SEVEN)
    assert open_report(episode).day == TUESDAY
    Screening.objects.create(
        episode=episode,
        at=SEVEN + timedelta(hours=2),
        asked_by=coach,
        answers={},
        outcome="go-on",
        locks="none",
    )
    assert open_report(episode) is None


def test_a_yes_is_not_taken_back_by_a_second_answer(episode):
    record_morning(episode, Answer(day=TUESDAY, score=1, new_symptoms="yes"), now=SEVEN)
    record_morning(episode, Answer(day=TUESDAY, score=1, new_symptoms="no"), now=SEVEN + timedelta(minutes=5))
    assert open_report(episode) is not None


@pytest.mark.parametrize(
    ("moment", "day"),
    [
        ("2026-11-23 23:30", "2026-11-23"),
        ("2026-11-24 00:40", "2026-11-23"),
        ("2026-11-24 03:59", "2026-11-23"),
        ("2026-11-24 04:00", "2026-11-24"),
        ("2026-03-29 00:30", "2026-03-28"),  # the night when summer time begins: one o'clock becomes two
        ("2026-03-29 03:30", "2026-03-28"),
        ("2026-03-29 04:30", "2026-03-29"),
        ("2026-10-25 01:30", "2026-10-24"),  # the night when it ends: one o'clock comes twice
        ("2026-10-25 03:30", "2026-10-24"),
        ("2026-10-25 04:30", "2026-10-25"),
    ],
)
def test_late_evenings_and_clock_changes_keep_their_day(gym, moment, day):
    assert gym_day(gym, at(moment)) == date.fromisoformat(day)


def test_two_open_episodes_are_asked_one_after_the_other(lifter, coach, episode):
    knee = sore_back(lifter, coach, region="knee", lift="high-bar-squat")
    first = morning_view(lifter, SEVEN)
    record_morning(first.episode, Answer(day=TUESDAY, score=1), now=SEVEN)
    second = morning_view(lifter, SEVEN)
    assert {first.episode, second.episode} == {knee, episode}
    assert first.several
