from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.core.clock import ANY_DAY, PLANNED, EpisodeHistory, codes_to_hold, reviews, to_hold
from floorward.core.screen import Outcome

START = date(2026, 3, 2)
BACK = EpisodeHistory(region="low-back", first_score=6, now_score=4, lifts_blocked=False)


def at(day, history=BACK):
    return {review.code: review for review in reviews(START, history, START + timedelta(days=day))}


def days(last, *scores):
    """Scores on days in a row, the last of them `last` days after the start."""
    first = last - len(scores) + 1
    return {START + timedelta(days=first + i): score for i, score in enumerate(scores)}


def test_review_points_are_days_7_to_14_28_42_and_84():
    assert [(code, (r.due - START).days, (r.last - START).days) for code, r in at(0).items()] == [
        ("first", 7, 14),
        ("month", 28, 28),
        ("six_weeks", 42, 42),
        ("twelve_weeks", 84, 84),
    ]


def test_a_review_that_is_not_due_says_nothing():
    assert at(6)["first"].outcome is None
    assert at(7)["first"].outcome is Outcome.GO_ON


def test_the_reviews_to_hold_are_due_and_not_done():
    history = replace(BACK, reviewed={"first": START + timedelta(days=8)})
    today = START + timedelta(days=30)
    assert [review.code for review in to_hold(reviews(START, history, today), today)] == ["month"]
    assert at(30, history)["first"].done == START + timedelta(days=8)


LAST_DAYS = st.dictionaries(st.integers(0, 9), st.integers(0, 10))


@given(
    st.integers(0, 120),
    st.sampled_from(["knee", "low-back"]),
    LAST_DAYS,
    LAST_DAYS,
    st.sets(st.integers(0, 9)),
    st.sets(st.integers(0, 9)),
    st.dictionaries(st.sampled_from([*PLANNED, *ANY_DAY]), st.integers(0, 9)),
)
def test_a_list_of_hundreds_names_the_reviews_that_the_page_of_one_would_hold(
    day, region, mornings, rests, nights, unwell, held
):
    today = START + timedelta(days=day)

    def ago(days):
        return today - timedelta(days=days)

    history = replace(
        BACK,
        region=region,
        injury=True,
        mornings={ago(n): score for n, score in sorted(mornings.items(), reverse=True)},
        rest_scores={ago(n): score for n, score in rests.items()},
        nights_lost=frozenset(map(ago, nights)),
        unwell=frozenset(map(ago, unwell)),
        reviewed={code: ago(n) for code, n in held.items()},
    )
    full = to_hold(reviews(START, history, today), today)
    assert codes_to_hold(START, history, today) == tuple(row.code for row in full)


@pytest.mark.parametrize(
    ("now", "outcome", "within"), [(8, Outcome.ROUTINE, 7), (7, Outcome.GO_ON, 0), (2, Outcome.GO_ON, 0)]
)
def test_clearly_worse_after_a_week_books_somebody_within_a_week(now, outcome, within):
    review = at(7, replace(BACK, now_score=now))["first"]
    assert (review.outcome, review.within_days) == (outcome, within)


@pytest.mark.parametrize("unasked", [{"first_score": None}, {"now_score": None}])
@pytest.mark.parametrize("code", ["first", "month"])
def test_a_review_without_its_scores_says_what_is_missing(code, unasked):
    review = at(28, replace(BACK, **unasked))[code]
    assert (review.outcome, review.missing) == (None, ("score",))


@pytest.mark.parametrize(
    ("activities", "outcome"),
    [(None, Outcome.ROUTINE), (Decimal("1.9"), Outcome.ROUTINE), (Decimal(2), Outcome.GO_ON)],
)
def test_a_month_without_less_pain_passes_by_more_activity_only(activities, outcome):
    history = replace(BACK, now_score=6, activities_change=activities)
    assert at(28, history)["month"].outcome is outcome


def test_a_hurt_knee_that_is_no_better_after_two_weeks_is_looked_at_soon():
    hurt = EpisodeHistory(region="knee", injury=True, first_score=5, now_score=5)
    assert at(14, hurt)["knee"].outcome is Outcome.SOON
    assert at(14, replace(hurt, now_score=3))["knee"].outcome is Outcome.GO_ON
    assert "knee" not in at(14, replace(hurt, injury=False))
    assert "knee" not in at(14, replace(hurt, region="hip"))


@pytest.mark.parametrize(
    ("blocked", "plateau", "outcome"),
    [
        (True, False, Outcome.ROUTINE),
        (False, True, Outcome.ROUTINE),
        (False, False, Outcome.GO_ON),
        (None, False, None),
        (None, True, Outcome.ROUTINE),
    ],
)
def test_lifts_blocked_or_a_plateau_after_six_weeks_book_somebody(blocked, plateau, outcome):
    assert at(42, replace(BACK, lifts_blocked=blocked, plateau=plateau))["six_weeks"].outcome is outcome


@pytest.mark.parametrize(
    ("scores", "outcome"),
    [((1,) * 8, Outcome.ROUTINE), ((1, 0) * 4, Outcome.GO_ON), ((0,) * 8, Outcome.GO_ON), ((1,) * 6, None)],
)
def test_pain_on_most_mornings_after_twelve_weeks_books_somebody(scores, outcome):
    assert at(84, replace(BACK, mornings=days(84, *scores)))["twelve_weeks"].outcome is outcome


def test_mornings_of_long_ago_do_not_count_after_twelve_weeks():
    assert at(84, replace(BACK, mornings=days(60, *(1,) * 20)))["twelve_weeks"].missing == ("mornings",)


@pytest.mark.parametrize(("scores", "calls"), [((7, 8, 7), True), ((7, 7), False), ((7, 6, 7), False)])
def test_rest_pain_of_seven_for_more_than_two_days_calls(scores, calls):
    assert ("rest_pain" in at(5, replace(BACK, rest_scores=days(5, *scores)))) is calls


@pytest.mark.parametrize(
    ("scores", "calls"),
    [((1, 2, 3), True), ((0, 1, 2, 4), True), ((1, 2, 2), False), ((1, 3), False), ((3, 2, 1), False)],
)
def test_three_rising_mornings_call(scores, calls):
    assert ("rising_mornings" in at(5, replace(BACK, mornings=days(5, *scores)))) is calls


def test_rising_mornings_with_a_gap_do_not_call():
    mornings = days(1, 1) | days(4, 2, 3)
    assert "rising_mornings" not in at(5, replace(BACK, mornings=mornings))


@pytest.mark.parametrize(("nights", "calls"), [((3, 4, 5), True), ((4, 5), False), ((2, 4, 5), False)])
def test_three_lost_nights_in_a_row_call(nights, calls):
    lost = frozenset(START + timedelta(days=night) for night in nights)
    assert ("sleep_lost" in at(5, replace(BACK, nights_lost=lost))) is calls


def test_what_called_somebody_once_is_silent_when_it_is_long_over():
    history = replace(BACK, rest_scores=days(5, 8, 8, 8))
    assert "rest_pain" in at(7, history)
    assert "rest_pain" not in at(8, history)


def test_days_to_come_call_nobody():
    assert "rest_pain" not in at(3, replace(BACK, rest_scores=days(5, 8, 8, 8)))


def test_rest_pain_in_somebody_who_feels_ill_is_same_day():
    history = replace(BACK, rest_scores=days(5, 8, 8, 8))
    assert (at(5, history)["rest_pain"].outcome, at(5, history)["rest_pain"].within_days) == (
        Outcome.ROUTINE,
        7,
    )
    ill = at(5, replace(history, unwell=frozenset(days(4, 0))))["rest_pain"]
    assert (ill.outcome, ill.within_days) == (Outcome.SAME_DAY, 0)


def test_a_call_that_was_answered_stays_answered_for_a_week():
    history = replace(
        BACK, rest_scores=days(20, *(8,) * 15), reviewed={"rest_pain": START + timedelta(days=12)}
    )
    assert at(18, history)["rest_pain"].done == START + timedelta(days=12)
    assert at(19, history)["rest_pain"].done is None


@pytest.mark.parametrize(("told", "calls"), [(3, True), (5, True), (2, False)])
def test_somebody_who_felt_ill_lately_is_asked_the_questions_and_not_sent_for_it(told, calls):
    found = at(5, replace(BACK, unwell=frozenset({START + timedelta(days=told)})))
    assert ("ill" in found) is calls
    assert not calls or (found["ill"].outcome, found["ill"].within_days) == (Outcome.GO_ON, 2)
