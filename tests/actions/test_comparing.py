"""Set-ups side by side as a coach gets them: which ones, read off what, with what words and loads."""

from decimal import Decimal

import pytest

from floorward.actions.comparing import Asked, choices_of, comparison_of
from floorward.core.records import Region
from floorward.core.variations import Compared
from floorward.reports.wording import sentence
from floorward.storage.models import BarRow, BestSet, Decision, Screening, Search
from floorward.units import kg
from tests.conftest import at
from tests.web.evening import accepted, begin, log, screened

pytestmark = pytest.mark.django_db


@pytest.fixture
def found(signed_in, lifter):
    """Abel with 107.5 kg accepted from the floor."""
    return accepted(signed_in, lifter)


def page(lifter, *keys, **more):
    lifter.refresh_from_db()
    return comparison_of(lifter, Asked(keys=keys, **more))


def keys(view):
    return [column.built.key for column in view.columns]


def column(view, key):
    return next(one for one in view.columns if one.built.key == key)


def test_unasked_it_shows_the_floor_a_block_and_both_handles_at_what_is_accepted(lifter, found):
    view = page(lifter)
    assert keys(view) == ["deadlift:225", "deadlift:325", "trap-bar-low:225", "trap-bar-high:345"]
    assert view.load == view.start.load == kg("107.5")
    assert view.region is Region.LOW_BACK


def test_a_gym_without_a_trap_bar_shows_other_pulls(lifter, found):
    BarRow.objects.filter(kind="trap").delete()
    assert keys(page(lifter)) == ["deadlift:225", "deadlift:325", "sumo-deadlift:225", "romanian-deadlift:0"]


def test_what_is_asked_for_stands_in_its_order_each_once_and_four_at_most(lifter, found):
    view = page(
        lifter,
        "deadlift:425",
        "deadlift:225",
        "deadlift:425",
        "sumo-deadlift:225",
        "good-morning:0",
        "deadlift:275",
    )
    assert keys(view) == ["deadlift:425", "deadlift:225", "sumo-deadlift:225", "good-morning:0"]


def test_what_the_gym_cannot_build_is_passed_over(lifter, found):
    assert keys(page(lifter, "deadlift:230", "deadlift:325")) == ["deadlift:325"]


def test_loads_of_equal_demand_can_be_loaded_and_lie_in_their_band(lifter, found):
    view = page(lifter)
    high = column(view, "trap-bar-high:345")
    assert high.load > Decimal("107.5")
    assert high.low <= high.load <= high.high
    assert high.load % Decimal("2.5") == 0
    assert column(view, "deadlift:225").load == Decimal("107.5")


def test_a_squat_is_found_anew(lifter, found):
    squat = column(page(lifter, "deadlift:225", "high-bar-squat:0"), "high-bar-squat:0")
    assert squat.load is None
    assert squat.no_load == "anew"


def test_nothing_is_read_off_more_than_what_is_accepted(lifter, found):
    view = page(lifter, load=kg(200))
    assert view.load == kg(200)
    assert view.start.load == kg("107.5")
    lighter = page(lifter, load=kg(60))
    assert lighter.start.load == kg(60)


def test_the_words_for_a_block_say_the_bend_and_nothing_of_the_back(lifter, found):
    view = page(lifter)
    block = column(view, "deadlift:325")
    assert block.said.code == "said-raised-less"
    assert "back" not in sentence(block.said)
    assert view.any_raised


def test_the_words_for_high_handles_say_both(lifter, found):
    said = sentence(column(page(lifter), "trap-bar-high:345").said)
    assert said.startswith("Same load, less for your low back to hold, and you fold at the hips")


def test_a_raised_bar_of_any_lift_is_never_said_to_ask_about_as_much(lifter, found, gym):
    BarRow.objects.create(gym=gym, name="Axle", kind="axle", mass=Decimal(20), unit="kg")
    view = page(lifter, "axle-deadlift:325", "paused-deadlift:325", "sumo-deadlift:325")
    for one in view.columns:
        assert one.side.demand is Compared.LESS or one.said.code.startswith("said-raised")


def test_a_sore_hip_is_read_by_the_hip(lifter, signed_in):
    accepted(signed_in, lifter)
    lifter.episodes.update(region="hip")
    view = page(lifter)
    assert view.region is Region.HIP
    assert column(view, "trap-bar-high:345").side.demand is Compared.LESS
    assert "hip" in sentence(column(view, "trap-bar-high:345").said)


def test_for_the_knee_a_pull_is_too_loose_for_words_and_loads(lifter, found):
    view = page(lifter, region=Region.KNEE)
    high = column(view, "trap-bar-high:345")
    assert view.any_loose
    assert high.no_load == "loose"
    assert "the model cannot tell" in sentence(high.said)


def test_beside_a_sore_squat_stand_squats(lifter, signed_in):
    episode = screened(signed_in, lifter, region="knee", lift="high-bar-squat", load="140", usual_load="150")
    search = begin(signed_in, episode)
    log(signed_in, search, "20", "2")
    for load in ("45", "70", "95"):
        log(signed_in, search, load, "3", "yes")
    view = page(lifter)
    assert view.compared.key == "high-bar-squat:0"
    assert keys(view)[:2] == ["high-bar-squat:0", "box-squat:400"]
    assert view.any_squat


def test_what_is_accepted_can_be_chosen_also_between_the_usual_heights(lifter, found):
    search = Search.objects.get()
    Decision.objects.create(
        episode=found,
        session=search.session,
        lift="deadlift",
        change="back",
        proposed_change="back",
        rule="R4",
        load=100,
        unit="kg",
        height_mm=265,
        proposed_load=100,
        proposed_height_mm=265,
        protocol_version=1,
        at=at("2026-11-24 18:00"),
    )
    view = page(lifter)
    assert keys(view)[:2] == ["deadlift:225", "deadlift:265"]
    assert view.start.built.key == "deadlift:265"
    assert "deadlift:265" in {one.key for one in choices_of(lifter)}


def test_while_nothing_is_accepted_no_load_is_given(lifter, signed_in):
    BestSet.objects.create(lifter=lifter, lift="deadlift", load=180, unit="kg", reps=3, day="2026-10-01")
    screened(signed_in, lifter)
    view = page(lifter)
    assert view.start is None
    assert {one.no_load for one in view.columns} == {"nothing-accepted"}


def test_behind_a_lock_no_load_is_given(lifter, found):
    Screening.objects.filter(episode=found).update(locks="region")
    view = page(lifter)
    assert view.lock is not None
    assert {one.no_load for one in view.columns} == {"stopped"}


def test_without_consent_nothing_of_the_episode_shows(lifter, found):
    lifter.episodes.update(region="knee")
    lifter.consents.update(withdrawn_at="2026-11-23T18:00:00Z")
    view = page(lifter)
    assert view.episode is None
    assert view.region is Region.LOW_BACK
    assert view.load == kg(85)
    assert view.start is None


def test_somebody_without_pain_compares_at_their_best_set(lifter):
    BestSet.objects.create(lifter=lifter, lift="deadlift", load=180, unit="kg", reps=3, day="2026-10-01")
    view = page(lifter)
    assert view.load == kg(180)
    assert column(view, "trap-bar-high:345").load > 180


def test_a_lifter_who_thinks_in_pounds_gets_loads_of_the_bar(lifter):
    lifter.unit = "lb"
    lifter.save()
    view = page(lifter)
    assert view.load.unit == "lb"
    raised = column(view, "deadlift:325")
    assert raised.built.bar.unit == "lb"
    assert raised.load is not None


def test_a_gym_without_bars_has_nothing_to_compare(lifter, gym):
    gym.bars.all().delete()
    assert page(lifter) is None
