"""When not all can be had: what gives way is the least that can, and saying so is true."""

from dataclasses import replace
from itertools import chain, combinations

import pytest

from floorward import tables
from floorward.core.builder import build
from floorward.core.choices import choices_of
from floorward.core.conflict import conflict_of
from floorward.core.session_programme import Wish, WishKind, programme_of
from floorward.core.session_request import Day, Pin, Request
from floorward.maths.integer_programme import solve
from tests.core.trainees import BACK, RUNA, runa, runa_could_do, sore_lift

KEPT = ("trap-bar-high", "high-bar-squat", "bench-press", "dip", "leg-curl", "pull-up")


def few(minutes: float, *pins: Pin, back: float = 1.0, **more: object) -> Request:
    allowance = runa().allowances[BACK]
    cut = {BACK: replace(allowance, day=back * allowance.day, last_hard_day=more.pop("last_hard_day", None))}
    exercises = (sore_lift(RUNA), *(one for one in runa_could_do() if one.key in KEPT))
    return runa(exercises=exercises, days=(Day(minutes=minutes),), pins=pins, allowances=cut, **more)


def possible(request: Request, given_up: tuple[Wish, ...]) -> bool:
    model = programme_of(request, choices_of(request)[0], given_up)
    return solve(model.programme, seconds=20).found


def weight(wishes: tuple[Wish, ...]) -> float:
    return sum(tables.value("builder", "wish", wish.kind) for wish in wishes)


CASES = {
    "two long lines in half an hour": few(
        30, Pin(exercise="bench-press", sets=5), Pin(exercise="pull-up", sets=4)
    ),
    "a line that asks too much": few(80, Pin(exercise="trap-bar-high", sets=5), back=0.8),
    "no room for a variation": few(60, back=0.5),
    "a hard line after a hard day": few(60, Pin(exercise="trap-bar-high", sets=3), last_hard_day=-1),
    "more sets for a muscle than do good": few(
        90, Pin(exercise="bench-press", sets=6), Pin(exercise="dip", sets=6)
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_what_gives_way_is_the_least_that_makes_a_plan_possible(case: str) -> None:
    request = CASES[case]
    choices = choices_of(request)[0]
    found = conflict_of(request, choices)
    assert found is not None
    wishes = tuple(programme_of(request, choices).given_up)
    every = chain.from_iterable(combinations(wishes, n) for n in range(len(wishes) + 1))
    enough = [
        some for some in every if WishKind.TIME not in {one.kind for one in some} and possible(request, some)
    ]
    assert possible(request, found.given_up)
    assert weight(found.given_up) <= min(weight(some) for some in enough) + 1e-9
    assert {wish for wish in wishes if (wish,) != found.given_up and possible(request, (wish,))} == set(
        found.instead
    )


def test_too_little_time_for_the_sore_lift_says_how_much_it_needs() -> None:
    plan = build(few(10))
    assert plan.conflict is not None
    ((_, needed),) = plan.conflict.minutes_needed
    assert plan.reckoning.minutes[0] <= needed < plan.reckoning.minutes[0] + 1
    assert not possible(few(needed - 2), ())
    assert plan.lines[0].key == "deadlift"


def test_a_settled_line_outweighs_an_easier_variation_and_time_outweighs_both() -> None:
    weights = [tables.value("builder", "wish", kind) for kind in ("variation", "spacing", "pin", "time")]
    assert weights == sorted(weights)


def test_a_line_that_had_to_go_leaves_the_rest_planned() -> None:
    plan = build(CASES["a line that asks too much"])
    assert plan.conflict is not None
    assert Wish(kind=WishKind.PIN, day=0, about="trap-bar-high") in plan.given_up
    assert not any(line.key == "trap-bar-high" and line.sets == 5 for line in plan.lines)
    assert len(plan.lines) > 2


def test_a_line_that_a_rule_forbids_gives_way() -> None:
    plan = build(few(60, Pin(exercise="deadlift", sets=5)))
    assert plan.given_up == (Wish(kind=WishKind.PIN, day=0, about="deadlift"),)


def test_with_all_to_be_had_nothing_gives_way() -> None:
    assert build(few(75)).conflict is None
    assert conflict_of(few(75), choices_of(few(75))[0]).given_up == ()
