"""What may be planned at all: loads, repetitions and sets within the rules, and the reason where there is none."""

from dataclasses import replace
from decimal import Decimal

import pytest

from floorward import tables
from floorward.core.choices import LeftOut, choices_of, pinned_choices
from floorward.core.exercises import Exercise, LoadChoice, Role, exercise_for, key_of, load_choices
from floorward.core.line_choice import Choice, choice_at, ramp_of, rest_seconds
from floorward.core.records import Region, SetUp
from floorward.core.repetitions import Curve, repetitions_at
from floorward.core.session_request import Contest, Pin, Request
from floorward.core.worth import Aim, Effort, credit
from floorward.errors import ContractError
from floorward.units import Unit
from tests.core.trainees import BACK, RUNA, around, as_usual, runa, sore_lift


def of(request: Request, key: str) -> list[Choice]:
    return [one for one in choices_of(request)[0] if one.exercise.key == key]


def why_not(request: Request, key: str) -> LeftOut:
    return next(one for one in choices_of(request)[1] if one.exercise == key)


def only(*exercises: Exercise, **more: object) -> Request:
    return runa(exercises=(sore_lift(RUNA), *exercises), **more)


def test_an_uncapped_lift_has_a_load_for_each_number_of_repetitions() -> None:
    found = of(only(around(RUNA, "overhead-press")), "overhead-press")
    for one in found:
        assert one.rpe == pytest.approx(tables.value("builder", "effort", "sore"), abs=1)
    few, many = sorted(found, key=lambda one: one.repetitions)
    assert [few.repetitions, many.repetitions] == tables.value("builder", "repetitions", "strength")
    assert few.load.load > many.load.load


def test_a_capped_lift_gets_more_repetitions_at_the_load_that_is_allowed() -> None:
    found = of(only(around(RUNA, "trap-bar-high")), "trap-bar-high")
    assert {one.load.load for one in found} == {180}
    possible = repetitions_at(180 / 250).middle
    assert max(one.repetitions for one in found) == round(possible - 3)


def test_far_below_it_repetitions_end_where_breath_does() -> None:
    light = replace(around(RUNA, "box-squat"), loads=around(RUNA, "box-squat").loads[:24])
    assert max(one.repetitions for one in of(only(light), "box-squat")) == tables.value(
        "builder", "repetitions", "most"
    )


def test_an_enduring_lifter_gets_more_repetitions() -> None:
    curve = Curve(max_kg=250, drop=0.02, drop_sd=0.003, sets=8)
    usual, enduring = (
        max(one.repetitions for one in of(only(around(RUNA, "trap-bar-high"), **more), "trap-bar-high"))
        for more in ({}, {"curve": curve})
    )
    assert enduring > usual


def test_a_load_that_is_too_likely_to_hurt_is_no_choice() -> None:
    free = replace(
        around(RUNA, "trap-bar-high"),
        loads=load_choices([Decimal(n) for n in range(60, 260, 10)], Unit.KG, 250),
    )
    sore = replace(
        free, loads=tuple(replace(one, chance=0.002 * float(one.load) - 0.1) for one in free.loads)
    )
    assert max(one.load.load for one in of(only(sore), free.key)) <= 170
    assert max(one.load.load for one in of(only(sore, confidence=0.9), free.key)) == 100


def test_work_as_usual_stays_at_its_load_repetitions_and_effort() -> None:
    (bench,) = of(only(as_usual(RUNA, "bench-press")), "bench-press")
    assert (bench.load.load, bench.repetitions, bench.rpe) == (Decimal("92.5"), 5, 8)


def test_a_lift_not_done_for_few_repetitions_is_not_planned_so() -> None:
    assert min(one.repetitions for one in of(only(around(RUNA, "hip-thrust")), "hip-thrust")) == 6


@pytest.mark.parametrize("exposures", [0, 1, 2])
def test_a_new_pattern_grows_by_exposures(exposures: int) -> None:
    sets, rpe, repetitions = tables.value("builder", "new")[exposures]
    new = replace(around(RUNA, "belt-squat"), exposures=exposures)
    assert ramp_of(new) == (sets, rpe, repetitions)
    for one in of(only(new), "belt-squat"):
        assert one.sets[1] <= sets
        assert one.repetitions <= repetitions
        assert one.rpe <= rpe + 0.5
    assert ramp_of(replace(new, exposures=3)) is None


def test_showing_a_new_lift_takes_its_minutes() -> None:
    known, new = (of(only(replace(around(RUNA, "belt-squat"), exposures=n)), "belt-squat")[0] for n in (2, 0))
    assert new.line_minutes > known.line_minutes


def test_the_sore_lift_is_planned_at_the_heaviest_load_allowed() -> None:
    (sore,) = of(only(), "deadlift")
    assert (sore.load.load, sore.repetitions, sore.sets) == (120, 5, (2, 3))


def test_a_small_allowance_takes_sets_of_the_sore_lift_then_load() -> None:
    asked = sore_lift(RUNA).loads[-1].asks_nm[BACK] * 5
    allowance = runa().allowances[BACK]
    for times, sets in ((3.2, (1, 3)), (2.1, (1, 2)), (1.1, (1, 1))):
        (sore,) = of(only(allowances={BACK: replace(allowance, day=times * asked)}), "deadlift")
        assert (sore.load.load, sore.sets) == (120, sets)
    (lighter,) = of(only(allowances={BACK: replace(allowance, day=0.9 * asked)}), "deadlift")
    assert lighter.load.load < 120
    assert why_not(only(allowances={BACK: replace(allowance, day=10)}), "deadlift").code == "over-allowance"


def test_without_repetitions_of_its_own_the_sore_lift_has_those_of_a_session() -> None:
    (sore,) = of(runa(exercises=(replace(sore_lift(RUNA), repetitions=()),)), "deadlift")
    assert sore.repetitions == tables.value("session", "full_range", "reps")


REASONS = {
    "banned": {"bans": frozenset({"front-squat"})},
    "not-free": {"free": frozenset({"straight bar", "plates"})},
    "contest-bars": {"contest": Contest(weeks=12, barred=("front-squat",))},
}


@pytest.mark.parametrize("code", REASONS)
def test_what_a_rule_keeps_out_says_which(code: str) -> None:
    assert (
        why_not(only(around(RUNA, "front-squat", equipment=("rack",)), **REASONS[code]), "front-squat").code
        == code
    )


def test_far_from_the_contest_its_rules_do_not_bar() -> None:
    assert of(
        only(around(RUNA, "front-squat"), contest=Contest(weeks=13, barred=("front-squat",))), "front-squat"
    )


def test_a_lift_whose_lightest_load_hurts_too_much_is_too_sore() -> None:
    sore = around(RUNA, "front-squat")
    sore = replace(sore, loads=tuple(replace(one, chance=0.4) for one in sore.loads))
    found = why_not(only(sore), "front-squat")
    assert (found.code, found.numbers) == ("too-sore", {"load": "25 kg", "chance": 0.4, "most": 0.25})


def test_a_lift_that_may_only_be_light_is_movement() -> None:
    light = around(RUNA, "front-squat")
    light = replace(light, loads=light.loads[:5])
    assert why_not(only(light), "front-squat").code == "movement-only"
    (made,) = pinned_choices(Pin(exercise="front-squat", load=Decimal(30), repetitions=8), only(light), ())
    assert made.credits == {}


def test_a_lift_that_asks_too_much_for_the_day_says_so() -> None:
    allowance = runa().allowances[BACK]
    tight = {BACK: replace(allowance, day=2500)}
    assert (
        why_not(only(around(RUNA, "trap-bar-high"), allowances=tight), "trap-bar-high").code
        == "over-allowance"
    )


def test_a_lift_too_heavy_to_be_done_often_enough_says_so() -> None:
    heavy = around(RUNA, "overhead-press")
    heavy = replace(heavy, loads=tuple(one for one in heavy.loads if one.share > 0.96))
    assert why_not(only(heavy), "overhead-press").code == "no-repetitions"


def test_no_choice_betters_another_in_every_respect() -> None:
    found = of(only(around(RUNA, "front-squat")), "front-squat")
    for one in found:
        for other in found:
            gains = all(one.credits[name] >= other.credits[name] for name in other.credits)
            cheaper = one.set_minutes <= other.set_minutes and one.line_minutes <= other.line_minutes
            gentler = one.asks[BACK] <= other.asks[BACK] and one.load.chance <= other.load.chance
            assert one == other or not (gains and cheaper and gentler)


def test_credit_of_a_choice_is_that_of_its_set() -> None:
    request = only(around(RUNA, "front-squat"), aim=Aim.SIZE)
    one = of(request, "front-squat")[0]
    earned = credit(Effort(share=one.load.share, repetitions=one.repetitions, left=one.left))
    assert one.credits["quadriceps"] == pytest.approx(earned.toward(Aim.SIZE))
    assert one.asks == {BACK: one.load.asks_nm[BACK] * one.repetitions}


def test_big_lifts_and_heavy_loads_rest_longer() -> None:
    big, small = around(RUNA, "front-squat"), as_usual(RUNA, "leg-curl")
    assert rest_seconds(big, big.loads[-1]) > rest_seconds(big, big.loads[0])
    assert rest_seconds(big, big.loads[-1]) > rest_seconds(small, small.loads[-1])


def test_a_choice_out_of_reach_leaves_nothing_in_reserve() -> None:
    press = around(RUNA, "overhead-press")
    assert choice_at(press, press.loads[-1], 12, only(press)).rpe == 10


def test_a_settled_line_may_be_what_the_builder_would_not_plan() -> None:
    request = only(around(RUNA, "front-squat"))
    (made,) = pinned_choices(
        Pin(exercise="front-squat", load=Decimal(60), repetitions=15, sets=7), request, ()
    )
    assert (made.load.load, made.repetitions, made.sets, made.pinned) == (60, 15, (7, 7), True)


def test_a_settled_line_may_not_break_a_rule() -> None:
    request = only(around(RUNA, "sumo-deadlift", exposures=0), bans=frozenset({"trap-bar-high"}))
    for pin in (
        Pin(exercise="sumo-deadlift", sets=5),
        Pin(exercise="sumo-deadlift", load=Decimal(60), repetitions=12),
        Pin(exercise="deadlift", sets=4),
        Pin(exercise="deadlift", load=Decimal(100), repetitions=8),
        Pin(exercise="trap-bar-high"),
        Pin(exercise="no such lift"),
    ):
        assert pinned_choices(pin, request, choices_of(request)[0]) == ()


def test_loads_carry_share_demand_and_chance() -> None:
    (one,) = load_choices(
        [Decimal(100)],
        Unit.LB,
        90.718474,
        asks_nm=lambda kg: {BACK: 10 * kg},
        chance=lambda asks: asks[BACK] / 1000,
    )
    assert one.share == pytest.approx(0.5)
    assert one.asks_nm == {BACK: pytest.approx(453.59237)}
    assert one.chance == pytest.approx(0.45359237)
    with pytest.raises(ContractError):
        load_choices([Decimal(100)], Unit.KG, 0)


def test_an_exercise_has_loads_that_rise_sets_and_a_load_to_plan_with() -> None:
    good = around(RUNA, "front-squat")
    for slip in (
        {"loads": ()},
        {"loads": tuple(reversed(good.loads))},
        {"sets": (0, 3)},
        {"sets": (4, 3)},
        {"planned_load": Decimal("33.33")},
    ):
        with pytest.raises(ContractError):
            replace(good, **slip)


def test_a_set_up_is_named_by_what_fixes_it() -> None:
    assert key_of(SetUp(lift="deadlift")) == "deadlift"
    assert key_of(SetUp(lift="deadlift", height_mm=325)) == "deadlift at 325"
    assert key_of(SetUp(lift="box-squat", box_mm=400)) == "box-squat box 400"


def test_the_knee_may_be_sore_as_well() -> None:
    loads = (LoadChoice(load=Decimal(60), share=0.6, asks_nm={Region.KNEE: 200.0}),)
    squat = exercise_for(SetUp(lift="high-bar-squat"), Role.FULL_RANGE, loads, family="squat")
    allowance = {Region.KNEE: runa().allowances[BACK]}
    (one,) = of(runa(exercises=(squat,), allowances=allowance), "high-bar-squat")
    assert one.asks == {Region.KNEE: 1000.0}
