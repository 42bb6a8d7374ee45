"""Plate arithmetic against what every gym knows and what federations and the metre convention fix."""

from decimal import Decimal
from itertools import pairwise

import pytest

from floorward.core.plates import change, loading_for, loads, neighbours
from floorward.core.records import PlateSet
from floorward.units import exact_kg, kg, lb
from tests.core.iron import HEX_GYM, KG_GYM, LB_GYM


def side(plate_set: PlateSet, target: str) -> list[Decimal]:
    loading = loading_for(plate_set, Decimal(target))
    assert loading is not None
    return [plate.mass.value for plate in loading.per_side]


@pytest.mark.parametrize(
    ("target", "per_side"),
    [
        ("135", [45]),
        ("185", [45, 25]),
        ("225", [45, 45]),
        ("315", [45, 45, 45]),
        ("405", [45, 45, 45, 45]),
    ],
)
def test_a_45_lb_bar_carries_what_every_gym_says_it_carries(target: str, per_side: list[int]) -> None:
    # Common practice, no source.
    assert side(LB_GYM, target) == per_side


@pytest.mark.parametrize(
    ("target", "per_side"), [("140", [35, 5]), ("200", [45, 25]), ("340", [45, 45, 45, 5])]
)
def test_a_60_lb_hex_bar_is_loaded_the_same_way(target: str, per_side: list[int]) -> None:
    # The 60 lb hex bar of the US Army combat fitness test (ATP 7-22.01); the sums are arithmetic.
    assert side(HEX_GYM, target) == per_side


def test_the_way_down_from_four_plates_takes_one_pair_off_at_a_time() -> None:
    # Four plates, three, two, one, 95, the bar: common practice, no source.
    way = [loading_for(LB_GYM, Decimal(load)) for load in (405, 315, 225, 135, 95, 45)]
    steps = [change(before, after) for before, after in pairwise(way) if after]
    assert [[plate.mass.value for plate in step.off] for step in steps] == [[45], [45], [45], [45], [25]]
    assert [[plate.mass.value for plate in step.on] for step in steps] == [[], [], [], [25], []]


def test_attempts_step_by_two_and_a_half_kilograms() -> None:
    # IPF technical rules: attempts are multiples of 2.5 kg; the smallest plate of the set is 1.25 kg.
    assert set(range(50, 200)) & set(loads(KG_GYM)) == {load for load in range(50, 200) if load % 5 == 0}
    assert {Decimal(load) / 2 for load in range(100, 400, 5)} <= set(loads(KG_GYM))


def test_a_pound_is_exactly_what_the_yard_and_pound_agreement_says() -> None:
    # International yard and pound agreement, 1959: 1 lb = 0.45359237 kg.
    assert exact_kg(lb(225)) == exact_kg(kg("102.05828325"))
    assert exact_kg(lb(45)) == exact_kg(kg("20.41165665"))
    assert float(kg(20).to(lb(0).unit).value) == pytest.approx(44.0924524, abs=1e-7)


@pytest.mark.parametrize("target", ["142", "46", "404.99"])
def test_a_load_that_cannot_be_made_gives_both_its_neighbours(target: str) -> None:
    found = neighbours(LB_GYM, Decimal(target))
    assert found.below is not None
    assert found.above is not None
    assert found.below.total.value < Decimal(target) < found.above.total.value
