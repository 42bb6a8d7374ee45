from dataclasses import replace
from decimal import Decimal

import pytest

from floorward.core.even_steps import OtherSetUp, evenest_turn, is_evener, may_turn, uneven
from floorward.core.exposures import Change, Ruling, StepSize
from floorward.core.tolerance import Priors, Report, tolerance_of
from floorward.core.way_back import size_of

LOADS = tuple(Decimal(20) + Decimal("2.5") * n for n in range(33))
ASKED = 480.0  # what was borne twice, on high blocks
FORWARD = Ruling(code="R8", change=Change.FORWARD, step=StepSize.USUAL, cap_percent=Decimal(10))
HANDLES = OtherSetUp(
    name="handles",
    loads=LOADS,
    demands=tuple(100 + 4 * float(load) for load in LOADS),
    bend=12 / 180,
    limit=0.15,
)


def believed(*others):
    """Two easy evenings on high blocks, and what was done on the other set-up."""
    own = [Report(day=day, demand=ASKED, pain=1, morning_change=0) for day in (0, 4)]
    priors = Priors(usual_demand=920, provoking_demand=920, provoking_pain=7, variations=("handles", "lower"))
    return tolerance_of(sorted([*own, *others], key=lambda row: row.day), priors, 5)


def turn(*others, tolerance=None):
    told = tolerance or believed()
    return evenest_turn(others, told, asked=ASKED, bend=0.0, cap_percent=Decimal(10))


def test_a_set_up_that_is_new_comes_in_at_0_87_of_equal_demand_and_its_size_is_what_it_bends_further():
    found = turn(HANDLES)
    assert found.load == Decimal("77.5")  # 410 of 417.6
    assert found.size == pytest.approx(12 / 15)
    assert found.chance <= 0.15


def test_one_that_was_done_may_ask_a_usual_step_more_than_is_borne_and_no_more():
    found = turn(replace(HANDLES, known=True, bend=0.0))
    assert found.load == LOADS[-1] == 100  # 500 of 528
    assert found.size == pytest.approx(size_of(500 / 480, 0.0))
    harder = replace(HANDLES, known=True, bend=0.0, demands=tuple(1.2 * each for each in HANDLES.demands))
    assert 1.2 * (100 + 4 * float(turn(harder).load)) <= 1.1 * ASKED


def test_what_asks_less_and_bends_no_further_is_no_step():
    assert turn(replace(HANDLES, bend=0.0)) is None
    assert turn(replace(HANDLES, bend=-0.1)) is None


def test_what_is_a_large_step_on_the_way_back_is_not_proposed():
    assert turn(replace(HANDLES, bend=22 / 180)) is not None
    assert turn(replace(HANDLES, bend=23 / 180)) is None


def test_not_knowing_how_a_lifter_takes_to_a_set_up_makes_it_likelier_to_be_too_much_than_the_same_demand_here():
    alike = replace(HANDLES, demands=tuple(0.87 * ASKED for _ in LOADS), bend=1 / 180)
    own = believed(*[Report(day=3, demand=0.87 * ASKED, pain=1, variation="handles")] * 3)
    assert turn(alike).chance > turn(alike, tolerance=own).chance


def test_a_set_there_that_hurt_holds_it_back():
    hurt = believed(Report(day=3, demand=400.0, pain=5, variation="handles", bend=12 / 180))
    fresh, after = turn(HANDLES), turn(HANDLES, tolerance=hurt)
    assert after is None or after.load < fresh.load
    assert turn(replace(HANDLES, limit=0.0)) is None


def test_the_evener_of_two_is_taken_and_a_change_of_lift_costs_something():
    near = replace(HANDLES, name="lower", bend=4 / 180)
    assert turn(near, HANDLES).to.name == "handles"
    assert turn(replace(near, bend=10 / 180, another_lift=False), HANDLES).to.name == "lower"
    assert uneven(1.0, another_lift=True) > uneven(0.5)


def test_a_lift_that_still_moves_by_no_more_than_a_usual_step_is_not_changed():
    found = turn(HANDLES)
    assert [is_evener(found, size) for size in (0.0, 0.1, 0.7, 1.0, 1.4, 2.0)] == [
        True,
        False,
        False,
        False,
        False,
        True,
    ]


@pytest.mark.parametrize("change", [Change.HOLD, Change.BACK, Change.STOP])
def test_the_rules_come_first(change):
    assert may_turn(FORWARD, 2)
    assert not may_turn(FORWARD, 1)
    assert not may_turn(replace(FORWARD, step=StepSize.SMALLEST), 5)
    assert not may_turn(replace(FORWARD, change=change), 5)
