"""The demo gym: everybody in it is there by the actions a coach calls, at the stage their story says."""

import re
from collections import Counter
from itertools import pairwise

import pytest
from django.db import connections

from floorward.actions import demo
from floorward.actions.locks import lock_of
from floorward.storage import place
from floorward.storage.models import Decision, DoneSet, Episode, Lifter
from tests.conftest import at

NOW = at("2026-11-24 12:00")


ASKED: Counter[str] = Counter()  # how often each table was read while the demo was made


def _count(execute, sql, params, many, context):
    ASKED.update(re.findall(r'^SELECT .*? FROM "(\w+)"', sql))
    return execute(sql, params, many, context)


@pytest.fixture(scope="module")
def demo_gym(django_db_setup, django_db_blocker):
    """The demo in its own place, made once; its rows go when the module is done."""
    with django_db_blocker.unblock(), place.inside(place.DEMO):
        with connections[place.DEMO].execute_wrapper(_count):
            owner = demo.open_demo(NOW)
        yield owner.gym
        Lifter.objects.all().delete()
        owner.gym.delete()


@pytest.fixture(autouse=True)
def everything_is_in_the_demo(demo_gym):
    """Nothing here touches the gym's own place."""


def episode(name: str) -> Episode:
    return Episode.objects.get(lifter__name=name)


def test_the_demo_is_made_once(demo_gym):
    assert demo.open_demo(NOW).gym == demo_gym
    assert Lifter.objects.count() == len(demo.CAST)


def test_one_lifter_is_locked_and_was_never_loaded(demo_gym):
    kit = Lifter.objects.get(name="Kit Sorrel")
    assert lock_of(kit).whole_person
    assert not DoneSet.objects.filter(session__lifter=kit).exists()


def test_one_was_cleared_before_a_bar_was_touched(demo_gym):
    cole = episode("Cole Ferris")
    clearance = cole.screenings.get(locks="region").clearances.get()
    assert DoneSet.objects.filter(session__episode=cole).order_by("at").first().at.date() >= clearance.day


def test_one_found_a_height_because_the_lightest_load_was_too_much_from_the_floor(demo_gym):
    tests = DoneSet.objects.filter(session__episode=episode("Ines Halloran"), kind="test")
    assert tests.filter(height_mm=225, acceptable=False).exists()
    assert tests.filter(height_mm__gt=225, acceptable=True).exists()


def test_one_has_come_a_long_way_step_by_step(demo_gym):
    decided = Decision.objects.filter(episode=episode("Abel Norwood")).order_by("at")
    loads = [row.load for row in decided]
    assert loads == sorted(loads)
    assert all(later <= earlier * 110 / 100 for earlier, later in pairwise(loads))


def test_nobodys_story_lies_in_the_future(demo_gym):
    assert not DoneSet.objects.filter(at__gt=NOW).exists()


def test_the_gyms_iron_is_read_once_for_all_stories(demo_gym):
    assert ASKED["storage_platerow"] == 2  # as equipment, and as rows
    assert ASKED["storage_doneset"] > len(demo.CAST)  # while each story reads its own log
