"""The way back in a gym: where it begins, what it goes over, where it ends, and when there is none."""

import pytest

from floorward.actions.stairs import stairs_of
from floorward.storage.models import BlockRow, BoxRow, Decision, PinsRow, Screening
from tests.conftest import at
from tests.training import sore_back, trained
from tests.web.evening import accepted, begin, log, screened

pytestmark = pytest.mark.django_db


@pytest.fixture
def raised(signed_in, lifter):
    """Abel, who bears the empty bar from blocks and not from the floor."""
    episode = screened(signed_in, lifter)
    search = begin(signed_in, episode, direction="up")
    for pain in ("5", "5"):
        log(signed_in, search, "20", pain, "no")
    log(signed_in, search, "20", "3", "yes")
    return episode


def way(lifter, first=""):
    lifter.refresh_from_db()
    return stairs_of(lifter, first)


def keys(view):
    return [rung.built.key for rung in view.rungs]


def test_it_begins_with_what_is_accepted_and_ends_with_the_full_lift(lifter, raised):
    view = way(lifter)
    assert view.is_today
    assert view.rungs[0].built.rise_mm > 100
    assert keys(view)[-1] == "deadlift:225"
    assert view.steps >= 2
    assert view.wide is not None


def test_it_goes_over_blocks_and_handles_and_no_lift_that_is_new(lifter, raised):
    assert {rung.built.setup.lift for rung in way(lifter).rungs} <= {
        "deadlift",
        "trap-bar-low",
        "trap-bar-high",
    }


def test_each_step_says_what_it_adds(lifter, raised):
    rungs = way(lifter).rungs
    assert rungs[0].more == rungs[0].further_deg == 0
    assert all(rung.more >= -3 and rung.further_deg >= -4 for rung in rungs)
    assert rungs[-1].stage.share == pytest.approx(1.0)


def test_it_goes_only_over_what_the_gym_can_build(lifter, raised):
    BlockRow.objects.all().delete()
    PinsRow.objects.all().delete()
    view = way(lifter)
    assert {rung.built.rise_mm for rung in view.rungs[1:]} == {0}
    assert any(rung.large for rung in view.rungs)


def test_from_the_floor_nothing_of_the_range_is_missing(lifter, signed_in):
    accepted(signed_in, lifter)
    view = way(lifter)
    assert keys(view) == ["deadlift:225"]
    assert view.steps == 0
    assert view.wide is None


def test_another_beginning_may_be_looked_at(lifter, signed_in):
    accepted(signed_in, lifter)
    view = way(lifter, "trap-bar-high:445")
    assert not view.is_today
    assert keys(view)[0] == "trap-bar-high:445"
    assert keys(view)[-1] == "deadlift:225"
    assert keys(way(lifter, "leg-press:0")) == ["deadlift:225"]


def test_a_decision_moves_its_beginning(lifter, raised):
    session = lifter.sessions.get()
    Decision.objects.create(
        episode=raised,
        session=session,
        lift="deadlift",
        change="forward",
        proposed_change="forward",
        rule="R7",
        load=20,
        unit="kg",
        height_mm=275,
        proposed_load=20,
        proposed_height_mm=275,
        protocol_version=1,
        at=at("2026-11-24 18:00"),
    )
    assert way(lifter).first.setup.height_mm == 275


def test_without_an_episode_consent_or_accepted_load_it_says_so(lifter, signed_in):
    assert way(lifter).missing == "no-episode"
    screened(signed_in, lifter)
    assert way(lifter).missing == "nothing-accepted"
    lifter.consents.update(withdrawn_at="2026-11-23T18:00:00Z")
    assert way(lifter).missing == "no-consent"


def test_behind_a_lock_no_way_is_shown(lifter, raised):
    Screening.objects.filter(episode=raised).update(locks="person")
    view = way(lifter)
    assert view.missing == "stopped"
    assert view.rungs == ()


def test_a_lift_without_a_model_has_no_way(lifter, signed_in):
    screened(signed_in, lifter, lift="leg-press")
    assert way(lifter).missing == "not-modelled"


@pytest.fixture
def squats(signed_in, lifter):
    """Abel, whose squat hurts, with 60 kg accepted."""
    episode = screened(signed_in, lifter, lift="high-bar-squat", load="120", usual_load="130")
    search = begin(signed_in, episode, direction="down")
    for load, pain, ok in (("130", "6", "no"), ("20", "0", "yes"), ("60", "3", "yes")):
        log(signed_in, search, load, pain, ok)
    return search


def test_a_squat_in_full_has_no_way_but_shorter_ones_to_begin_with(lifter, squats):
    view = way(lifter)
    assert keys(view) == ["high-bar-squat:0"]
    assert not view.pull
    assert not view.unmarked
    assert sum(one.safeties is not None for one in view.choices) >= 4


def test_a_squat_to_the_pins_comes_down_hole_by_hole(lifter, squats):
    high = next(one for one in way(lifter).choices if one.setup.lift == "high-bar-squat" and one.safeties)
    type(squats).objects.filter(pk=squats.pk).update(depth_deg=high.setup.depth_deg)
    view = way(lifter)
    assert view.is_today
    assert keys(view)[0] == high.key
    assert keys(view)[-1] == "high-bar-squat:0"
    holes = [rung.built.safeties.hole for rung in view.rungs if rung.built.safeties]
    assert holes == sorted(holes, reverse=True)
    assert len(holes) >= 3


def test_a_box_squat_comes_down_to_the_lowest_usual_box(lifter, signed_in):
    for mm in (450, 500):
        BoxRow.objects.create(gym=lifter.gym, name=f"{mm}", height_mm=mm)
    episode = screened(signed_in, lifter, lift="box-squat", load="120", usual_load="130")
    search = begin(signed_in, episode, direction="down")
    for load, pain, ok in (("130", "6", "no"), ("20", "0", "yes"), ("60", "3", "yes")):
        log(signed_in, search, load, pain, ok)
    type(search).objects.filter(pk=search.pk).update(box_mm=500)
    assert keys(way(lifter)) == ["box-squat:500", "box-squat:450", "box-squat:400"]


def test_without_box_and_pins_a_squat_has_nothing_that_ends_it(lifter, squats):
    PinsRow.objects.all().delete()
    BoxRow.objects.all().delete()
    assert way(lifter).unmarked


@pytest.mark.parametrize("lift", ["hip-thrust", "dumbbell-deadlift"])
def test_what_has_no_model_or_no_bar_says_so(lifter, signed_in, lift):
    screened(signed_in, lifter, lift=lift)
    assert way(lifter).missing == "not-modelled"


def test_the_set_ups_between_say_what_a_first_set_there_would_have_today(lifter, raised):
    """20 kg hurt 5 from the floor twice and 3 from blocks: what lies between is known from these sets."""
    rungs = way(lifter).rungs
    assert (rungs[0].first, rungs[0].too_much) == (None, False)
    assert (rungs[-1].first, rungs[-1].too_much) == (None, False)
    assert rungs[1:-1]
    assert all(rung.too_much or rung.first is not None for rung in rungs[1:-1])
    assert all(rung.first is None or rung.first.value <= 25 for rung in rungs)


def test_a_way_that_was_trained_long_and_easily_gives_more_than_the_lightest_load(lifter, coach):
    episode = sore_back(lifter, coach)
    for day in ("2026-11-23", "2026-11-26", "2026-11-29", "2026-12-02"):
        trained(episode, day, "90", (0, 0, 0), height_mm=400)
    between = way(lifter).rungs[1:-1]
    assert between
    assert all(20 < rung.first.value <= 90 for rung in between if rung.first)
    assert any(rung.first for rung in between)
