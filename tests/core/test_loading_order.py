"""Loading order: the fewest moves through a session, against trying everything."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floorward.core.loading_order import LoadingOrder, loading_order, remarks, someone_else_loads
from floorward.core.plates import Change, Loading, change, left_over, loading_for, loads
from floorward.core.records import Plate, PlateSet, Region
from floorward.errors import ContractError
from floorward.reports.wording import sentence
from floorward.units import Unit, kg
from tests.core.iron import BAR_20, KG_GYM, LB_GYM, every_loading, plates, stocks

TENS = PlateSet(bar=BAR_20, collar=kg(0), plates=plates(Unit.KG, "20:1,10:2"))


def decimals(*loads: float) -> list[Decimal]:
    return [Decimal(str(load)) for load in loads]


def sides(order: LoadingOrder) -> list[str]:
    return ["+".join(str(plate.mass.value) for plate in step.loading.per_side) for step in order.steps]


def cost_of(way: Sequence[Loading | None]) -> tuple[int, Decimal]:
    """Moves and mass of a way, added up change by change."""
    moved: list[Plate] = []
    for before, after in pairwise(way):
        assert after is not None
        step = change(before, after)
        moved += step.off + step.on
    return len(moved), sum((plate.mass.value for plate in moved), Decimal())


def least_cost(
    stock: PlateSet, targets: Sequence[Decimal], start: Loading | None = None
) -> tuple[int, Decimal]:
    """Every combination of every loading of every target."""
    choices = [
        [loading for loading in every_loading(stock) if loading.total.value == target] for target in targets
    ]
    return min(cost_of((start, *way)) for way in product(*choices))


def test_two_tens_that_stay_on_save_a_twenty() -> None:
    order = loading_order(TENS, decimals(40, 60, 40, 60, 40))
    assert sides(order) == ["10", "10+10", "10", "10+10", "10"]
    assert (order.moves, order.moved_kg) == (5, 50)


def test_the_same_load_again_moves_nothing() -> None:
    order = loading_order(KG_GYM, decimals(100, 100, 100))
    assert [step.change for step in order.steps[1:]] == [Change(off=(), on=())] * 2


def test_plates_already_on_the_bar_are_used() -> None:
    start = Loading(plate_set=TENS, per_side=(TENS.plates[1],) * 2)
    order = loading_order(TENS, decimals(60), start=start)
    assert sides(order) == ["10+10"]
    assert order.moves == 0


def test_of_ways_with_as_few_moves_the_lighter_handling_is_taken() -> None:
    stock = PlateSet(bar=BAR_20, collar=kg(0), plates=plates(Unit.KG, "20:1,15:1,10:1,5:1"))
    order = loading_order(stock, decimals(70, 30))
    assert sides(order) == ["20+5", "5"]
    assert (order.moves, order.moved_kg) == least_cost(stock, decimals(70, 30))


def test_a_pull_keeps_a_plate_of_full_height_where_it_can() -> None:
    small = replace(TENS.plates[1], mass=kg(5), pairs=4, diameter_mm=230)
    stock = replace(TENS, plates=(small, replace(TENS.plates[1], pairs=1)))
    targets = decimals(30, 40)
    assert sides(loading_order(stock, targets)) == ["5", "5+5"]
    order = loading_order(stock, targets, keep_height=True)
    assert sides(order) == ["5", "10"]
    assert order.steps[1].loading.largest_diameter_mm == 450


def test_no_sets_need_no_plates() -> None:
    assert loading_order(KG_GYM, ()).steps == ()


def test_an_empty_stock_leaves_the_bar() -> None:
    bare = replace(KG_GYM, plates=())
    assert sides(loading_order(bare, decimals(25, 25))) == ["", ""]


def test_a_load_that_cannot_be_made_is_our_mistake() -> None:
    with pytest.raises(ContractError, match="cannot be made"):
        loading_order(KG_GYM, decimals(101))


def test_plates_of_another_set_on_the_bar_are_our_mistake() -> None:
    foreign = Loading(plate_set=LB_GYM, per_side=(LB_GYM.plates[0],))
    with pytest.raises(ContractError, match="not of this plate set"):
        loading_order(KG_GYM, decimals(100), start=foreign)


def test_plates_on_another_bar_are_left_out() -> None:
    other = loading_for(KG_GYM, Decimal(225))
    assert other is not None
    rest = left_over(KG_GYM, other.per_side)
    assert [plate.pairs for plate in rest.plates] == [0, 2, 1, 2, 2, 1, 1]
    assert Decimal(225) not in loads(rest)


def test_someone_else_carries_the_heavy_plates_of_a_sore_back() -> None:
    order = loading_order(KG_GYM, decimals(70, 72.5))
    assert [plate.mass for plate in someone_else_loads(order.steps[0].change, Region.LOW_BACK)] == [kg(20)]
    assert someone_else_loads(order.steps[1].change, Region.LOW_BACK) == ()
    assert someone_else_loads(order.steps[0].change, Region.KNEE) == ()
    assert someone_else_loads(order.steps[0].change, None) == ()


def test_a_sore_back_is_told_what_to_leave_to_others() -> None:
    said = [sentence(remark) for remark in remarks(loading_order(KG_GYM, decimals(70, 125)), Region.LOW_BACK)]
    assert said == [
        "Someone else should carry 20 kg, 10 kg.",
        "Keep plates at waist height, and leave on the bar what the next set needs.",
    ]
    assert remarks(loading_order(KG_GYM, decimals(30)), Region.LOW_BACK) == ()
    assert remarks(loading_order(KG_GYM, decimals(125)), Region.HIP) == ()


@given(stocks, st.data())
@settings(max_examples=60)
def test_no_way_through_a_session_is_cheaper(stock: PlateSet, data: st.DataObject) -> None:
    targets = data.draw(st.lists(st.sampled_from(loads(stock)), min_size=1, max_size=3))
    start = data.draw(st.none() | st.sampled_from(loads(stock)).map(lambda load: loading_for(stock, load)))
    order = loading_order(stock, targets, start=start)
    assert [step.loading.total.value for step in order.steps] == targets
    assert cost_of((start, *(step.loading for step in order.steps))) == least_cost(stock, targets, start)


@given(st.lists(st.sampled_from(loads(LB_GYM)), max_size=12), st.booleans())
def test_every_change_leads_to_the_next_loading(targets: list[Decimal], keep_height: bool) -> None:  # noqa: FBT001
    before: Loading | None = None
    for target, step in zip(
        targets, loading_order(LB_GYM, targets, keep_height=keep_height).steps, strict=True
    ):
        assert step.loading.total.value == target
        assert step.change == change(before, step.loading)
        before = step.loading
