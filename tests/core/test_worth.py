"""Credit of sets, the usual week as yardstick, and levers: order, limits and sums."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward import tables
from floorward.core.levers import Known, LeverKind, levers, tempo_is_too_slow
from floorward.core.lifts import catalogue
from floorward.core.records import SetUp
from floorward.core.repetitions import Curve, repetitions_at
from floorward.core.usual_week import TrainedSet, Yardstick, holding, usual_week, week_credits, with_done
from floorward.core.worth import (
    Aim,
    Effort,
    Trains,
    credit,
    credits_of,
    curve_at,
    is_shortened,
    lift_key,
    trains_of,
)
from floorward.errors import ContractError

efforts = st.builds(
    Effort,
    share=st.floats(0.01, 1.2),
    repetitions=st.integers(1, 40),
    left=st.floats(0, 60),
    shortened=st.booleans(),
)
PULL = Trains(direct=("glutes",), indirect=("grip",), practises={"deadlift": 1.0})


@given(efforts)
def test_a_set_is_worth_nothing_to_one_hard_set(effort: Effort) -> None:
    earned = credit(effort)
    assert 0 <= earned.size <= 1
    assert 0 <= earned.strength <= 1
    for aim in Aim:
        assert (
            min(earned.size, earned.strength) - 1e-9
            <= earned.toward(aim)
            <= max(earned.size, earned.strength) + 1e-9
        )


@given(efforts, st.floats(0, 0.5), st.floats(0, 20))
def test_more_load_and_less_left_never_earn_less(effort: Effort, more: float, less: float) -> None:
    heavier = replace(effort, share=effort.share + more)
    nearer = replace(effort, left=max(effort.left - less, 0))
    for better in (heavier, nearer):
        assert credit(better).size >= credit(effort).size - 1e-12
        assert credit(better).strength >= credit(effort).strength - 1e-12


def test_a_single_is_practice_of_strength_rather_than_of_size() -> None:
    single = credit(Effort(share=0.95, repetitions=1, left=0))
    assert (single.size, single.strength) == (0.2, 1.0)


def test_a_set_without_load_or_repetitions_is_none() -> None:
    for share, repetitions, left in ((0.0, 5, 1.0), (0.5, 0, 1.0), (0.5, 5, -1.0)):
        with pytest.raises(ContractError):
            Effort(share=share, repetitions=repetitions, left=left)


def test_indirect_muscles_get_half_and_lifts_their_share_of_strength() -> None:
    earned = credits_of(
        Effort(share=0.8, repetitions=5, left=2), replace(PULL, practises={"deadlift": 0.5}), Aim.STRENGTH
    )
    assert earned["grip"] == earned["glutes"] / 2
    assert earned[lift_key("deadlift")] == pytest.approx(
        0.5 * credit(Effort(share=0.8, repetitions=5, left=2)).strength
    )


def test_what_earns_nothing_is_not_listed() -> None:
    assert credits_of(Effort(share=0.8, repetitions=5, left=50), PULL, Aim.SIZE) == {}


def test_a_variation_practises_what_it_leads_back_to_within_its_family() -> None:
    assert trains_of(SetUp(lift="trap-bar-low")).practises == {"trap-bar-low": 1.0, "deadlift": 0.5}
    assert trains_of(SetUp(lift="trap-bar-high")).practises["deadlift"] == 0.5
    assert "deadlift" not in trains_of(SetUp(lift="hip-thrust")).practises


def test_a_raised_start_practises_its_lift_by_another_range() -> None:
    raised = SetUp(lift="deadlift", height_mm=325)
    assert is_shortened(raised)
    assert trains_of(raised).practises == {"deadlift": 0.7}
    assert not is_shortened(SetUp(lift="deadlift", height_mm=230))
    assert not is_shortened(SetUp(lift="trap-bar-high", height_mm=345))


def test_a_squat_above_level_is_shortened() -> None:
    assert is_shortened(SetUp(lift="high-bar-squat", depth_deg=20))
    assert not is_shortened(SetUp(lift="high-bar-squat", depth_deg=-10))


def test_other_lifts_have_their_muscles_and_unknown_ones_none() -> None:
    assert "chest" in trains_of(SetUp(lift="bench-press")).direct
    assert trains_of(SetUp(lift="a lift of their own")).direct == ()
    assert not is_shortened(SetUp(lift="bench-press", height_mm=900))


def test_every_lift_that_may_be_planned_trains_something() -> None:
    assert [
        key for key in (*catalogue(), *tables.load("other_lifts")) if not trains_of(SetUp(lift=key)).direct
    ] == []


def test_a_curve_is_straight_between_its_points_and_level_beyond() -> None:
    points = [(1, 0.0), (3, 1.0), (4, 0.5)]
    assert [curve_at(points, x) for x in (0, 1, 2, 3.5, 4, 9)] == [0.0, 0.0, 0.5, 0.75, 0.5, 0.5]


def a_set(share: float = 0.8, *, rpe: float = 8, day: int = 0) -> TrainedSet:
    return TrainedSet(
        lift="deadlift",
        day=day,
        effort=Effort(share=share, repetitions=5, left=10 - rpe),
        trains=PULL,
        rpe=rpe,
    )


def test_a_usual_week_is_the_mean_of_its_weeks() -> None:
    weeks = usual_week([a_set()] * 12, weeks=4, aim=Aim.BOTH)
    one_set = credits_of(a_set().effort, PULL, Aim.BOTH)
    assert {one.name: one.usual for one in weeks} == {
        name: pytest.approx(3 * amount) for name, amount in one_set.items()
    }


def test_muscles_stand_before_lifts_and_contest_lifts_count_whole() -> None:
    names = [one.name for one in usual_week([a_set()], 1, Aim.BOTH)]
    assert names == ["glutes", "grip", "lift:deadlift"]
    usual, contest = (usual_week([a_set()], 1, Aim.BOTH, lifts)[-1] for lifts in ((), ("deadlift",)))
    assert (usual.weight, contest.weight) == (0.5, 1.0)


def test_sets_too_light_to_train_are_not_counted() -> None:
    assert week_credits([a_set(share=0.2)], Aim.SIZE) == {}


def test_kept_is_what_was_done_over_what_is_usual() -> None:
    (glutes,) = with_done([Yardstick(name="glutes", usual=8.0)], {"glutes": 6.0, "chest": 3.0})
    assert glutes.kept == 0.75
    assert with_done([glutes], {})[0].kept == 0.75


def test_a_week_without_weeks_or_a_yardstick_without_length_is_refused() -> None:
    with pytest.raises(ContractError):
        usual_week([a_set()], 0, Aim.BOTH)
    with pytest.raises(ContractError):
        Yardstick(name="glutes", usual=0.0)


def test_an_easy_set_holds_nothing() -> None:
    found = holding([a_set(rpe=6)], usual_share=0.8, age_years=30)
    assert (found.held, found.sets, found.sets_needed) == (False, 0, 1)


CAPPED = Effort(share=0.5, repetitions=8, left=22, shortened=True)


def test_a_capped_set_is_helped_most_by_repetitions() -> None:
    found = levers(CAPPED, seconds_a_rep=3.5, rest_seconds=150)
    assert found[0].kind is LeverKind.REPETITIONS
    assert found[0].known is Known.CHART
    assert found[0].repetitions == 25
    assert found[0].left == pytest.approx(repetitions_at(0.5).middle - 25)
    assert {lever.kind for lever in found} == set(LeverKind)


@given(efforts, st.floats(1, 9), st.floats(30, 300))
def test_levers_only_add_and_the_best_is_first(effort: Effort, seconds: float, rest: float) -> None:
    effort = replace(effort, share=min(effort.share, 1.0))
    found = levers(effort, seconds_a_rep=seconds, rest_seconds=rest)
    assert all(lever.bought > 0 for lever in found)
    assert [lever.bought for lever in found] == sorted((lever.bought for lever in found), reverse=True)
    for lever in found:
        changed = Effort(share=effort.share, repetitions=lever.repetitions, left=lever.left, shortened=False)
        assert lever.size_before == credit(effort).size
        assert lever.size_after <= credit(changed).size + 1e-12


def test_short_rest_saves_time_and_a_slow_way_down_costs_it() -> None:
    by_kind = {lever.kind: lever for lever in levers(CAPPED, seconds_a_rep=3.5, rest_seconds=150)}
    assert by_kind[LeverKind.SHORT_REST].seconds_more == -90
    assert by_kind[LeverKind.SLOW_LOWERING].seconds_more == pytest.approx(8 * 1.5)


def test_a_hard_set_with_full_range_has_no_lever() -> None:
    assert levers(Effort(share=0.75, repetitions=10, left=0), seconds_a_rep=3.5, rest_seconds=180) == ()


def test_what_is_slow_and_short_of_rest_already_is_no_lever() -> None:
    kinds = {lever.kind for lever in levers(CAPPED, seconds_a_rep=6, rest_seconds=45)}
    assert LeverKind.SLOW_LOWERING not in kinds
    assert LeverKind.SHORT_REST not in kinds


def test_a_lifter_who_endures_gets_more_repetitions() -> None:
    enduring = Curve(max_kg=100, drop=0.02, drop_sd=0.002, sets=9)
    (own,) = (
        one
        for one in levers(CAPPED, seconds_a_rep=3, rest_seconds=60, curve=enduring)
        if one.kind == "repetitions"
    )
    assert own.left == pytest.approx(repetitions_at(0.5, enduring).middle - 25)


def test_a_repetition_takes_time() -> None:
    with pytest.raises(ContractError):
        tempo_is_too_slow(0)
