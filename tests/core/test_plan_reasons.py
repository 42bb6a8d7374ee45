"""Reasons of a plan: every number is recomputed here from the request and the lines, and every code has its sentence."""

from dataclasses import replace
from decimal import Decimal
from functools import cache

import pytest

from floorward import tables
from floorward.core.alternatives import best_left_out
from floorward.core.builder import Plan, build, weighed
from floorward.core.choices import choices_of
from floorward.core.edits import line_for
from floorward.core.exercises import Role
from floorward.core.findings import Finding, refused
from floorward.core.levers import LeverKind
from floorward.core.plan_reasons import (
    alternative_reason,
    left_out_reason,
    line_levers,
    line_reasons,
    plan_reasons,
)
from floorward.core.reckoning import PlannedLine
from floorward.core.records import SetUp
from floorward.core.repetitions import repetitions_at
from floorward.core.session_request import Day, Pin
from floorward.core.worth import Effort, credit
from floorward.maths.integer_programme import Status
from floorward.reports.plan_words import exercise_name, names_of, plan_sentence
from tests.core.trainees import BACK, MINA, RUNA, mina, mina_could_do, odin, runa, runa_could_do, sore_lift


@cache
def plan() -> Plan:
    return build(runa())


def reasons_of(line: PlannedLine, of_plan: Plan | None = None) -> dict[str, dict]:
    return {one.code: one.numbers for one in line_reasons(of_plan or plan(), line)}


def said(findings: tuple[Finding, ...], of_plan: Plan | None = None) -> list[str]:
    return [plan_sentence(one, names_of((of_plan or plan()).request)) for one in findings]


@pytest.mark.parametrize("place", range(6))
def test_every_number_of_a_line_can_be_recomputed(place: int) -> None:
    line = plan().lines[place]
    choice, numbers = line.choice, reasons_of(line)
    exercise = choice.exercise
    assert numbers[f"line-{exercise.role}"]["percent"] == round(
        100 * float(choice.load.load) / RUNA.maxima[line.key]
    )
    own = (
        repetitions_at(choice.load.share).middle - choice.repetitions
        if exercise.rpe is None
        else 10 - exercise.rpe
    )
    earned = credit(Effort(share=choice.load.share, repetitions=choice.repetitions, left=own))
    one_set = 0.3 * earned.size + 0.7 * earned.strength
    for muscle, amount in numbers["line-earns"]["credits"].items():
        whole = 1.0 if muscle in exercise.trains.direct else 0.5
        assert amount == pytest.approx(whole * one_set * line.sets, abs=0.006)
    without = weighed(plan().request, [other for other in plan().lines if other != line])
    more = plan().reckoning.worth - without.worth
    assert numbers.get("line-worth", {"worth": 0.0})["worth"] == pytest.approx(max(more, 0.0), abs=0.006)
    assert numbers["line-minutes"]["minutes"] == round(choice.line_minutes + line.sets * choice.set_minutes)


def test_a_sore_lift_planned_under_what_is_accepted_says_so() -> None:
    assert "line-lighter" not in reasons_of(plan().lines[0])
    careful = build(runa(confidence=0.9))
    line = careful.lines[0]
    assert line.choice.load.load < 120
    assert reasons_of(line, careful)["line-lighter"] == {"accepted": "120 kg"}


def test_what_a_sore_line_asks_and_risks_is_said() -> None:
    line = plan().lines[0]
    numbers = reasons_of(line)
    assert "of what the low back may be asked today" in " ".join(said(line_reasons(plan(), line)))
    asked = 2 * 5 * (170 + 2.25 * 120)
    assert numbers["line-asks"] == {
        "region": "low-back",
        "percent": round(100 * asked / runa().allowances[BACK].day),
    }
    chance = 1 / (1 + (RUNA.tolerance_nm / (170 + 2.25 * 120)) ** 9)
    assert numbers["line-chance"] == {"percent": round(100 * chance), "most": 25}


def test_work_as_usual_has_no_risk_to_speak_of() -> None:
    bench = next(line for line in plan().lines if line.key == "bench-press")
    assert {"line-chance", "line-asks"} & reasons_of(bench).keys() == set()


def test_a_line_too_light_to_train_is_called_movement() -> None:
    empty = replace(sore_lift(MINA), loads=sore_lift(MINA).loads[:1])
    light = build(mina(exercises=(empty, *mina_could_do())))
    line = light.lines[0]
    assert reasons_of(line, light)["line-movement"]["percent"] == round(
        100 * float(line.choice.load.load) / 95
    )
    assert "movement and confidence, not training" in " ".join(said(line_reasons(light, line), light))


def test_a_settled_a_new_and_a_standing_in_line_say_so() -> None:
    raised = replace(
        next(one for one in runa_could_do() if one.key == "deadlift at 325"),
        role=Role.FULL_RANGE,
        sets=(1, 3),
    )
    others = tuple(one for one in runa_could_do() if one.key not in {"deadlift at 325", "deadlift at 425"})
    pins = (Pin(exercise="sumo-deadlift"),)
    found = build(runa(exercises=(raised, *others), pins=pins))
    codes = {line.key: set(reasons_of(line, found)) for line in found.lines}
    assert "line-stands-in" in codes["deadlift at 325"]
    assert {"line-settled", "line-new"} <= codes["sumo-deadlift"]
    assert "10 cm short of it" in said(line_reasons(found, found.lines[0]), found)[0]


def test_the_best_line_left_out_is_named_with_what_it_would_cost() -> None:
    best = best_left_out(plan())
    assert best is not None
    reason = alternative_reason(best)
    assert reason.numbers["worth_less"] == pytest.approx(
        plan().reckoning.worth - weighed(plan().request, best.lines).worth, abs=0.006
    )
    assert reason.code == ("left-worth-less" if best.instead_of else "left-fewer-sets")
    (sentence,) = said((reason,))
    assert exercise_name(best.line.choice.exercise.setup) in sentence


def test_an_alternative_that_only_takes_sets_says_so() -> None:
    best = best_left_out(plan())
    assert best is not None
    assert alternative_reason(replace(best, instead_of=())).code == "left-fewer-sets"
    assert alternative_reason(replace(best, instead_of=("leg-curl",))).numbers["instead_of"] == ("leg-curl",)


def test_what_a_rule_kept_out_has_its_sentence() -> None:
    (sumo,) = build(odin()).left_out
    assert said((left_out_reason(sumo),)) == ["The contest in 10 weeks does not allow it."]


def test_a_plan_says_how_sure_it_is() -> None:
    # a busy machine may stop the solver by the clock, so both cases are set here
    worth = plan().reckoning.worth
    assert [one.code for one in plan_reasons(replace(plan(), status=Status.PROVEN))] == ["plan-best"]
    unsure = replace(plan(), status=Status.WITHIN_GAP, best_possible=1.05 * worth)
    assert plan_reasons(unsure)[0].numbers["percent"] == 5.0


def test_what_is_missing_is_said() -> None:
    floor = replace(sore_lift(RUNA), loads=tuple(replace(one, chance=0.9) for one in sore_lift(RUNA).loads))
    bench = next(one for one in runa_could_do() if one.key == "bench-press")
    assert "plan-find-again" in {one.code for one in plan_reasons(build(runa(exercises=(floor, bench))))}
    assert [one.code for one in plan_reasons(build(runa(exercises=(floor,))))] == [
        "plan-empty",
        "plan-find-again",
    ]
    short = build(runa(days=(Day(minutes=20),)))
    assert {"plan-no-variation", "gives-way-variation"} <= {one.code for one in plan_reasons(short)}


def test_what_gave_way_and_what_else_would_do_is_said() -> None:
    pins = (Pin(exercise="bench-press", sets=5), Pin(exercise="pull-up", sets=4))
    found = build(runa(days=(Day(minutes=30),), pins=pins))
    sentences = said(plan_reasons(found), found)
    assert any("cannot stay as you settled it" in one for one in sentences)
    assert "More time alone would do, too." in sentences
    in_need = build(runa(days=(Day(minutes=8),)))
    (needed,) = (one.numbers["minutes"] for one in plan_reasons(in_need) if one.code == "gives-way-time")
    assert needed - 1 < in_need.reckoning.minutes[0] <= needed
    beside = build(runa(days=(Day(minutes=20, taken=12),)))
    (more,) = (one.numbers["minutes"] for one in plan_reasons(beside) if one.code == "gives-way-time")
    assert more == needed + 12


def test_levers_are_those_of_the_line_and_none_for_work_as_usual() -> None:
    light = next(line for line in plan().lines if line.choice.exercise.role is Role.FULL_RANGE)
    found = line_levers(plan(), light)
    assert found[0].kind is LeverKind.REPETITIONS
    effort = Effort(share=light.choice.load.share, repetitions=5, left=light.choice.left)
    assert found[0].size_before == credit(effort).size
    bench = next(line for line in plan().lines if line.key == "bench-press")
    assert line_levers(plan(), bench) == ()


# -- a coach's own line -------------------------------------------------------------------------------------------------------


def test_an_edited_line_is_weighed_at_once() -> None:
    request = plan().request
    line, findings = line_for(request, Pin(exercise="bench-press", load=Decimal(90), repetitions=6, sets=4))
    assert findings == ()
    assert line is not None
    assert (line.sets, line.choice.repetitions, line.choice.load.load) == (4, 6, 90)
    swapped = [line if one.key == "bench-press" else one for one in plan().lines]
    assert weighed(request, swapped).minutes[0] < plan().reckoning.minutes[0]


def test_an_edit_may_leave_open_what_it_does_not_mind() -> None:
    line, _ = line_for(plan().request, Pin(exercise="trap-bar-high", day=0))
    assert line is not None
    assert line.choice in [replace(one, pinned=True) for one in choices_of(plan().request)[0]]


EDITS = {
    "edit-unknown": Pin(exercise="no such lift"),
    "edit-over": Pin(exercise="deadlift", load=Decimal(140)),
    "edit-not-loadable": Pin(exercise="bench-press", load=Decimal("91.3")),
    "edit-new": Pin(exercise="sumo-deadlift", sets=4),
    "edit-full-range": Pin(exercise="deadlift", sets=5),
    "edit-not-allowed": Pin(exercise="box-squat"),
}


@pytest.mark.parametrize("code", EDITS)
def test_an_edit_that_cannot_stand_says_why(code: str) -> None:
    line, findings = line_for(runa(bans=frozenset({"box-squat"})), EDITS[code])
    assert line is None
    assert refused(findings)
    assert [one.code for one in findings] == [code]
    assert all(said(findings))


def test_an_edit_between_two_loads_names_both() -> None:
    _, (finding,) = line_for(plan().request, EDITS["edit-not-loadable"])
    assert said((finding,)) == ["That cannot be loaded; 90 or 92.5 kg can."]


def test_an_edit_that_is_too_likely_to_hurt_says_how_likely() -> None:
    sore = next(one for one in runa_could_do() if one.key == "trap-bar-low")
    sore = replace(sore, loads=(*sore.loads[:-1], replace(sore.loads[-1], chance=0.4)))
    _, (finding,) = line_for(
        runa(exercises=(sore_lift(RUNA), sore)), Pin(exercise="trap-bar-low", load=sore.loads[-1].load)
    )
    assert (finding.code, finding.numbers) == ("edit-too-sore", {"percent": 40, "most": 25})


def test_exercises_go_by_what_coaches_call_them() -> None:
    assert exercise_name(SetUp(lift="deadlift", height_mm=325)) == "deadlift from 32.5 cm"
    assert exercise_name(SetUp(lift="deadlift", height_mm=225)) == "deadlift"
    assert exercise_name(SetUp(lift="box-squat", box_mm=400)) == "box squat, box 40 cm"
    assert exercise_name(SetUp(lift="high-bar-squat", depth_deg=10)) == "high-bar squat, +10° from level"


def test_every_reason_left_and_every_wish_has_its_sentence() -> None:
    from floorward.core.session_programme import WishKind
    from floorward.reports.wording import sentences

    known = set(sentences())
    assert {f"{begin}-{kind}" for begin in ("gives-way", "instead") for kind in WishKind} <= known
    codes = ("banned", "not-free", "contest-bars", "nothing-new", "too-sore", "other-range", "over-allowance")
    assert {f"left-{code}" for code in (*codes, "movement-only", "no-repetitions")} <= known
    assert {f"line-{role}" for role in Role} <= known
    assert tables.value("builder", "confidence") == 0.75
