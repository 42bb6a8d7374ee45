"""What counts as better: 2 points or 30 percent. Ostelo 2008, Spine 33:90."""

import pytest

from floorward.core.pain import Improvement, improved

POINTS, PERCENT = Improvement.TWO_POINTS, Improvement.THIRTY_PERCENT


@pytest.mark.parametrize(
    ("first", "now", "passed"),
    [
        (7, 5, (POINTS,)),  # -2, -28.6 %
        (3, 2, (PERCENT,)),  # -1, -33.3 %
        (7, 6, ()),  # -1, -14.3 %
        (10, 7, (POINTS, PERCENT)),  # -3, -30.0 %
        (0, 0, ()),
    ],
)
def test_better_is_two_points_or_thirty_percent_and_says_which(first, now, passed):
    assert improved(first, now) == passed
