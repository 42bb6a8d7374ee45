"""Strength: a heaviest single as a range."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.core.repetitions import HardSet
from floorward.core.strength import (
    Equation,
    Estimate,
    best,
    equations,
    estimate,
    heaviest_single,
    repetitions_by,
)
from floorward.errors import ContractError
from floorward.reports.wording import sentence

loads = st.floats(20, 400)


def codes(found: Estimate) -> set[str]:
    assert all(sentence(finding) for finding in found.findings)
    return {finding.code for finding in found.findings}


def done(load_kg: float, repetitions: int, day: int, rpe: float | None = 10) -> HardSet:
    return HardSet(load_kg=load_kg, repetitions=repetitions, rpe=rpe, day=day)


def test_an_estimate_is_a_range_with_what_each_equation_says() -> None:
    found = estimate(100, 5, 10)
    assert len(found.by_equation) == 7
    assert found.low == found.by_equation["oconner"]
    assert found.high == found.by_equation["mayhew"]
    assert found.middle == found.by_equation["wathan"]
    assert codes(found) == set()


def test_a_single_to_failure_is_itself() -> None:
    found = estimate(180, 1, 10)
    assert (found.low, found.middle, found.high) == (180, 180, 180)


def test_repetitions_left_count_as_done() -> None:
    assert estimate(100, 3, 8) == estimate(100, 5, 10)


def test_an_equation_is_asked_only_where_it_holds() -> None:
    assert "mayhew" not in estimate(100, 2, 10).by_equation
    assert set(estimate(60, 40, 10).by_equation) == {"epley", "lombardi", "mayhew", "oconner", "wathan"}


def test_beyond_all_equations_the_load_itself_is_the_least() -> None:
    found = estimate(60, 80, 10)
    assert (found.low, found.high) == (60, 60)
    assert codes(found) == {"many-repetitions"}


@pytest.mark.parametrize("rpe", [None, 3])
def test_a_set_that_does_not_tell_its_effort_is_a_floor(rpe: float | None) -> None:
    found = estimate(100, 5, rpe)
    assert found.low == estimate(100, 5, 10).low
    assert codes(found) == {"effort-not-told"}


def test_pulls_are_said_to_be_underrated_unless_the_single_was_done() -> None:
    assert codes(estimate(180, 5, 9, pull=True)) == {"pull-likely-low"}
    assert codes(estimate(180, 1, 10, pull=True)) == set()


@pytest.mark.parametrize(("load", "repetitions"), [(0, 5), (-20, 5), (100, 0)])
def test_no_load_or_no_repetition_is_our_mistake(load: float, repetitions: int) -> None:
    with pytest.raises(ContractError, match="a load and a repetition"):
        estimate(load, repetitions)


def test_an_unknown_equation_is_our_mistake() -> None:
    with pytest.raises(ContractError, match="no equation is called"):
        heaviest_single("guesswork", 100, 5)


@pytest.mark.parametrize(
    ("key", "share"),
    [
        ("mayhew", 0.5),
        ("mayhew", 0.96),
        ("wathan", 0.488),
        ("epley", 0),
        ("epley", 1.2),
        ("lombardi", 1e-200),
    ],
)
def test_a_share_that_an_equation_never_reaches_is_our_mistake(key: str, share: float) -> None:
    with pytest.raises(ContractError, match="says nothing at a share"):
        repetitions_by(key, share)


@given(st.sampled_from(equations()), loads, st.floats(1, 36))
def test_every_equation_is_its_own_way_back(equation: Equation, load: float, repetitions: float) -> None:
    key = equation.key
    share = load / heaviest_single(key, load, repetitions)
    if share <= 1:
        assert repetitions_by(key, share) == pytest.approx(repetitions)


@given(loads, st.integers(1, 20), st.sampled_from((None, 5, 7, 8.5, 10)))
def test_an_estimate_holds_its_middle_and_the_load(load: float, repetitions: int, rpe: float | None) -> None:
    found = estimate(load, repetitions, rpe)
    assert load <= found.low * 1.000001
    assert found.low <= found.middle <= found.high


@given(loads, st.integers(2, 15))
def test_a_set_scales_with_its_load(load: float, repetitions: int) -> None:
    assert estimate(2 * load, repetitions).middle == pytest.approx(2 * estimate(load, repetitions).middle)


def test_the_best_is_the_highest_of_the_recent_sets() -> None:
    sets = [done(150, 5, day=10), done(160, 3, day=80), done(200, 5, day=1)]
    assert best(sets, today=90) == estimate(150, 5, 10)


def test_sets_of_few_repetitions_go_before_sets_of_many() -> None:
    sets = [done(100, 5, day=1), done(90, 18, day=1)]
    assert best(sets, today=2) == estimate(100, 5, 10)
    assert best(sets[1:], today=2) == estimate(90, 18, 10)


def test_without_recent_sets_there_is_no_best() -> None:
    assert best([done(100, 5, day=1)], today=200) is None
    assert best([], today=1) is None
