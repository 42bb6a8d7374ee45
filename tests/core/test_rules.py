from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.core.plan_change import next_load
from floorward.core.protocol import SHIPPED, Profile
from floorward.core.rules import RULES, Change, Exposure, StepSize, propose, settled, settled_in_row
from floorward.errors import ContractError

MONDAY = date(2026, 3, 2)
ASSERTIVE = replace(SHIPPED, profile=Profile.ASSERTIVE)
QUIET = Exposure(
    day=MONDAY, load=Decimal(100), reps=5, target_reps=5, rpe=7, before=1, during=2, after=1, morning=1
)
BEARABLE = replace(QUIET, during=4)
TOO_MUCH = replace(QUIET, during=7)


def on(days, exposure=QUIET, **changes):
    return replace(exposure, day=MONDAY + timedelta(days=days), **changes)


def rule(*exposures, protocol=SHIPPED, **known):
    return propose(exposures, protocol, today=exposures[-1].day + timedelta(days=1), **known)


def test_every_profile_stops_first():
    for rules in RULES.values():
        assert [f.__name__ for f in rules[:2]] == ["screen_open", "spreading"]


# R0, R1


def test_an_open_screen_stops_and_nobody_overrides_it():
    ruling = rule(QUIET, screen_open=True)
    assert (ruling.code, ruling.change, ruling.overridable) == ("R0", Change.STOP, False)


def test_an_open_screen_stops_before_anything_was_trained():
    assert propose((), screen_open=True, today=MONDAY).code == "R0"


def test_without_an_exposure_nothing_changes():
    assert (propose((), today=MONDAY).code, propose((), today=MONDAY).change) == ("none", Change.HOLD)


def test_spreading_stops_until_the_screen_was_asked_again():
    spread = replace(QUIET, spreading=True)
    assert (rule(spread).code, rule(spread).change, rule(spread).overridable) == ("R1", Change.STOP, False)


def test_spreading_goes_a_rung_back_once_the_screen_is_passed():
    ruling = rule(replace(QUIET, spreading=True), rescreened=True)
    assert (ruling.code, ruling.change, ruling.overridable) == ("R1", Change.BACK, False)


# R2


@pytest.mark.parametrize("scores", [{"during": 6}, {"after": 6}, {"acceptable": False}])
def test_over_the_ceiling_or_not_acceptable_goes_a_rung_back(scores):
    ruling = rule(replace(QUIET, **scores))
    assert (ruling.code, ruling.change, ruling.step) == ("R2", Change.BACK, StepSize.RUNG)


@pytest.mark.parametrize("lowered", [{"ceiling_set": 4}, {"after_max": 4}])
def test_a_gym_with_a_lower_ceiling_steps_back_sooner(lowered):
    sore = replace(QUIET, during=5, after=5)
    assert rule(sore).code == "R7"
    assert rule(sore, protocol=replace(SHIPPED, **lowered)).code == "R2"


def test_too_much_pain_outranks_a_settled_morning():
    assert rule(replace(QUIET, during=6, morning=1)).code == "R2"


# R3


def test_a_morning_two_points_worse_goes_a_rung_back():
    ruling = rule(replace(QUIET, morning=3))
    assert (ruling.code, ruling.change) == ("R3", Change.BACK)
    assert ruling.numbers == {"B": 1, "D": 2, "A": 1, "M": 3}


def test_the_training_days_own_morning_is_the_baseline():
    assert rule(replace(QUIET, morning=3, morning_of_day=3)).code == "R8"


def test_a_raised_baseline_does_not_open_the_way_before_a_quiet_morning():
    risen, next_time = replace(QUIET, morning=3), on(2, before=3, morning=3)
    ruling = rule(risen, next_time)
    assert (ruling.code, ruling.change, ruling.numbers["quiet"]) == ("R3", Change.HOLD, 1)


def test_a_quiet_morning_opens_the_way_again():
    risen, next_time = replace(QUIET, morning=3), on(3, before=1, morning=1)
    assert rule(risen, next_time).code == "R8"
    between = {MONDAY + timedelta(days=2): 1}
    assert rule(risen, on(2, before=3, morning=3), mornings=between).code == "R8"


def test_a_quiet_morning_still_to_come_opens_nothing():
    risen, later = replace(QUIET, morning=3), on(2, before=3, morning=3)
    assert rule(risen, later, mornings={MONDAY + timedelta(days=9): 0}).code == "R3"


# R4


def week(first, *scores):
    return {first + timedelta(days=i): score for i, score in enumerate(scores)}


LAST_WEEK = MONDAY - timedelta(days=7)


def in_week(*this_week, last=(1, 1, 1)):
    mornings = week(LAST_WEEK, *last) | week(MONDAY, *this_week)
    exposure = on(3, before=this_week[-1], morning_of_day=None, morning=this_week[-1])
    return rule(exposure, mornings=mornings)


def test_a_week_two_points_worse_goes_a_rung_back():
    ruling = in_week(3, 3, 3)
    assert (ruling.code, ruling.change) == ("R4", Change.BACK)
    assert (ruling.numbers["W"], ruling.numbers["Wp"]) == (3, 1)


@pytest.mark.parametrize(("last", "this"), [((1, 1, 1), (2, 2, 2)), ((1, 1, 2, 2), (3, 3, 3, 3))])
def test_a_week_one_point_worse_holds(last, this):
    assert (in_week(*this, last=last).code, in_week(*this, last=last).change) == ("R4", Change.HOLD)


def test_half_a_point_between_weeks_is_nothing():
    assert in_week(1, 1, 2).code == "R8"


@pytest.mark.parametrize(("last", "this"), [((1, 1), (3, 3, 3)), ((), (3, 3, 3))])
def test_weeks_with_fewer_than_three_mornings_say_nothing(last, this):
    assert in_week(*this, last=last).code == "R8"


def test_the_exposures_own_mornings_count_for_the_week():
    exposures = [on(-7 + i, before=0, morning=0) for i in range(4)]
    exposures += [on(i, before=2, morning=2) for i in range(4)]
    assert rule(*exposures).numbers["rule"] == "R4"


# R5, R6


def test_without_a_morning_answer_nothing_goes_up():
    assert (rule(replace(QUIET, morning=None)).code, rule(replace(QUIET, morning=None)).change) == (
        "R5",
        Change.HOLD,
    )


def test_a_morning_one_point_worse_holds():
    assert (rule(replace(QUIET, morning=2)).code, rule(replace(QUIET, morning=2)).change) == (
        "R6",
        Change.HOLD,
    )


@pytest.mark.parametrize("unasked", [{"before": None}, {"after": None}, {"rpe": None}])
def test_a_score_that_was_not_asked_never_counts_as_good(unasked):
    assert (rule(replace(QUIET, **unasked)).code, rule(replace(QUIET, **unasked)).change) == (
        "none",
        Change.HOLD,
    )


# R7


def test_bearable_pain_that_settled_holds_once():
    assert (rule(BEARABLE).code, rule(BEARABLE).change) == ("R7", Change.HOLD)


@pytest.mark.parametrize("sore", [{"during": 3}, {"during": 5}, {"after": 3}, {"after": 5}])
def test_bearable_pain_twice_in_a_row_takes_the_smallest_step(sore):
    ruling = rule(replace(QUIET, **sore), on(3, **sore))
    assert (ruling.code, ruling.change, ruling.step) == ("R7", Change.FORWARD, StepSize.SMALLEST)


def test_bearable_pain_at_a_new_load_counts_from_one():
    ruling = rule(BEARABLE, on(3, BEARABLE), on(6, BEARABLE, load=Decimal("102.5")))
    assert (ruling.change, ruling.numbers["in_row"]) == (Change.HOLD, 1)


@pytest.mark.parametrize("undone", [{"reps": 4}, {"rpe": 9}])
def test_bearable_pain_does_not_step_while_the_work_is_not_done(undone):
    assert (rule(BEARABLE, on(3, BEARABLE, **undone)).code) == "R7"
    assert rule(BEARABLE, on(3, BEARABLE, **undone)).change is Change.HOLD


def test_a_quiet_day_between_breaks_the_row():
    assert rule(BEARABLE, on(3), on(6, BEARABLE)).change is Change.HOLD


# R8


def test_a_quiet_settled_exposure_takes_the_usual_step():
    ruling = rule(QUIET)
    assert (ruling.code, ruling.change, ruling.step) == ("R8", Change.FORWARD, StepSize.USUAL)
    assert ruling.cap_percent == 10


@pytest.mark.parametrize("undone", [{"reps": 4}, {"rpe": 8.5}])
def test_work_not_done_with_something_left_holds(undone):
    assert (rule(replace(QUIET, **undone)).code, rule(replace(QUIET, **undone)).change) == (
        "none",
        Change.HOLD,
    )


# E1, E2


def test_two_step_backs_in_a_row_take_the_large_step():
    ruling = rule(TOO_MUCH, on(3, TOO_MUCH, load=Decimal(90)))
    assert (ruling.code, ruling.step, ruling.change) == ("E1", StepSize.LARGE, Change.BACK)
    assert (ruling.numbers["rule"], ruling.refer) == ("R2", False)


def test_a_settled_day_between_two_step_backs_keeps_to_the_rung():
    assert rule(TOO_MUCH, on(3), on(6, TOO_MUCH)).code == "R2"


def test_three_step_backs_in_fourteen_days_book_someone():
    ruling = rule(TOO_MUCH, on(3), on(6, TOO_MUCH), on(9), on(14, TOO_MUCH))
    assert (ruling.code, ruling.change, ruling.refer) == ("E2", Change.BACK, True)
    assert (ruling.numbers["step_backs"], ruling.numbers["rule"]) == (3, "R2")


def test_three_step_backs_in_a_row_take_the_large_step_and_book_someone():
    ruling = rule(TOO_MUCH, on(3, TOO_MUCH), on(6, TOO_MUCH))
    assert (ruling.code, ruling.step, ruling.refer) == ("E2", StepSize.LARGE, True)


def test_three_step_backs_in_fifteen_days_do_not():
    ruling = rule(TOO_MUCH, on(3), on(6, TOO_MUCH), on(9), on(15, TOO_MUCH))
    assert (ruling.code, ruling.refer) == ("R2", False)


def test_after_three_step_backs_nothing_goes_up_while_they_are_near():
    backs = (TOO_MUCH, on(2), on(4, TOO_MUCH), on(6), on(8, TOO_MUCH))
    held = rule(*backs, on(10))
    assert (held.code, held.change, held.refer) == ("E2", Change.HOLD, True)
    assert rule(*backs, on(15)).code == "R8"


def test_a_hold_after_three_step_backs_stays_what_it_is_and_books_someone():
    backs = (TOO_MUCH, on(2), on(4, TOO_MUCH), on(6), on(8, TOO_MUCH))
    held = rule(*backs, on(10, morning=None))
    assert (held.code, held.change, held.refer) == ("R5", Change.HOLD, True)


def test_a_stop_is_not_escalated():
    assert rule(TOO_MUCH, on(3, TOO_MUCH), on(6, TOO_MUCH, spreading=True)).code == "R1"


# The assertive profile


def test_the_assertive_profile_is_off_unless_set():
    assert SHIPPED.profile is Profile.STEADY


@pytest.mark.parametrize(("scores", "code"), [({"morning": 2}, "R6"), ({"during": 4}, "R7")])
def test_the_assertive_profile_steps_where_the_steady_one_holds(scores, code):
    done = replace(QUIET, **scores)
    assert (rule(done).code, rule(done).change) == (code, Change.HOLD)
    ruling = rule(done, protocol=ASSERTIVE)
    assert (ruling.code, ruling.change, ruling.step) == (code, Change.FORWARD, StepSize.SMALLEST)


@pytest.mark.parametrize(("scores", "code"), [({"morning": 2}, "R6"), ({"during": 4}, "R7")])
@pytest.mark.parametrize("undone", [{"reps": 4}, {"rpe": 9}])
def test_the_assertive_profile_holds_while_the_work_is_not_done(scores, code, undone):
    ruling = rule(replace(QUIET, **scores, **undone), protocol=ASSERTIVE)
    assert (ruling.code, ruling.change) == (code, Change.HOLD)


@pytest.mark.parametrize("scores", [{"during": 6}, {"morning": 3}, {"morning": None}, {"spreading": True}])
def test_the_assertive_profile_changes_nothing_above_the_holds(scores):
    done = replace(QUIET, **scores)
    assert rule(done, protocol=ASSERTIVE) == rule(done)


# Settled


@pytest.mark.parametrize(
    "scores",
    [
        {"during": 6},
        {"after": 6},
        {"after": None},
        {"morning": 2},
        {"morning": None},
        {"before": None},
        {"acceptable": False},
        {"spreading": True},
    ],
)
def test_settled_wants_pain_in_bounds_and_a_morning_no_worse(scores):
    assert settled(QUIET)
    assert not settled(replace(QUIET, **scores))


def test_settled_exposures_count_back_at_one_load_height_and_setup():
    assert settled_in_row((QUIET, on(3), on(6))) == 3
    assert settled_in_row((QUIET, on(3, morning=2), on(6))) == 1
    assert settled_in_row((QUIET, on(3, load=Decimal(90)))) == 1
    assert settled_in_row((QUIET, on(3, height_mm=300))) == 1
    assert settled_in_row((QUIET, on(3, setup="trap-bar-low"))) == 1
    assert settled_in_row(()) == 0


# Whatever was logged

score = st.integers(0, 10)
asked = st.none() | score


@st.composite
def histories(draw):
    gaps = draw(st.lists(st.integers(1, 6), min_size=1, max_size=6))
    return tuple(
        Exposure(
            day=MONDAY + timedelta(days=sum(gaps[: i + 1])),
            load=Decimal(draw(st.sampled_from([80, 90, 100]))),
            reps=draw(st.integers(3, 6)),
            target_reps=5,
            rpe=draw(st.none() | st.integers(5, 10)),
            before=draw(asked),
            during=draw(score),
            after=draw(asked),
            morning=draw(asked),
            acceptable=draw(st.booleans()),
            spreading=draw(st.booleans()),
        )
        for i in range(len(gaps))
    )


ORDER = {Change.STOP: 0, Change.BACK: 1, Change.HOLD: 2, Change.FORWARD: 3}
profiles = st.sampled_from([SHIPPED, ASSERTIVE])


@given(histories(), profiles)
def test_nothing_ever_goes_up_without_a_morning_answer(history, protocol):
    done = (*history[:-1], replace(history[-1], morning=None))
    assert rule(*done, protocol=protocol).change is not Change.FORWARD


@given(histories(), profiles)
def test_nothing_ever_goes_up_after_pain_over_the_ceiling(history, protocol):
    last = history[-1]
    over = (
        last.during > 5
        or (last.after or 0) > 5
        or not last.acceptable
        or last.spreading
        or last.morning is None
    )
    assert not over or rule(*history, protocol=protocol).change is not Change.FORWARD


@given(histories(), st.sampled_from(["during", "after", "morning"]), st.integers(1, 10), profiles)
def test_more_pain_never_gives_a_bigger_step(history, which, more, protocol):
    *earlier, last = history
    last = replace(last, after=last.after or 0, morning=last.morning or 0)
    worse = replace(last, **{which: min(10, getattr(last, which) + more)})
    loads = tuple(Decimal(kg) for kg in range(20, 131))
    steps = []
    for done in ((*earlier, last), (*earlier, worse)):
        ruling = rule(*done, protocol=protocol)
        load = next_load(ruling, last.load, loads, protocol, settled_in_row(done, protocol))
        steps.append((ORDER[ruling.change], Decimal(0) if load is None else load))
    assert steps[1][0] <= steps[0][0]
    assert steps[1][1] <= steps[0][1]


@given(histories(), profiles)
def test_the_rules_answer_every_history_with_one_of_their_codes(history, protocol):
    codes = {f"R{i}" for i in range(9)} | {"E1", "E2", "none"}
    ruling = rule(*history, protocol=protocol)
    assert ruling.code in codes
    assert (ruling.step is StepSize.STAY) == (ruling.change in {Change.HOLD, Change.STOP})


def test_days_out_of_order_or_to_come_are_our_mistake():
    with pytest.raises(ContractError):
        rule(on(3), QUIET)
    with pytest.raises(ContractError):
        propose((QUIET,), today=MONDAY - timedelta(days=1))
