from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.core.plan_change import (
    Changed,
    PlannedChange,
    further_set,
    next_height,
    next_load,
    override_findings,
    plan_change,
    sets_step,
)
from floorward.core.protocol import SHIPPED
from floorward.core.rules import Change, Exposure, Ruling, StepSize

LOADS = tuple(Decimal(20) + Decimal("2.5") * step for step in range(93))
HEIGHTS = (225, 245, 275, 325)
STOP = Ruling(code="R0", change=Change.STOP, overridable=False)
HOLD = Ruling(code="R5", change=Change.HOLD)
BACK = Ruling(code="R3", change=Change.BACK, step=StepSize.RUNG)
LARGE = Ruling(code="E1", change=Change.BACK, step=StepSize.LARGE)
USUAL = Ruling(code="R8", change=Change.FORWARD, step=StepSize.USUAL)
SMALLEST = Ruling(code="R7", change=Change.FORWARD, step=StepSize.SMALLEST)
RULINGS = (STOP, HOLD, BACK, LARGE, USUAL, SMALLEST)


@pytest.mark.parametrize(
    ("ruling", "load"),
    [(STOP, None), (HOLD, "95"), (BACK, "85"), (LARGE, "75"), (USUAL, "97.5"), (SMALLEST, "97.5")],
)
def test_a_ruling_leads_from_95_kilograms_to_a_load_that_can_be_made(ruling, load):
    assert next_load(ruling, Decimal(95), LOADS) == (Decimal(load) if load else None)


def test_the_usual_step_is_five_percent_rounded_down():
    assert next_load(USUAL, Decimal(200), LOADS) == 210
    assert next_load(USUAL, Decimal(190), LOADS) == Decimal("197.5")


def test_the_gym_sets_how_large_a_step_is():
    assert next_load(USUAL, Decimal(200), LOADS, replace(SHIPPED, forward_percent=Decimal(10))) == 220
    assert next_load(BACK, Decimal(200), LOADS, replace(SHIPPED, rung_percent=Decimal(20))) == 160


def test_the_large_step_back_is_no_smaller_than_the_gyms_rung():
    assert next_load(LARGE, Decimal(100), LOADS, replace(SHIPPED, rung_percent=Decimal(20))) == 80


def test_a_step_over_ten_percent_waits_for_two_settled_exposures():
    assert next_load(USUAL, Decimal(20), LOADS, settled_in_row=1) == 20
    assert next_load(USUAL, Decimal(20), LOADS, settled_in_row=2) == Decimal("22.5")


def test_at_the_heaviest_load_forward_stays():
    assert next_load(USUAL, LOADS[-1], LOADS) == LOADS[-1]


def test_at_the_lightest_load_back_stays():
    assert next_load(BACK, LOADS[0], LOADS) == LOADS[0]


def test_a_load_that_can_no_longer_be_made_gives_way_downward():
    assert next_load(HOLD, Decimal("96.25"), LOADS) == 95
    assert next_load(HOLD, Decimal(15), LOADS) is None


@given(
    st.sampled_from(RULINGS),
    st.sets(st.integers(4, 300), min_size=1, max_size=30),
    st.integers(4, 300),
    st.integers(0, 3),
)
def test_the_next_load_can_always_be_made_and_goes_where_the_ruling_says(ruling, quarters, at, settled):
    loads = tuple(Decimal(q) * Decimal("1.25") for q in sorted(quarters))
    current = Decimal(at) * Decimal("1.25")
    load = next_load(ruling, current, loads, settled_in_row=settled)
    if load is None:
        assert ruling.change is Change.STOP or current < loads[0]
        return
    assert load in loads
    if ruling.change is Change.BACK:
        assert load <= current * Decimal("0.9") or load == loads[0]
    elif ruling.change is Change.HOLD:
        assert load <= current
    else:
        assert load <= current * Decimal("1.1") or settled >= 2
        assert load <= current * Decimal("1.05") or not any(current < other < load for other in loads)


def test_two_settled_exposures_lower_the_bar_by_the_smallest_height():
    assert next_height(USUAL, 325, HEIGHTS, settled_in_row=2) == 275
    assert next_height(SMALLEST, 275, HEIGHTS, settled_in_row=2) == 245


@pytest.mark.parametrize(("ruling", "settled"), [(USUAL, 1), (HOLD, 2), (BACK, 2)])
def test_otherwise_the_height_stays(ruling, settled):
    assert next_height(ruling, 325, HEIGHTS, settled) == 325


def test_a_stop_has_no_height():
    assert next_height(STOP, 325, HEIGHTS) is None


def test_the_lowest_height_stays_the_lowest():
    assert next_height(USUAL, 225, HEIGHTS, settled_in_row=2) == 225


def planned(ruling, load, height, **more):
    change = plan_change(
        ruling, load=Decimal(load), height_mm=height, loads=LOADS, heights_mm=HEIGHTS, **more
    )
    return change.changed, change.load, change.height_mm


def test_with_a_load_accepted_at_full_range_the_load_steps():
    assert planned(USUAL, 95, 225) == (Changed.LOAD, Decimal("97.5"), 225)


def test_with_none_accepted_at_full_range_the_bar_comes_down_at_equal_load():
    assert planned(USUAL, 40, 325, full_range_accepted=False, settled_in_row=2) == (Changed.HEIGHT, 40, 275)
    assert planned(USUAL, 40, 325, full_range_accepted=False, settled_in_row=1) == (Changed.NOTHING, 40, 325)


def test_a_step_back_takes_load_off_first_then_raises_the_bar_then_asks_for_a_variation():
    assert planned(BACK, 95, 225) == (Changed.LOAD, 85, 225)
    assert planned(BACK, 20, 225) == (Changed.HEIGHT, 20, 245)
    assert planned(BACK, 20, 325) == (Changed.VARIATION, 20, 325)


def test_a_hold_changes_nothing_and_a_stop_leaves_nothing():
    assert planned(HOLD, 95, 225) == (Changed.NOTHING, 95, 225)
    assert planned(STOP, 95, 225) == (Changed.STOP, None, None)


@given(
    st.sampled_from(RULINGS),
    st.sampled_from(LOADS),
    st.sampled_from(HEIGHTS),
    st.booleans(),
    st.integers(0, 3),
)
def test_never_do_load_and_height_change_together(ruling, load, height, full, settled):
    _, new_load, new_height = planned(ruling, load, height, full_range_accepted=full, settled_in_row=settled)
    assert new_load is None or new_load == load or new_height == height


# A coach's other choice

DONE = Exposure(
    day=date(2026, 3, 2),
    load=Decimal(95),
    reps=5,
    target_reps=5,
    rpe=7,
    before=1,
    during=2,
    after=1,
    morning=1,
)
SPREAD = Ruling(code="R1", change=Change.BACK, step=StepSize.RUNG, overridable=False)


def refusal(ruling, chosen, last=DONE):
    return [finding.code for finding in override_findings(ruling, last, Decimal(chosen), LOADS)]


def test_a_stop_stands():
    assert refusal(STOP, 20) == ["not-overridable"]


def test_after_spreading_nothing_heavier_than_ruled_is_allowed():
    assert refusal(SPREAD, 95) == ["not-overridable"]
    assert refusal(SPREAD, 60) == []


def test_a_coach_may_always_go_lighter_or_stay():
    assert refusal(USUAL, 60) == refusal(BACK, 95) == []


def test_a_coach_may_go_forward_one_step_after_a_morning_answer():
    assert refusal(HOLD, "97.5") == []
    assert refusal(HOLD, 100) == ["forward-one-step"]


def test_a_coach_may_not_go_forward_without_a_morning_answer():
    assert refusal(HOLD, "97.5", replace(DONE, morning=None)) == ["forward-needs-morning"]


def test_a_coach_chooses_among_loads_that_can_be_made():
    assert refusal(HOLD, 96) == ["not-loadable"]


FORWARD = Ruling(code="R8", change=Change.FORWARD, step=StepSize.USUAL, cap_percent=Decimal(10))
STAYS = PlannedChange(changed=Changed.NOTHING, load=Decimal(80), height_mm=225)
MOVES = PlannedChange(changed=Changed.LOAD, load=Decimal(85), height_mm=225)


def more(ruling=FORWARD, ruled=STAYS, planned=STAYS, sets=3, in_row=1) -> int:
    return further_set(ruling, ruled, planned, sets=sets, settled_in_row=in_row).sets


def test_where_iron_and_wood_leave_nothing_else_a_fourth_set_is_the_step():
    found = further_set(FORWARD, STAYS, STAYS, sets=3, settled_in_row=1)
    assert (found.changed, found.load, found.height_mm, found.sets) == (Changed.SETS, 80, 225, 4)


def test_where_only_the_model_keeps_the_load_the_fourth_set_waits_for_a_second_settled_session():
    assert (more(ruled=MOVES), more(ruled=MOVES, in_row=2)) == (0, 4)


def test_one_thing_changes_at_a_time():
    assert further_set(FORWARD, MOVES, MOVES, sets=3, settled_in_row=4) == MOVES


@pytest.mark.parametrize("change", [Change.HOLD, Change.BACK, Change.STOP])
def test_no_set_more_where_the_rules_do_not_say_forward(change):
    assert more(replace(FORWARD, change=change)) == 0
    assert more(replace(FORWARD, step=StepSize.SMALLEST)) == 0


def test_a_set_more_is_no_larger_than_a_usual_step_and_there_are_at_most_four():
    assert [more(sets=sets) for sets in (1, 2, 3, 4)] == [0, 3, 4, 0]
    assert sets_step(2) == pytest.approx(1.0)  # half as many again
    assert sets_step(3) == pytest.approx(0.71, abs=0.01)
