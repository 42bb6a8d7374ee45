"""What counts as better: 2 points or 30 percent. Ostelo 2008, Spine 33:90."""

from datetime import date
from decimal import Decimal

import pytest

from floorward.core.clock import EpisodeHistory, reviews
from floorward.core.pain import Improvement, improved
from floorward.core.screen import Outcome

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


@pytest.mark.parametrize(
    ("now", "activities", "outcome"),
    [(5, Decimal(1), Outcome.ROUTINE), (4, None, Outcome.GO_ON), (5, Decimal(2), Outcome.GO_ON)],
)
def test_a_month_without_either_books_somebody(now, activities, outcome):
    # 6 to 5 is one point and 16.7 %; two points of the lifter's own activities count too (Stratford 1995)
    history = EpisodeHistory(region="low-back", first_score=6, now_score=now, activities_change=activities)
    found = reviews(date(2026, 3, 2), history, date(2026, 3, 30))
    assert next(review for review in found if review.code == "month").outcome is outcome
