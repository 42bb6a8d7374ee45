import itertools
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.core.loadable import at_or_under, next_above, next_below, rung_below, rungs, rungs_between
from floorward.errors import ContractError

HALF_STEPS = tuple(Decimal(20) + Decimal("2.5") * step for step in range(93))
loads_lists = st.lists(st.integers(1, 400), min_size=1, max_size=40, unique=True).map(
    lambda quarters: tuple(Decimal(q) * Decimal("1.25") for q in sorted(quarters))
)


def test_a_load_that_can_be_made_is_at_itself():
    assert at_or_under(HALF_STEPS, Decimal(100)) == 100
    assert next_above(HALF_STEPS, Decimal(100)) == Decimal("102.5")
    assert next_below(HALF_STEPS, Decimal(100)) == Decimal("97.5")


def test_nothing_is_under_the_lightest_or_over_the_heaviest():
    assert at_or_under(HALF_STEPS, Decimal(19)) is None
    assert next_below(HALF_STEPS, Decimal(20)) is None
    assert next_above(HALF_STEPS, Decimal(250)) is None


def test_a_rung_under_107_and_a_half_is_95():
    assert rung_below(HALF_STEPS, Decimal("107.5")) == 95


def test_a_rung_under_the_lightest_is_the_lightest():
    assert rung_below(HALF_STEPS, Decimal(20)) == 20


def test_a_rung_of_no_loads_is_our_mistake():
    with pytest.raises(ContractError):
        rung_below((), Decimal(100))


def test_the_ladder_from_200_has_the_nineteen_rungs_reckoned_by_hand():
    by_hand = "200 180 160 142.5 127.5 112.5 100 90 80 70 62.5 55 47.5 42.5 37.5 32.5 27.5 22.5 20"
    assert rungs(HALF_STEPS, Decimal(200)) == tuple(Decimal(kg) for kg in by_hand.split())
    assert len(rungs(HALF_STEPS, Decimal(200))) == 19


@given(loads_lists, st.integers(1, 600))
def test_every_ladder_falls_strictly_by_at_least_a_tenth_and_ends_at_the_lightest(loads, start):
    ladder = rungs(loads, Decimal(start))
    for upper, lower in itertools.pairwise(ladder):
        assert lower < upper
        assert lower in loads
        assert lower <= upper * Decimal("0.9") or lower == loads[0]
    assert ladder[-1] == loads[0] or start < loads[0]


@pytest.mark.parametrize(
    ("start", "target", "percent", "steps"), [(60, 180, 10, 12), (60, 180, 5, 23), (100, 200, 10, 8)]
)
def test_the_way_up_takes_as_many_steps_as_compound_growth_says(start, target, percent, steps):
    assert rungs_between(Decimal(start), Decimal(target), Decimal(percent)) == steps


def test_a_way_up_needs_a_positive_start_and_step():
    with pytest.raises(ContractError):
        rungs_between(Decimal(0), Decimal(100), Decimal(10))
    with pytest.raises(ContractError):
        rungs_between(Decimal(60), Decimal(100), Decimal(0))
