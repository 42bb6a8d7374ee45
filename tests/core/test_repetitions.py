"""Repetitions: what a load allows, how near to failure a set was, and a lifter's own curve."""

from math import exp

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.core.repetitions import (
    Curve,
    HardSet,
    own_curve,
    repetitions_at,
    repetitions_left,
    share_at,
    share_for,
    to_failure,
    usual_drop,
)
from floorward.errors import ContractError


def lifter_with(drop: float, *repetitions: int, rpe: float | None = 10, max_kg: float = 200) -> list[HardSet]:
    """Sets to failure of a lifter who loses `drop` of the load, as a logarithm, with each repetition."""
    return [
        HardSet(load_kg=max_kg * exp(-drop * (n - 1)), repetitions=n, rpe=rpe, day=day)
        for day, n in enumerate(repetitions)
    ]


def test_a_light_rating_tells_nothing_of_repetitions_left() -> None:
    assert repetitions_left(4.5) is None


@pytest.mark.parametrize("rpe", [0, 10.5, -1])
def test_a_rating_off_the_scale_is_our_mistake(rpe: float) -> None:
    with pytest.raises(ContractError, match="from 1 to 10"):
        repetitions_left(rpe)


def test_a_set_without_a_telling_rating_counts_as_taken_to_failure() -> None:
    assert to_failure(5, None) == 5
    assert to_failure(5, 3) == 5
    assert to_failure(5, 8) == 7


def test_the_chart_goes_on_as_an_equation_that_meets_it() -> None:
    assert share_at(20) == pytest.approx(0.60)
    assert share_at(20.0001) == pytest.approx(0.60, abs=1e-5)
    assert share_at(70) == pytest.approx(0.30)


def test_less_than_one_repetition_is_our_mistake() -> None:
    with pytest.raises(ContractError, match="at least one repetition"):
        share_at(0.5)


@pytest.mark.parametrize("share", [0, -0.1, 1.01])
def test_a_share_beyond_the_heaviest_single_is_our_mistake(share: float) -> None:
    with pytest.raises(ContractError, match="above 0 and 1 at most"):
        repetitions_at(share)


@given(st.floats(1, 60))
def test_share_and_repetitions_are_each_other_s_way_back(repetitions: float) -> None:
    assert repetitions_at(share_at(repetitions)).middle == pytest.approx(repetitions)


@given(st.floats(0.05, 1), st.none() | st.builds(Curve, max_kg=st.just(100.0), drop=st.floats(0.01, 0.1), drop_sd=st.floats(0, 0.01), sets=st.just(9)))  # fmt: skip
def test_a_range_of_repetitions_holds_its_middle_and_starts_at_one(share: float, curve: Curve | None) -> None:
    found = repetitions_at(share, curve)
    assert 1 <= found.low <= found.middle <= found.high


def test_a_curve_is_found_from_sets_that_lie_on_it() -> None:
    curve = own_curve(lifter_with(0.02, 1, 3, 5, 8, 10, 12, 15, 18))
    assert curve is not None
    assert curve.drop == pytest.approx(0.02, rel=0.05)
    assert curve.max_kg == pytest.approx(200, rel=0.01)
    assert curve.sets == 8


def test_a_curve_leans_on_the_usual_one_while_sets_are_few() -> None:
    few = own_curve(lifter_with(0.02, 2, 3, 4, 5, 5))
    many = own_curve(lifter_with(0.02, 2, 3, 4, 5, 5) * 20)
    assert few is not None
    assert many is not None
    assert 0.02 < many.drop < few.drop < usual_drop()
    assert many.drop_sd < few.drop_sd


def test_ratings_count_repetitions_left() -> None:
    to_the_end = own_curve(lifter_with(0.03, 4, 6, 8, 10, 12))
    one_left = own_curve(
        [
            HardSet(load_kg=done.load_kg, repetitions=done.repetitions - 1, rpe=9, day=done.day)
            for done in lifter_with(0.03, 4, 6, 8, 10, 12)
        ]
    )
    assert to_the_end == one_left


@pytest.mark.parametrize(
    "sets",
    [
        lifter_with(0.03, 1, 5, 8, 12),
        lifter_with(0.03, 5, 5, 6, 6, 7),
        lifter_with(0.03, 1, 3, 5, 8, 10, rpe=None),
        lifter_with(0.03, 1, 3, 5, 8, 10, rpe=6),
        lifter_with(-0.2, 1, 3, 5, 8, 10, 12),
    ],
    ids=["too few", "too alike", "not rated", "too easy", "stronger with every repetition"],
)
def test_sets_that_tell_no_curve_leave_the_chart(sets: list[HardSet]) -> None:
    assert own_curve(sets) is None


def test_an_own_curve_goes_before_the_chart() -> None:
    curve = own_curve(lifter_with(0.02, 1, 3, 5, 8, 10, 12, 15, 18))
    assert curve is not None
    assert share_for(8, 10, curve) > share_for(8, 10)
    own, usual = repetitions_at(0.75, curve), repetitions_at(0.75)
    assert own.middle > usual.middle
    assert own.high / own.low < usual.high / usual.low
