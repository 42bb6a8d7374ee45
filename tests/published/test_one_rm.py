"""Equations, charts and scales of strength against their published values.

The values are those of the equations' own coefficients worked by hand, so a slip in a coefficient or a form shows.
"""

from itertools import pairwise

import pytest

from floorward import tables
from floorward.core.maxima import Basis, published_ratios
from floorward.core.repetitions import repetitions_at, repetitions_left, share_at, share_for
from floorward.core.strength import equations, estimate, heaviest_single, repetitions_by
from floorward.errors import ContractError

HUNDRED = {
    1: {"epley": 103.33, "brzycki": 100.00, "lander": 101.39, "lombardi": 100.00, "oconner": 102.50, "wathan": 101.30},
    3: {"epley": 110.00, "brzycki": 105.88, "lander": 107.20, "lombardi": 111.61, "mayhew": 113.99, "oconner": 107.50},
    5: {"epley": 116.67, "brzycki": 112.50, "lander": 113.71, "lombardi": 117.46, "mayhew": 119.01, "wathan": 116.58},
    8: {"epley": 126.67, "brzycki": 124.14, "lander": 125.11, "lombardi": 123.11, "mayhew": 126.29, "wathan": 127.67},
    10: {"epley": 133.33, "brzycki": 133.33, "lander": 134.07, "lombardi": 125.89, "mayhew": 130.93, "wathan": 134.75},
    20: {"epley": 166.67, "brzycki": 211.76, "lander": 208.88, "lombardi": 134.93, "mayhew": 151.18, "wathan": 164.46},
}  # fmt: skip


@pytest.mark.parametrize(
    ("repetitions", "key", "expected"),
    [(repetitions, key, kg) for repetitions, row in HUNDRED.items() for key, kg in row.items()],
)
def test_a_hundred_kilograms_make_what_the_equation_makes_of_them(
    repetitions: int, key: str, expected: float
) -> None:
    # Brzycki 1993, Epley 1985, Lander 1985, Lombardi 1989, Mayhew 1992, O'Conner 1989, Wathan 1994: coefficients as relayed
    # alike by four pages.
    assert heaviest_single(key, 100, repetitions) == pytest.approx(expected, abs=0.01)


def test_one_repetition_is_exactly_itself_by_brzycki_and_by_lombardi() -> None:
    assert heaviest_single("brzycki", 100, 1) == 100
    assert heaviest_single("lombardi", 100, 1) == 100


def test_epley_and_brzycki_cross_at_ten_repetitions() -> None:
    # Algebra: 1 + 10/30 = 36/27 = 4/3.
    assert heaviest_single("epley", 100, 10) == pytest.approx(133.333, abs=0.001)
    assert heaviest_single("brzycki", 100, 10) == pytest.approx(133.333, abs=0.001)


def test_brzycki_and_oconner_cross_at_five_repetitions() -> None:
    # Algebra: 36/32 = 1 + 5/40 = 1.125.
    assert heaviest_single("brzycki", 100, 5) == pytest.approx(112.5)
    assert heaviest_single("oconner", 100, 5) == pytest.approx(112.5)


@pytest.mark.parametrize("key", ["brzycki", "lander"])
def test_equations_with_a_pole_refuse_what_lies_near_it(key: str) -> None:
    # Brzycki's denominator is 0 at 37 repetitions, Lander's at 37.92.
    assert heaviest_single(key, 100, 36) > 1000
    with pytest.raises(ContractError, match="says nothing at 37"):
        heaviest_single(key, 100, 37)


@pytest.mark.parametrize(
    ("key", "share", "repetitions"),
    [
        ("brzycki", 0.80, 8.2),
        ("epley", 0.80, 7.5),
        ("brzycki", 0.75, 10.0),
        ("epley", 0.75, 10.0),
        ("lander", 0.70, 11.72),
        ("oconner", 0.80, 10.0),
        ("mayhew", 0.85, 4.45),
        ("wathan", 0.60, 20.92),
    ],
)
def test_an_equation_turned_round_gives_the_repetitions(key: str, share: float, repetitions: float) -> None:
    # The same coefficients solved for repetitions.
    assert repetitions_by(key, share) == pytest.approx(repetitions, abs=0.01)


def test_there_are_seven_equations_and_all_warn_above_ten_repetitions() -> None:
    # Reynolds 2006: no more than ten repetitions in equations.
    assert len(equations()) == 7
    assert "many-repetitions" in {finding.code for finding in estimate(100, 11, 10).findings}
    assert estimate(100, 10, 10).findings == ()


def test_the_seven_spread_by_six_per_cent_at_five_repetitions_and_far_more_at_fifteen() -> None:
    # The same equations: 112.5 to 119.0 at five repetitions, 131.1 to 163.6 at fifteen.
    five, fifteen = estimate(100, 5, 10), estimate(100, 15, 10)
    assert (five.low, five.high) == (pytest.approx(112.5, abs=0.01), pytest.approx(119.01, abs=0.01))
    assert (fifteen.low, fifteen.high) == (pytest.approx(131.10, abs=0.01), pytest.approx(163.64, abs=0.01))


@pytest.mark.parametrize(
    ("repetitions", "percent"), [(1, 100), (2, 95), (5, 87), (8, 80), (10, 75), (12, 70)]
)
def test_the_chart_is_the_association_s(repetitions: int, percent: int) -> None:
    # NSCA training load chart; its textbook has 67 at twelve.
    assert share_at(repetitions) == pytest.approx(percent / 100)


def test_the_chart_falls_at_every_repetition() -> None:
    shares = [share_at(repetitions) for repetitions in range(1, 101)]
    assert all(later < earlier for earlier, later in pairwise(shares))


@pytest.mark.parametrize(("rpe", "left"), [(10, 0), (9.5, 0.5), (9, 1), (8, 2), (7, 3), (6, 4), (5, 5)])
def test_repetitions_left_are_ten_less_the_rating(rpe: float, left: float) -> None:
    # Zourdos 2016: RPE 8 is two left; 5 to 6 is four to six left.
    assert repetitions_left(rpe) == left


@pytest.mark.parametrize(
    ("repetitions", "rpe", "percent"),
    [(5, 8, 83), (3, 8, 87), (1, 9, 95), (1, 8, 93), (8, 8, 75), (5, 7.5, 81.5)],
)
def test_a_rating_reads_the_chart_further_down(repetitions: int, rpe: float, percent: float) -> None:
    # NSCA chart at repetitions + (10 - RPE), straight between whole repetitions: worked by hand.
    assert share_for(repetitions, rpe) == pytest.approx(percent / 100)


def test_people_have_about_one_repetition_more_than_they_say() -> None:
    # Halperin 2022: 0.95 (0.17 to 1.73).
    assert tables.value("strength", "rir_under_prediction") == [0.17, 0.95, 1.73]


def test_repetitions_at_seventy_per_cent_carry_a_spread_as_wide_as_people_are() -> None:
    # Richens 2014: weightlifters 17.9 in the leg press; Zourdos 2021 cites 6 to 26 in the squat.
    at_seventy = repetitions_at(0.70)
    assert at_seventy.low < 8 < at_seventy.middle < 17.9 < at_seventy.high < 26


def test_a_hex_bar_carries_five_to_nine_per_cent_more() -> None:
    # Swinton 2011: 265/245 = 1.08; Lake 2017: 194/183 = 1.06.
    ratio = published_ratios()["trap-bar-low"]
    assert (ratio.low, ratio.high) == (1.05, 1.09)
    assert ratio.basis == Basis.RATIO
    assert ratio.low <= 194 / 183 <= ratio.middle <= 265 / 245 <= ratio.high


def test_a_safety_bar_carries_a_tenth_less() -> None:
    # Vantrease 2021: 128.8/144.7; Johansson 2024: 117.17/123.17.
    ratio = published_ratios()["safety-bar-squat"]
    assert ratio.low <= 128.8 / 144.7 <= 117.17 / 123.17 <= ratio.high
    assert ratio.middle == pytest.approx(128.8 / 144.7, abs=0.005)
