"""Saddle, bladder, bowel, sexual function, both legs: any one is an emergency.

BMJ Best Practice, cauda equina syndrome; items of the warning card by Greenhalgh, Mercer and Finucane.
"""

import pytest

from floorward.core.screen import Answer, Outcome, ScreenFacts, judge


@pytest.mark.parametrize("row", ["LB1", "LB2", "LB3", "LB4", "LB5"])
@pytest.mark.parametrize("answer", [Answer.YES, Answer.UNSURE])
@pytest.mark.parametrize("repeat", [False, True])
def test_any_one_yes_or_unsure_is_an_emergency_that_locks_the_person(row, answer, repeat):
    verdict = judge("low-back", {row: answer}, ScreenFacts(age=30), repeat=repeat)
    assert (verdict.outcome, verdict.locks, verdict.reasons) == (Outcome.EMERGENCY, "person", (row,))
