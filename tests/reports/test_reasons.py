"""Every rule can say why, with every number that it may lack."""

import itertools
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.actions.proposals import numbers_of
from floorward.core.rules import Exposure, propose
from floorward.reports.reasons import reasons
from floorward.reports.wording import sentence, words

MONDAY = date(2026, 3, 2)
SCORE = st.none() | st.integers(0, 10)
LIMIT = st.sampled_from(["", "step-waits", "stock-ends", "bar-waits", "bar-stays", "variation-due"])
EXPOSURE = st.builds(
    Exposure,
    day=st.just(MONDAY),
    load=st.sampled_from([Decimal(95), Decimal(100)]),
    reps=st.integers(1, 8),
    target_reps=st.integers(1, 8),
    rpe=st.none() | st.sampled_from([6.0, 8.0, 9.5]),
    before=SCORE,
    during=st.integers(0, 10),
    after=SCORE,
    morning=SCORE,
    acceptable=st.booleans(),
    spreading=st.booleans(),
    morning_of_day=SCORE,
)


@given(st.lists(EXPOSURE, min_size=1, max_size=4), st.booleans(), st.booleans(), LIMIT)
def test_whatever_was_logged_the_reason_can_be_said(found, screen_open, rescreened, limit):
    from dataclasses import replace

    rows = tuple(replace(row, day=MONDAY + timedelta(days=3 * n)) for n, row in enumerate(found))
    ruling = propose(
        rows, screen_open=screen_open, rescreened=rescreened, today=rows[-1].day + timedelta(days=1)
    )
    said = [sentence(reason) for reason in reasons(ruling.code, numbers_of(ruling, rows[-1], limit=limit))]
    assert said
    assert not any("None" in line for line in said)


@pytest.mark.parametrize(
    ("scores", "code"),
    [
        ({"D": 6, "A": 1}, "rule-R2-during"),
        ({"D": 2, "A": 6}, "rule-R2-after"),
        ({"D": 2, "A": None}, "rule-R2-not-acceptable"),
    ],
)
def test_the_rule_over_the_ceiling_names_what_was_over_it(scores, code):
    numbers = {"B": 1, "M": 1, "ceiling_set": 5, "after_max": 5, "acceptable": False, **scores}
    assert [reason.code for reason in reasons("R2", numbers)] == [code]


def test_an_escalation_says_the_rule_underneath_first():
    numbers = {"B": 1, "D": 2, "A": 1, "M": 4, "rule": "R3", "step_backs": 3, "days": 14}
    assert [reason.code for reason in reasons("E2", numbers)] == ["rule-R3", "rule-E2"]
    assert [reason.code for reason in reasons("E1", {**numbers, "step_backs": 2})][:2] == [
        "rule-R3",
        "rule-E1",
    ]


@pytest.mark.parametrize("missing", ["A", "B", "reps", "rpe"])
def test_a_hold_that_no_rule_asked_for_says_what_was_missing(missing):
    numbers = {"B": 1, "D": 2, "A": 1, "M": 1, "reps": 5, "target_reps": 5, "rpe": 9.0}
    numbers |= {missing: 3 if missing == "reps" else None}
    codes = {"A": "after", "B": "baseline", "reps": "reps", "rpe": "unrated"}
    assert [reason.code for reason in reasons("none", numbers)] == [f"rule-none-{codes[missing]}"]


def test_every_review_has_a_name_and_a_question():
    from floorward.core.clock import ANY_DAY, PLANNED

    for code, group in itertools.product((*PLANNED, *ANY_DAY), ("review", "review-asks")):
        assert words(group)[code]


def test_another_set_up_is_told_with_what_it_stands_in_for():
    to = {"lift": "trap-bar-high", "height_mm": 345, "depth_deg": 0, "box_mm": 0, "rise_mm": 0}
    quiet = {"ruled": "forward", "B": 1, "D": 1, "A": 1, "M": 1}
    told = {**quiet, "to": {**to, "from_height": True}, "to_load": "97.5 kg", "to_odds": "15"}
    leap, still = (
        sentence(reasons("R8", {**told, "to_instead": instead})[-1]) for instead in ("height", "nothing")
    )
    assert leap.startswith("The next height down would be too large a step.")
    assert still.startswith("Load, height and sets stand still here.")
    assert "trap bar, high handles with 97.5 kg" in leap
    assert "A set there is about once in fifteen too much." in still
