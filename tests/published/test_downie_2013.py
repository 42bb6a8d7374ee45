"""A history of cancer is the one sign that raises suspicion by itself: 33 % after the test. Downie 2013, BMJ 347:f7095."""

import pytest

from floorward.core.screen import Answer, Outcome, ScreenFacts, judge

YES = Answer.YES


def test_a_history_of_cancer_with_new_back_pain_is_looked_at_soon():
    assert judge("low-back", {"LB9": YES}, ScreenFacts(age=35)).outcome is Outcome.SOON


@pytest.mark.parametrize("more", ["LB2", "LB3", "LB5", "LB6", "LB9a", "LB9b"])
def test_with_weak_legs_or_a_changed_bladder_it_is_an_emergency(more):
    # cord compression list of NHS Lothian: walking, limb weakness, bladder or bowel, band-like pain
    assert judge("low-back", {"LB9": YES, more: YES}, ScreenFacts(age=35)).outcome is Outcome.EMERGENCY
