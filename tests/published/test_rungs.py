"""Rungs reckoned by compound growth and by hand; arithmetic, no source."""

from decimal import Decimal

from floorward.core.loadable import rungs, rungs_between


def test_from_200_kilograms_down_to_a_20_kilogram_bar_are_nineteen_rungs():
    loads = tuple(Decimal(20) + Decimal("2.5") * step for step in range(73))
    ladder = rungs(loads, Decimal(200))
    assert (len(ladder), ladder[0], ladder[-1]) == (19, 200, 20)


def test_ten_percent_steps_from_60_to_180_are_twelve_and_five_percent_steps_twenty_three():
    assert rungs_between(Decimal(60), Decimal(180), Decimal(10)) == 12  # ln 3 / ln 1.1 = 11.5
    assert rungs_between(Decimal(60), Decimal(180), Decimal(5)) == 23  # ln 3 / ln 1.05 = 22.5
    assert rungs_between(Decimal(100), Decimal(200), Decimal(10)) == 8  # ln 2 / ln 1.1 = 7.3
