"""How fast healing goes at first: pain and disability 58 % lower within a month. Pengel 2003, BMJ 327:323 (15 studies)."""

import pytest

from floorward.core import belief
from tests.published.test_costa_2012 import START, WEEKS_26, left

LEFT_AFTER_A_MONTH = 0.42


def test_after_a_month_as_much_is_left_as_in_the_studies():
    """Toward a plateau between no pain at all and the half-year mean of the larger pool."""
    plateau = WEEKS_26 / START
    assert (LEFT_AFTER_A_MONTH - plateau) / (1 - plateau) <= left(30) <= LEFT_AFTER_A_MONTH


def test_the_month_alone_would_ask_for_a_similar_healing_time():
    """42 % left of a way to 10 of 52 after 30 days is a time constant of about a month."""
    assert belief.setting("prior", "healing_days") == pytest.approx(30, rel=0.25)
