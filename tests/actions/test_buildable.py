"""What this gym can build to compare: bars, handles, blocks, boxes; nothing that is not there."""

import pytest

from floorward.actions.buildable import all_built, built_at
from floorward.actions.rigging import stock_of
from floorward.core.records import SetUp
from floorward.storage.models import BarRow, BlockRow, BoxRow, PinsRow

pytestmark = pytest.mark.django_db


@pytest.fixture
def built(lifter):
    """What Abel's gym can build for him, by key; asked again after the gym changed."""

    def found(gym):
        return {one.key: one for one in all_built(lifter, stock_of(gym))}

    return found


def test_a_pull_is_built_from_the_floor_and_every_five_centimetres_that_the_blocks_make(gym, built):
    keys = [key for key in built(gym) if key.startswith("deadlift:")]
    assert keys == [f"deadlift:{height}" for height in (225, 275, 325, 375, 425, 475, 525)]


def test_what_stands_under_it_is_named_and_the_floor_has_nothing(gym, built):
    found = built(gym)
    assert found["deadlift:325"].stand.pieces == 1
    assert found["deadlift:325"].rise_mm == 100
    assert found["deadlift:225"].stand.pieces == found["deadlift:225"].rise_mm == 0


def test_both_handles_of_a_trap_bar_are_there_and_blocks_raise_them(gym, built):
    found = built(gym)
    assert found["trap-bar-high:345"].name == "Trap bar, high handles"
    assert found["trap-bar-high:345"].handle_mm == 120
    assert found["trap-bar-high:445"].name == "Trap bar, high handles, +10 cm"
    assert found["trap-bar-low:225"].handle_mm == 0


def test_without_high_handles_there_is_no_high_pull(gym, built):
    BarRow.objects.filter(kind="trap").update(handle_high_mm=None)
    assert not [key for key in built(gym) if key.startswith("trap-bar-high")]


def test_without_blocks_and_pins_nothing_is_raised(gym, built):
    BlockRow.objects.all().delete()
    PinsRow.objects.all().delete()
    assert not [key for key, one in built(gym).items() if one.rise_mm]


def test_a_gym_without_bars_builds_nothing(gym, built):
    gym.bars.all().delete()
    assert built(gym) == {}


def test_every_box_is_a_squat_to_it(gym, built):
    BoxRow.objects.create(gym=gym, name="Low box", height_mm=300)
    names = [one.name for one in built(gym).values() if one.setup.lift == "box-squat"]
    assert sorted(names) == ["Box squat, 30 cm box", "Box squat, 40 cm box"]


def test_a_lift_named_for_its_height_starts_there_only(gym, built):
    (one,) = (one for one in built(gym).values() if one.setup.lift == "eighteen-inch-deadlift")
    assert abs(one.setup.height_mm - 457) <= 15


def test_names_read_well_inside_a_sentence(gym, built):
    found = built(gym)
    assert found["deadlift:225"].inside == "deadlift from the floor"
    assert found["deadlift:325"].inside == "deadlift, 10 cm higher"
    assert found["romanian-deadlift:0"].inside == "Romanian deadlift"


def test_a_height_between_two_stands_takes_the_nearest(gym):
    one = built_at(SetUp(lift="deadlift", height_mm=318), gym.bars.get(name="Bar 1"), stock_of(gym))
    assert one.stand.height_mm == 315
    assert one.rise_mm == 93


def test_a_shorter_squat_ends_on_the_pins_of_the_rack(built, gym):
    shorter = [one for key, one in built(gym).items() if key.startswith("high-bar-squat:") and one.safeties]
    depths = [one.setup.depth_deg for one in shorter]
    assert len(depths) >= 4
    assert depths == sorted(depths, reverse=True)
    heights = [one.safeties.height_mm for one in shorter]
    assert heights == sorted(heights, reverse=True)
    assert {int(height) % 50 for height in heights} == {0}
    assert shorter[-1].name == f"High-bar squat, {depths[-1]}° above level"
    assert shorter[-1].inside == f"high-bar squat to {depths[-1]}° above level"
    assert not shorter[0].is_whole


def test_without_a_rack_a_squat_is_built_in_full_only(built, gym):
    PinsRow.objects.all().delete()
    found = built(gym)
    assert [key for key in found if key.startswith("high-bar-squat:")] == ["high-bar-squat:0"]
    assert found["high-bar-squat:0"].is_whole
