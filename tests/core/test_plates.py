"""Plates: which loads can be made, with what, and what changes from one to the next."""

from collections import Counter
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.core.plates import (
    Loading,
    bars_for,
    change,
    common_step,
    loading_for,
    loading_of,
    loads,
    nearest,
    neighbours,
    plate_set_for,
    sleeve_room_mm,
    workable,
)
from floorward.core.records import BarKind, Collar, Equipment, Plate, PlateSet
from floorward.errors import ContractError
from floorward.units import Unit, kg, lb
from tests.core.iron import BAR_20, BAR_45, HEX_60, KG_GYM, LB_GYM, every_loading, plates, stocks

targets = st.integers(0, 2400).map(lambda quarters: Decimal(quarters) / 8)


def side(loading: Loading | None) -> list[str]:
    return [] if loading is None else [str(plate.mass.value) for plate in loading.per_side]


def test_the_bare_bar_is_the_lightest_load_and_weighs_its_collars_too() -> None:
    assert loads(KG_GYM)[0] == 25
    assert Loading(plate_set=KG_GYM).total == kg(25)


def test_a_bar_without_plates_makes_one_load() -> None:
    bare = PlateSet(bar=BAR_20, collar=kg(0), plates=())
    assert loads(bare) == (20,)
    assert loading_for(bare, Decimal(20)) == Loading(plate_set=bare)
    assert neighbours(bare, Decimal(60)).above is None


def test_the_fewest_plates_are_taken() -> None:
    assert side(loading_for(KG_GYM, Decimal("142.5"))) == ["25", "25", "5", "2.5", "1.25"]


def test_greedy_hands_would_stop_at_25_on_the_way_to_30_a_side() -> None:
    scarce = PlateSet(bar=BAR_20, collar=kg(0), plates=plates(Unit.KG, "25:1,20:1,10:1"))
    assert side(loading_for(scarce, Decimal(80))) == ["20", "10"]


def test_of_two_with_as_few_plates_the_heavier_first_wins() -> None:
    tie = PlateSet(bar=BAR_20, collar=kg(0), plates=plates(Unit.KG, "25:1,20:1,15:1,10:1"))
    assert side(loading_for(tie, Decimal(90))) == ["25", "10"]


def test_of_two_equal_masses_the_wider_keeps_the_bar_at_its_height() -> None:
    small, full = (Plate(mass=kg(10), pairs=1, diameter_mm=mm) for mm in (230, 450))
    loading = loading_for(PlateSet(bar=BAR_20, collar=kg(0), plates=(small, full)), Decimal(40))
    assert loading is not None
    assert loading.largest_diameter_mm == 450


def test_more_plates_are_used_where_fewer_would_not_fit_the_sleeve() -> None:
    thick = Plate(mass=kg(20), pairs=1, thickness_mm=90)
    thin = Plate(mass=kg(10), pairs=2, thickness_mm=30)
    short = PlateSet(bar=replace(BAR_20, sleeve_mm=60), collar=kg(0), plates=(thick, thin))
    assert side(loading_for(short, Decimal(60))) == ["10", "10"]
    assert loads(short) == (20, 40, 60)


def test_a_target_under_the_bar_has_only_a_load_above() -> None:
    found = neighbours(KG_GYM, Decimal(20))
    assert found.below is None
    assert found.above == Loading(plate_set=KG_GYM)
    assert not found.exact


def test_a_target_over_the_stock_has_only_a_load_below() -> None:
    found = neighbours(KG_GYM, Decimal(1000))
    assert found.above is None
    assert found.below is not None
    assert found.below.total.value == loads(KG_GYM)[-1]


def test_a_target_between_two_loads_is_never_rounded_up_in_silence() -> None:
    found = neighbours(KG_GYM, Decimal(101))
    assert found.below is not None
    assert found.above is not None
    assert (found.below.total, found.above.total) == (kg(100), kg("102.5"))
    assert not found.exact


def test_plates_written_down_are_the_same_bar_again() -> None:
    for load in loads(KG_GYM):
        loaded = loading_for(KG_GYM, load)
        assert loaded is not None
        assert loading_of(KG_GYM, (plate.mass.value for plate in loaded.per_side)) == loaded


def test_plates_that_the_gym_does_not_own_any_more_make_no_bar() -> None:
    assert loading_of(KG_GYM, [Decimal(25), Decimal(7)]) is None


def test_a_change_takes_off_what_stands_outside_first() -> None:
    before, after = loading_for(KG_GYM, Decimal(110)), loading_for(KG_GYM, Decimal(90))
    assert after is not None
    assert (side(before), side(after)) == (["25", "15", "2.5"], ["25", "5", "2.5"])
    step = change(before, after)
    assert [str(plate.mass.value) for plate in step.off] == ["2.5", "15"]
    assert [str(plate.mass.value) for plate in step.on] == ["5", "2.5"]


def test_a_change_from_nothing_puts_everything_on() -> None:
    after = loading_for(LB_GYM, Decimal(185))
    assert after is not None
    assert change(None, after).off == ()
    assert change(None, after).on == after.per_side


def test_a_gyms_bar_takes_the_plates_and_collars_of_its_own_unit() -> None:
    gym = Equipment(
        plates=KG_GYM.plates + LB_GYM.plates, collars=(Collar(mass=lb(5)), Collar(mass=kg("2.5")))
    )
    assert plate_set_for(gym, BAR_20) == KG_GYM
    assert plate_set_for(gym, BAR_45) == replace(LB_GYM, collar=lb(5))
    assert plate_set_for(Equipment(), BAR_20).collar == kg(0)


def test_a_load_under_the_usual_bar_finds_the_lighter_ones() -> None:
    light = replace(BAR_20, name="light", mass=kg(7))
    gym = Equipment(bars=(light, BAR_20, HEX_60, BAR_45))
    assert bars_for(gym, kg(60)) == (BAR_45, BAR_20, light)
    assert bars_for(gym, kg(15)) == (light,)
    assert bars_for(gym, kg(5)) == ()
    assert bars_for(gym, kg(60), BarKind.TRAP) == (HEX_60,)


def test_pounds_on_a_kilogram_bar_are_our_mistake() -> None:
    with pytest.raises(ContractError, match="45 lb does not belong"):
        loads(replace(KG_GYM, plates=LB_GYM.plates))


def test_a_plate_without_mass_is_our_mistake() -> None:
    with pytest.raises(ContractError, match="weigh something"):
        loads(replace(KG_GYM, plates=(Plate(mass=kg(0), pairs=1),)))


def test_a_collar_takes_its_width_of_the_sleeve() -> None:
    assert sleeve_room_mm(replace(KG_GYM, collar=kg(0))) == 415
    assert sleeve_room_mm(KG_GYM) == 385
    assert sleeve_room_mm(replace(KG_GYM, bar=replace(BAR_20, sleeve_mm=10))) == 0


def test_the_common_step_divides_every_plate() -> None:
    assert common_step(plates(Unit.KG, "25:1,2.5:1,1.25:1,0.5:1")) == Decimal("0.25")
    assert common_step(()) == 0


def test_pounds_written_in_kilograms_beside_kilograms_are_too_much_work() -> None:
    assert workable(KG_GYM)
    assert workable(replace(KG_GYM, plates=()))
    mixed = replace(KG_GYM, plates=plates(Unit.KG, "25:4,20.41165665:4"))
    assert not workable(mixed)
    assert not workable(mixed, Decimal(200))
    assert workable(replace(mixed, plates=(mixed.plates[0], replace(mixed.plates[1], pairs=0))))


def test_a_stock_beyond_measure_can_be_asked_for_one_load() -> None:
    plenty = replace(KG_GYM, plates=plates(Unit.KG, "25:9999,10:9999,0.25:9999", thickness_mm=0))
    assert not workable(plenty)
    assert workable(plenty, Decimal(300))
    assert side(nearest(plenty, Decimal(196)).below) == ["25", "25", "25", "10", "0.25", "0.25"]


@given(stocks)
def test_the_loads_are_all_those_that_can_be_counted_out(stock: PlateSet) -> None:
    assert loads(stock) == tuple(sorted({loading.total.value for loading in every_loading(stock)}))


@given(stocks, st.data())
def test_every_loading_is_the_best_of_all_that_make_it(stock: PlateSet, data: st.DataObject) -> None:
    target = data.draw(st.sampled_from(loads(stock)))
    candidates = [loading for loading in every_loading(stock) if loading.total.value == target]
    best = min(
        candidates,
        key=lambda loading: (
            len(loading.per_side),
            [(-plate.mass.value, -plate.diameter_mm) for plate in loading.per_side],
        ),
    )
    assert loading_for(stock, target) == best


@given(stocks, targets)
def test_every_load_offered_is_in_stock_and_on_the_sleeve(stock: PlateSet, target: Decimal) -> None:
    found = neighbours(stock, target)
    for loading in filter(None, (found.below, found.above)):
        used = Counter(loading.per_side)
        assert all(used[plate] <= plate.pairs for plate in used)
        assert sum(plate.thickness_mm for plate in loading.per_side) <= sleeve_room_mm(stock)
        assert loading.per_side == tuple(sorted(loading.per_side, key=lambda plate: -plate.mass.value))


@given(stocks, targets)
def test_nothing_can_be_made_between_the_neighbours(stock: PlateSet, target: Decimal) -> None:
    found = neighbours(stock, target)
    under = found.below.total.value if found.below else Decimal("-Infinity")
    over = found.above.total.value if found.above else Decimal("Infinity")
    assert under <= target <= over
    assert found.exact == (target in loads(stock))
    assert not [total for total in loads(stock) if under < total < over]


@given(stocks, targets)
def test_a_stock_asked_once_gives_the_same_neighbours(stock: PlateSet, target: Decimal) -> None:
    assert nearest(stock, target) == neighbours(stock, target)


@given(stocks, st.data())
def test_a_change_turns_the_one_side_into_the_other(stock: PlateSet, data: st.DataObject) -> None:
    before, after = (loading_for(stock, data.draw(st.sampled_from(loads(stock)))) for _ in range(2))
    assert before is not None
    assert after is not None
    step = change(before, after)
    kept = before.per_side[: len(before.per_side) - len(step.off)]
    assert before.per_side[len(kept) :] == step.off[::-1]
    assert kept + step.on == after.per_side
