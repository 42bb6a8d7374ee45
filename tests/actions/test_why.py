from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floorward.actions.why import why
from floorward.core.ladder import Direction, Search, StepKind, Test, next_step
from floorward.reports.wording import sentence
from floorward.units import Unit

LOADS = tuple(Decimal(20) + Decimal("2.5") * step for step in range(93))
DOWN = Search(
    loads=LOADS,
    provoking_load=Decimal(200),
    usual_load=Decimal(200),
    direction=Direction.DOWN,
    heights_mm=tuple(range(245, 446, 20)),
)


def said(search: Search) -> str:
    return sentence(why(search, next_step(search), Unit.KG))


def after(search: Search, *rows: tuple[str, int]) -> Search:
    tests = tuple(Test(load=Decimal(load), pain=pain, acceptable=pain <= 3) for load, pain in rows)
    return replace(search, tests=tests)


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ((), "200 kg hurt. One rung, 10 % less and rounded down, is 180 kg."),
        ((("180", 6),), "180 kg was not acceptable"),
        ((("180", 6), ("142.5", 5)), "Two sets were not acceptable. Now the lightest load"),
        ((("180", 6), ("142.5", 5), ("20", 0)), "20 kg was acceptable at pain 0"),
        ((("180", 6), ("142.5", 5), ("20", 0), ("45", 2)), "the jumps are half as large"),
        ((("180", 3),), "Pain reached the ceiling of 3"),
    ],
)
def test_the_reason_names_the_loads_behind_it(rows, words):
    assert words in said(after(DOWN, *rows))


def test_from_below_it_says_why_it_starts_light():
    assert "no set is like the one that hurt" in said(replace(DOWN, direction=Direction.UP))


@settings(max_examples=60)
@given(
    pains=st.lists(st.integers(0, 10), max_size=12),
    direction=st.sampled_from(Direction),
    rest=st.sampled_from((None, 1, 4)),
)
def test_every_step_of_every_search_has_its_sentence(pains, direction, rest):
    search = replace(DOWN, direction=direction, rest_pain=rest)
    for pain in pains:
        step = next_step(search)
        assert said(search)
        if step.kind in {StepKind.DONE, StepKind.STOP} and step.load is None:
            return
        test = Test(load=step.load, height_mm=step.height_mm, pain=pain, acceptable=pain <= 3)
        search = replace(search, tests=(*search.tests, test))
    assert said(search)
