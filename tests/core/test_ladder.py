from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.core.ladder import (
    Direction,
    Search,
    StepKind,
    Test,
    acceptable_at_rest,
    next_step,
    one_rung_down_now,
)

LOADS = tuple(Decimal(20) + Decimal("2.5") * step for step in range(93))
HEIGHTS = tuple(range(245, 466, 20))
UP = Search(loads=LOADS, provoking_load=Decimal(200), usual_load=Decimal(200), heights_mm=HEIGHTS)
DOWN = replace(UP, direction=Direction.DOWN)


def after(search, *rows):
    """The next step after `rows` of (load, pain) or (load, pain, height); pain over 3 is not acceptable."""
    tests = tuple(
        Test(load=Decimal(load), pain=pain, acceptable=pain <= 3, height_mm=height[0] if height else 225)
        for load, pain, *height in rows
    )
    return next_step(replace(search, tests=tests))


# Down


def test_down_begins_one_rung_under_the_load_that_hurt():
    assert (after(DOWN).load, after(DOWN).reason) == (180, "one-rung-under")


def test_down_takes_what_was_acceptable_at_the_first_set():
    step = after(DOWN, (180, 2))
    assert (step.kind, step.accepted_load, step.training_load) == (StepKind.DONE, 180, 160)


def test_down_takes_what_was_acceptable_two_rungs_lower():
    step = after(DOWN, (180, 5), ("142.5", 1))
    assert (step.kind, step.accepted_load) == (StepKind.DONE, Decimal("142.5"))


def test_down_climbs_no_nearer_than_two_rungs_under_the_last_failure():
    step = after(DOWN, (180, 6), ("142.5", 5), (20, 0), (45, 0), (70, 0), (95, 0))
    assert step.load == Decimal("112.5")
    step = after(DOWN, (180, 6), ("142.5", 5), (20, 0), (45, 0), (70, 0), (95, 0), ("112.5", 0))
    assert (step.kind, step.reason, step.accepted_load) == (
        StepKind.DONE,
        "nothing-between",
        Decimal("112.5"),
    )


def test_a_third_unacceptable_set_on_the_way_up_again_ends_the_day():
    step = after(DOWN, (180, 6), ("142.5", 5), (20, 0), (45, 4))
    assert (step.kind, step.accepted_load, step.training_load) == (StepKind.DONE, 20, 20)


def test_down_from_near_the_lightest_load_tests_the_lightest():
    step = after(replace(DOWN, provoking_load=Decimal("22.5")))
    assert step.load == 20


def test_a_coach_who_drops_further_than_proposed_climbs_from_there():
    step = after(DOWN, (180, 6), (60, 0))
    assert (step.kind, step.load) == (StepKind.TEST, 85)


def test_three_unacceptable_sets_end_a_search_that_never_tried_the_lightest():
    step = after(DOWN, (180, 6), (160, 5), ("142.5", 5))
    assert (step.kind, step.reason) == (StepKind.STOP, "three-unacceptable")


# Up


def test_up_begins_at_the_lightest_load():
    assert (after(UP).load, after(UP).reason) == (20, "lightest")


def test_up_jumps_an_eighth_of_the_usual_load():
    assert after(UP, (20, 0)).load == 45


def test_up_halves_the_jump_once_pain_reaches_two():
    step = after(UP, (20, 0), (45, 2))
    assert (step.load, step.reason) == (Decimal("57.5"), "climb-halved")


def test_up_rounds_the_jump_down_to_what_can_be_loaded():
    assert after(replace(UP, usual_load=Decimal(150)), (20, 0)).load == Decimal("37.5")


def test_up_takes_the_smallest_step_when_a_jump_is_less():
    assert after(replace(UP, usual_load=Decimal(16)), (20, 0)).load == Decimal("22.5")


def test_up_ends_at_the_ceiling():
    step = after(UP, (20, 0), (45, 3))
    assert (step.kind, step.reason, step.accepted_load) == (StepKind.DONE, "at-ceiling", 45)


def test_up_ends_at_the_next_unacceptable_set():
    step = after(UP, (20, 0), (45, 1), (70, 4))
    assert (step.kind, step.reason, step.accepted_load) == (StepKind.DONE, "unacceptable", 45)


def test_up_stays_a_rung_under_the_load_that_hurt():
    step = after(replace(UP, provoking_load=Decimal(60)), (20, 0))
    assert step.load == 45
    step = after(replace(UP, provoking_load=Decimal(60)), (20, 0), (45, 0))
    assert step.load == Decimal("52.5")
    step = after(replace(UP, provoking_load=Decimal(60)), (20, 0), (45, 0), ("52.5", 0))
    assert (step.kind, step.accepted_load) == (StepKind.DONE, Decimal("52.5"))


def test_a_set_the_lifter_does_not_accept_counts_as_unacceptable_at_any_pain():
    tests = (
        Test(load=Decimal(20), pain=0, acceptable=True),
        Test(load=Decimal(45), pain=1, acceptable=False),
    )
    assert next_step(replace(UP, tests=tests)).accepted_load == 20


def test_a_ceiling_of_nought_still_lets_a_painless_set_go_on():
    assert after(replace(UP, ceiling=0), (20, 0)).load == 45


# The lightest load fails at full height


def test_the_lightest_load_is_repeated_once():
    step = after(UP, (20, 4))
    assert (step.kind, step.load, step.height_mm) == (StepKind.REPEAT, 20, 225)


def test_a_repeat_that_goes_well_climbs_on_by_half_jumps():
    step = after(UP, (20, 4), (20, 1))
    assert (step.kind, step.load, step.accepted_load) == (StepKind.TEST, Decimal("32.5"), 20)


def test_after_a_failed_repeat_the_bar_goes_up_to_just_below_the_knee():
    step = after(UP, (20, 4), (20, 4))
    assert (step.kind, step.load, step.height_mm) == (StepKind.RAISE, 20, 465)


def test_the_bar_comes_down_by_halves():
    step = after(UP, (20, 4), (20, 4), (20, 1, 465))
    assert (step.kind, step.height_mm, step.accepted_height_mm) == (StepKind.RAISE, 345, 465)
    step = after(UP, (20, 4), (20, 4), (20, 1, 465), (20, 1, 345))
    assert (step.kind, step.height_mm, step.accepted_height_mm) == (StepKind.RAISE, 285, 345)


def test_a_failed_half_ends_at_the_lowest_acceptable_height_when_two_more_sets_failed():
    step = after(UP, (20, 4), (20, 4), (20, 1, 465), (20, 1, 345), (20, 4, 285))
    assert (step.kind, step.accepted_height_mm, step.accepted_load) == (StepKind.DONE, 345, 20)
    assert step.training_load == 20


def test_the_halves_go_on_upward_when_the_repeat_was_not_needed():
    rows = ((20, 4), (20, 0, 465), (20, 0, 345), (20, 4, 285))
    step = after(UP, *rows)
    assert (step.kind, step.height_mm) == (StepKind.RAISE, 325)
    assert after(UP, *rows, (20, 1, 325)).height_mm == 305


def test_the_halves_end_when_nothing_can_be_built_between():
    step = after(replace(UP, heights_mm=(325, 425)), (20, 4), (20, 4), (20, 0, 425), (20, 0, 325))
    assert (step.kind, step.reason, step.accepted_height_mm) == (StepKind.DONE, "lowest-height", 325)


def test_the_halves_end_a_centimetre_above_what_failed():
    heights = tuple(range(240, 451))
    rows = ((20, 4), (20, 0, 450), (20, 4, 338), (20, 0, 345))
    step = after(replace(UP, heights_mm=heights), *rows)
    assert (step.kind, step.accepted_height_mm) == (StepKind.DONE, 345)


def test_pain_at_the_ceiling_asks_for_no_lower_bar():
    step = after(UP, (20, 4), (20, 4), (20, 3, 465))
    assert (step.kind, step.accepted_height_mm) == (StepKind.DONE, 465)


def test_a_failed_start_below_the_knee_leaves_variations_then_unloaded():
    step = after(UP, (20, 4), (20, 4), (20, 4, 465))
    assert (step.kind, step.offers) == (StepKind.STOP, ("variations", "unloaded"))


def test_a_gym_that_can_raise_nothing_goes_to_variations():
    step = after(replace(UP, heights_mm=()), (20, 4), (20, 4))
    assert (step.kind, step.reason, step.offers[0]) == (StepKind.STOP, "no-height", "variations")


@pytest.mark.parametrize("rows", [[(20, 6)], [(20, 4), (20, 7)], [(20, 4), (20, 4), (20, 6, 465)]])
def test_nothing_more_is_loaded_after_pain_six_at_the_lightest(rows):
    step = after(UP, *rows)
    assert (step.kind, step.reason, step.offers) == (StepKind.STOP, "too-much-today", ("unloaded",))


def test_a_height_found_before_pain_six_is_kept():
    step = after(UP, (20, 4), (20, 4), (20, 1, 465), (20, 6, 345))
    assert (step.kind, step.accepted_height_mm) == (StepKind.DONE, 465)


def test_on_the_way_down_the_lightest_load_may_fail_and_a_height_be_found():
    rows = ((180, 6), ("142.5", 5), (20, 4))
    assert after(DOWN, *rows).kind is StepKind.REPEAT
    assert after(DOWN, *rows, (20, 4)).kind is StepKind.RAISE


def test_a_centimetre_above_full_height_is_still_full_height():
    step = after(replace(UP, heights_mm=(235,)), (20, 4), (20, 4, 235))
    assert (step.kind, step.reason) == (StepKind.STOP, "no-height")


@given(
    st.lists(st.tuples(st.sampled_from(LOADS), st.integers(0, 10), st.booleans()), max_size=5), st.booleans()
)
def test_the_bar_is_raised_only_after_the_lightest_load_failed_at_full_height(rows, down):
    tests = tuple(Test(load=load, pain=pain, acceptable=ok) for load, pain, ok in rows)
    step = next_step(replace(DOWN if down else UP, tests=tests))
    failed = any(t.load == 20 and not (t.pain <= 3 and t.acceptable) for t in tests)
    assert step.kind not in {StepKind.RAISE, StepKind.REPEAT} or failed


# Pain at rest, spreading


def test_pain_at_rest_at_the_ceiling_means_no_search():
    step = after(replace(UP, rest_pain=3))
    assert (step.kind, step.reason, step.load) == (StepKind.STOP, "rest-pain", 20)
    assert step.offers == ("unloaded", "lightest", "unaffected")


def test_pain_at_rest_under_the_ceiling_searches():
    assert after(replace(UP, rest_pain=2)).kind is StepKind.TEST


def test_a_painless_lifter_may_search_under_a_ceiling_of_nought():
    assert after(replace(UP, rest_pain=0, ceiling=0)).kind is StepKind.TEST


@pytest.mark.parametrize(
    ("pain", "rest", "good"), [(4, 3, True), (5, 3, False), (5, 4, True), (5, 6, True), (6, 6, False)]
)
def test_on_a_sore_day_the_lightest_load_may_hurt_one_point_more_and_five_at_most(pain, rest, good):
    assert acceptable_at_rest(pain, rest) is good


@pytest.mark.parametrize(("pain", "accepted"), [(4, 20), (5, None)])
def test_on_a_sore_day_the_lightest_load_is_all_there_is(pain, accepted):
    tests = (Test(load=Decimal(20), pain=pain, acceptable=True),)
    step = next_step(replace(UP, rest_pain=3, tests=tests))
    assert (step.accepted_load, step.reason, step.load) == (accepted, "rest-pain", None)


def test_spreading_stops_the_search_at_any_pain():
    tests = (Test(load=Decimal(20), pain=0, acceptable=True, spreading=True),)
    step = next_step(replace(UP, tests=tests))
    assert (step.kind, step.reason, step.accepted_load) == (StepKind.STOP, "spreading", None)


# Always


def test_a_set_over_the_ceiling_goes_one_rung_down_at_once():
    assert one_rung_down_now(LOADS, Decimal(95), 6, 5, Decimal(10)) == 85
    assert one_rung_down_now(LOADS, Decimal(95), 5, 5, Decimal(10)) is None


@given(
    st.floats(1.5, 15),
    st.floats(30, 300),
    st.sampled_from(Direction),
    st.integers(40, 240),
    st.integers(1, 3),
)
def test_every_search_ends_with_few_unacceptable_sets_and_loads_that_can_be_made(
    slope, tolerance, direction, usual, ceiling
):
    """The lifter's pain rises in a line with the load and falls as the bar goes up."""
    search = replace(
        UP, usual_load=Decimal(usual), provoking_load=Decimal(usual), direction=direction, ceiling=ceiling
    )
    for _ in range(40):
        step = next_step(search)
        if step.load is None:
            break
        assert step.load in LOADS
        pain = 3 + slope * (float(step.load) - (step.height_mm - 225) / 5 - tolerance) / tolerance
        score = max(0, min(10, round(pain)))
        test = Test(load=step.load, height_mm=step.height_mm, pain=score, acceptable=score <= ceiling)
        search = replace(search, tests=(*search.tests, test))
    failed = [test for test in search.tests if not test.acceptable]
    assert step.kind in {StepKind.DONE, StepKind.STOP}
    assert len(failed) <= 5
    if step.accepted_load:
        good = [test.load for test in search.tests if test.acceptable]
        assert step.accepted_load in good
        assert step.training_load <= step.accepted_load
