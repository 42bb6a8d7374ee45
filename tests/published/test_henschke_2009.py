"""One weak sign refers nobody: in Henschke 2009 (Arthritis Rheum 60:3072) 80.4 % had one, 0.9 % had serious disease."""

import pytest

from floorward.core.screen import Answer, Outcome, ScreenFacts, judge, row_text

OLDER = ScreenFacts(age=58)
YES, NO = Answer.YES, Answer.NO


@pytest.mark.parametrize(
    ("answers", "outcome"),
    [
        ({}, Outcome.GO_ON),  # the age alone
        ({"LB11b": YES}, Outcome.ROUTINE),  # and unrelieved night pain
        ({"LB11a": YES}, Outcome.SOON),  # and unexplained weight loss
    ],
)
def test_an_age_of_58_counts_only_together_with_others(answers, outcome):
    assert judge("low-back", answers, OLDER).outcome is outcome


def test_long_term_corticosteroid_tablets_are_looked_at_soon_and_anabolic_steroids_are_not_meant():
    # the informative signs of a fracture there: corticosteroids, age over 70, significant trauma
    assert judge("low-back", {"LB8b": YES}, ScreenFacts(age=35)).outcome is Outcome.SOON
    assert judge("low-back", {"LB8b": NO}, ScreenFacts(age=35)).outcome is Outcome.GO_ON
    assert "anabolic steroids don't count" in row_text("LB8b").lower()
