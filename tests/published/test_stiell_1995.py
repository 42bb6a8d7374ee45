"""Who needs a look at a hurt knee the same day: age 55, bend to 90°, four steps. Stiell 1995, Ann Emerg Med 26:405."""

import pytest

from floorward.core.screen import Answer, Outcome, ScreenFacts, judge, row_text


@pytest.mark.parametrize(
    ("age", "injury", "outcome"),
    [
        (55, True, Outcome.SAME_DAY),
        (54, True, Outcome.GO_ON),
        (80, False, Outcome.GO_ON),  # the rule is for injuries
    ],
)
def test_the_age_of_55_counts_after_an_injury(age, injury, outcome):
    assert judge("knee", {}, ScreenFacts(age=age, injury=injury)).outcome is outcome


@pytest.mark.parametrize("row", ["K1a", "K1b"])
def test_any_one_of_bend_and_four_steps_is_enough(row):
    assert judge("knee", {row: Answer.YES}, ScreenFacts(age=30, injury=True)).outcome is Outcome.SAME_DAY


def test_limping_four_steps_is_walking():
    assert "limping counts as walking" in row_text("K1b").lower()
    assert judge("knee", {"K1b": Answer.NO}, ScreenFacts(age=30, injury=True)).outcome is Outcome.GO_ON
