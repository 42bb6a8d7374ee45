"""Heights: what the bar stands on and how high the hands are."""

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from floorward.core.heights import (
    Stand,
    axis_mm,
    bar_height_mm,
    blocks_needed_mm,
    buildable,
    full_height_stand,
    handle_heights_mm,
    stand_for,
)
from floorward.core.plates import Loading
from floorward.core.records import BarKind, Block, Equipment, Plate, RackPins
from floorward.units import kg
from tests.core.iron import BAR_20, GYM, HEX_60, HEX_GYM, KG_GYM

MAT, BLOCK_50, BLOCK_100 = GYM.blocks
SMALL = Plate(mass=kg(10), pairs=2, diameter_mm=350)

blocks = st.lists(
    st.builds(
        Block,
        name=st.just("block"),
        thickness_mm=st.sampled_from(("19.05", "20", "40", "50", "100")).map(Decimal),
        pairs=st.integers(0, 3),
    ),
    max_size=4,
).map(tuple)


def heights(stands: Iterable[Stand]) -> list[Decimal]:
    return [stand.height_mm for stand in stands]


def resting_on(*diameters_mm: int) -> Loading:
    per_side = tuple(Plate(mass=kg(10), pairs=1, diameter_mm=mm) for mm in diameters_mm)
    return Loading(plate_set=KG_GYM, per_side=per_side)


def test_the_bar_rests_on_its_widest_plate() -> None:
    assert bar_height_mm(resting_on(228, 450)) == 225
    assert bar_height_mm(resting_on(400, 400)) == 200


def test_blocks_raise_the_bar_by_what_they_measure() -> None:
    assert bar_height_mm(resting_on(450), (MAT, MAT, BLOCK_100)) == 365


def test_a_bar_without_plates_lies_on_its_sleeves() -> None:
    assert bar_height_mm(resting_on()) == 25


def test_a_trap_bars_hands_are_at_each_pair_of_handles() -> None:
    assert handle_heights_mm(HEX_60, Decimal(225)) == (225, 340)
    assert handle_heights_mm(BAR_20, Decimal(225)) == (225,)


def test_blocks_needed_are_what_is_missing_to_a_height() -> None:
    assert blocks_needed_mm(Decimal(300), 450) == 75
    assert blocks_needed_mm(Decimal(340), 450, handle_rise_mm=115) == 0
    assert blocks_needed_mm(Decimal(200), 450) == -25


def test_stacks_stand_in_order_of_height() -> None:
    floor = replace(GYM, pins=())
    assert heights(buildable(floor, 450))[:8] == [225, 245, 265, 275, 285, 295, 315, 325]


def test_two_stacks_of_one_height_leave_the_one_with_fewer_pieces() -> None:
    twins = Equipment(blocks=(MAT, Block(name="plank", thickness_mm=Decimal(40))))
    assert buildable(twins, 450)[2].blocks == ((twins.blocks[1], 1),)


def test_pins_carry_the_bar_only_above_the_radius_of_its_plates() -> None:
    rack = Equipment(pins=GYM.pins)
    assert heights(buildable(rack, 450)) == [225, 250, 300, 350, 400, 450]
    assert buildable(rack, 450)[1].hole == 2
    assert heights(buildable(rack, 0))[:2] == [25, 200]


def test_a_trap_bar_does_not_go_on_pins() -> None:
    rack = Equipment(pins=GYM.pins)
    assert heights(buildable(rack, 450, kind=BarKind.TRAP, handle_rise_mm=115)) == [340]


def test_handles_add_their_rise_to_every_height() -> None:
    low, high = buildable(GYM, 450), buildable(GYM, 450, handle_rise_mm=115)
    assert [height + 115 for height in heights(low)] == heights(high)


def test_small_plates_are_brought_to_full_height() -> None:
    small = Loading(plate_set=replace(KG_GYM, plates=(SMALL,)), per_side=(SMALL,))
    assert full_height_stand(GYM, small) == Stand(height_mm=Decimal(225), blocks=((BLOCK_50, 1),))


def test_standard_plates_stand_at_full_height_on_the_floor() -> None:
    assert full_height_stand(GYM, resting_on(450)) == Stand(height_mm=Decimal(225))


def test_nothing_brings_a_bar_to_full_height_without_blocks() -> None:
    small = Loading(plate_set=replace(HEX_GYM, plates=(SMALL,)), per_side=(SMALL,))
    assert full_height_stand(Equipment(pins=(RackPins(first_mm=225, spacing_mm=50),)), small) is None


def test_a_height_ten_millimetres_off_is_still_that_height() -> None:
    stands = buildable(replace(GYM, pins=()), 450)
    assert stand_for(235, stands) == Stand(height_mm=Decimal(225))
    assert stand_for(254, stands, tolerance_mm=8) is None


def test_of_two_heights_as_near_the_one_with_fewer_pieces_is_built() -> None:
    stands = buildable(replace(GYM, pins=()), 450)
    assert stand_for(270, stands) == Stand(height_mm=Decimal(275), blocks=((BLOCK_50, 1),))


@given(blocks, st.sampled_from((0, 350, 450)))
def test_every_stacking_is_found_with_its_fewest_blocks(owned: tuple[Block, ...], diameter_mm: int) -> None:
    counted: dict[Decimal, int] = {}
    for counts in product(*(range(block.pairs + 1) for block in owned)):
        pieces = zip(owned, counts, strict=True)
        height = axis_mm(diameter_mm) + sum(block.thickness_mm * n for block, n in pieces)
        counted[height] = min(counted.get(height, 99), sum(counts))
    stands = buildable(Equipment(blocks=owned), diameter_mm)
    assert [(stand.height_mm, stand.pieces) for stand in stands] == sorted(counted.items())


@given(blocks)
def test_every_stand_is_as_high_as_its_blocks_say(owned: tuple[Block, ...]) -> None:
    for stand in buildable(Equipment(blocks=owned), 450):
        named = [block for block, count in stand.blocks for _ in range(count)]
        assert bar_height_mm(resting_on(450), named) == stand.height_mm
        assert all(count <= block.pairs for block, count in stand.blocks)
