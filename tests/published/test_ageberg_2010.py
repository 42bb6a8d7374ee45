"""Bands of pain during and after exercise: Ageberg 2010, BMC Musculoskelet Disord 11:126."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from floorward.core.pain import Band, band
from floorward.core.protocol import protocol_from
from floorward.core.rules import Change, Exposure, propose

DONE = Exposure(
    day=date(2026, 3, 2),
    load=Decimal(100),
    reps=5,
    target_reps=5,
    rpe=7,
    before=1,
    during=2,
    after=1,
    morning=1,
)


@pytest.mark.parametrize(
    ("score", "expected"),
    [
        (0, "safe"),
        (2, "safe"),
        (3, "acceptable"),
        (5, "acceptable"),
        (6, "high"),
        (10, "high"),
        (2.0, "safe"),  # decimals: 0 to 2 safe, above 2 to 5 acceptable, above 5 high
        (2.1, "acceptable"),
        (5.0, "acceptable"),
        (5.1, "high"),
        (Decimal("2.1"), "acceptable"),
        (Decimal("5.1"), "high"),
    ],
)
def test_the_bands_end_at_two_and_five(score, expected):
    assert band(score) is Band(expected)


def test_a_ceiling_in_the_high_band_is_refused():
    _, findings = protocol_from({"ceiling_set": 6})  # above 5 is high there
    assert [finding.code for finding in findings] == ["ceiling-raised"]


@pytest.mark.parametrize("scores", [{"during": 6}, {"after": 6}])
def test_pain_in_the_high_band_steps_back_even_when_the_morning_settled(scores):
    ruling = propose((replace(DONE, **scores),), today=date(2026, 3, 3))
    assert (ruling.code, ruling.change) == ("R2", Change.BACK)
