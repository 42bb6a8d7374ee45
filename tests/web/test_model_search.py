import re
from decimal import Decimal
from itertools import pairwise

import pytest

from floorward.actions.finding import accepted_of, step_now
from floorward.storage.models import Search
from tests.web.evening import EVENING, begin, log, screened, shown

pytestmark = pytest.mark.django_db


def by_model(client, lifter, manner="usual", **start) -> Search:
    return begin(client, screened(client, lifter), direction=manner, **start)


def answered(client, search, pain_at) -> list[Decimal]:
    """The loads proposed and done until the search ended, each with the pain that `pain_at` gives it."""
    done = []
    while Search.objects.get(pk=search.pk).ended_at is None:
        load = step_now(Search.objects.get(pk=search.pk)).step.load
        done.append(load)
        pain = pain_at(float(load))
        answer = log(client, search, str(load), str(pain), "yes" if pain <= 3 else "no")
        assert answer.status_code == 302, answer.content.decode()
        assert len(done) < 15
    return done


def test_a_search_by_the_model_is_offered_beside_the_plain_ladders(signed_in, lifter):
    page = signed_in.get(f"/episodes/{screened(signed_in, lifter).pk}/find").content.decode()
    assert re.findall(r'name="direction" value="(\w+)"', page) == ["up", "down", "usual", "precise", "gentle"]


def test_the_first_set_by_the_model_is_at_most_half_the_usual_load_and_can_be_loaded(signed_in, lifter):
    search = by_model(signed_in, lifter)
    working = step_now(search)
    assert Decimal(20) <= working.step.load <= 100
    assert working.rig.loading is not None
    assert sum(working.rig.per_side) * 2 + 20 == working.step.load


def test_the_page_says_the_chance_and_what_is_known_in_words(signed_in, lifter):
    search = by_model(signed_in, lifter)
    page = shown(signed_in, search)
    assert re.search(r"About once in \w+ too much\.", page)
    assert "nine times in ten it gets too much" in page
    assert "height-load" in page
    assert "N·m" not in page


def test_a_search_by_the_model_ends_with_a_load_that_was_done(signed_in, lifter):
    search = by_model(signed_in, lifter)
    done = answered(signed_in, search, lambda load: 0 if load < 70 else 2 if load < 110 else 5)
    found = accepted_of(search.session.episode, "deadlift")
    assert found.load in done
    assert Decimal(60) <= found.load < 110
    page = shown(signed_in, search)
    assert "What the model makes of these sets" in page
    assert "so " + str(found.load) + " kg stands" in page or "enough" in page


def test_no_set_by_the_model_is_more_than_half_as_heavy_again_as_the_heaviest_acceptable_one(
    signed_in, lifter
):
    done = answered(signed_in, by_model(signed_in, lifter), lambda _: 0)
    assert all(after <= before * Decimal("1.5") for before, after in pairwise(done))


def test_a_failing_lightest_load_is_repeated_before_the_bar_goes_up(signed_in, lifter):
    search = by_model(signed_in, lifter)
    kinds = []
    for _ in range(4):
        step = step_now(search).step
        kinds.append((str(step.kind), step.load))
        if step.kind in {"raise", "stop"}:
            break
        log(signed_in, search, str(step.load), "5", "no")
    assert ("repeat", Decimal(20)) in kinds
    assert kinds[-1][0] == "raise"


def test_spreading_ends_a_search_by_the_model_at_once(signed_in, lifter):
    search = by_model(signed_in, lifter)
    load = step_now(search).step.load
    answer = log(signed_in, search, str(load), "1", spreading="yes")
    assert "/screen" in answer.url
    assert Search.objects.get(pk=search.pk).ended_at is not None


def test_on_a_day_that_hurts_at_rest_the_model_searches_nothing(signed_in, lifter):
    search = by_model(signed_in, lifter, rest_pain="4")
    assert step_now(search).step.reason == "rest-pain"


def test_the_model_reads_the_sets_of_a_plain_ladder_too(signed_in, lifter):
    search = begin(signed_in, screened(signed_in, lifter))
    for load, pain, ok in EVENING:
        log(signed_in, search, load, pain, ok)
    page = shown(signed_in, search)
    assert '<h1 class="load">107.5<small>kg</small></h1>' in page
    assert re.search(r"So far: [\d.]+ kg should be acceptable when fresh", page)


def test_a_pound_bar_is_searched_in_whole_pounds(signed_in, lifter):
    lifter.unit = "lb"
    lifter.save()
    episode = screened(signed_in, lifter, load="405", usual_load="405")
    search = begin(signed_in, episode, direction="usual")
    working = step_now(search)
    assert working.step.load <= Decimal("202.5")
    assert sum(working.rig.per_side) * 2 + 45 == working.step.load


def test_taking_a_set_back_takes_it_from_the_model(signed_in, lifter):
    search = by_model(signed_in, lifter)
    first = step_now(search).step.load
    log(signed_in, search, str(first), "1")
    assert step_now(search).step.load != first
    test = search.tests.get(kind="test")
    signed_in.post(f"/searches/{search.pk}/undo/{test.pk}")
    assert step_now(search).step.load == first
