"""What staff see of a lifter to whom they are not assigned: that training is modified, and the plan; no health answer."""

import pytest
from django.apps import apps
from django.test import Client
from django.urls import reverse

from floorward.actions import gyms
from floorward.actions.access import coaches_of
from floorward.errors import Refused
from floorward.storage.models import DoneSet, Line
from tests.conftest import at
from tests.training import sore_back, trained

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"


@pytest.fixture
def story(lifter, coach, clock):
    """A sore back with one set on today's plan, hurt 4."""
    session = trained(sore_back(lifter, coach), "2026-11-23", "95", (1, 4, 3))
    clock("2026-11-23 19:30")
    line = Line.objects.create(
        session=session,
        order=1,
        role="full-range",
        lift="deadlift",
        load=95,
        unit="kg",
        sets=3,
        reps=5,
        bar=lifter.gym.bars.first(),
        height_mm=225,
    )
    DoneSet.objects.filter(session=session).update(line=line)
    return session


def browser_of(gym, role):
    client = Client()
    who = gyms.add_staff(gym, name="Pia Sund", sign_in_name="pia", role=role, password=None)
    client.force_login(who, backend=BACKEND)
    return client


@pytest.mark.parametrize("role", ["assistant", "coach", "owner"])
def test_who_is_not_assigned_sees_training_modified_and_no_score(story, lifter, gym, role):
    client = browser_of(gym, role)
    pages = {
        name: client.get(reverse(name, args=[number])).content.decode()
        for name, number in (
            ("lifter", lifter.pk),
            ("session", story.pk),
            ("plan", story.pk),
            ("after", story.pk),
        )
    } | {name: client.get(reverse(name)).content.decode() for name in ("lifters", "today")}
    assert "Training modified" in pages["lifter"]
    assert "training modified" in pages["lifters"]
    for page in pages.values():
        assert "low back" not in page.lower()
        assert "pain 4" not in page
        assert "Written down" not in page
    assert "95<small>kg" in pages["plan"]


def test_the_assigned_coach_sees_the_scores(story, signed_in):
    page = signed_in.get(reverse("session", args=[story.pk])).content.decode()
    assert "pain 4" in page


def test_an_assistant_logs_the_score_after_the_session(story, gym):
    answer = browser_of(gym, "assistant").post(reverse("after", args=[story.pk]), {"score": "2"})
    story.refresh_from_db()
    assert (answer.status_code, story.after) == (302, 2)


def test_an_owner_assigns_and_the_coach_left_out_sees_nothing_more(story, lifter, gym, owner, signed_in):
    boss = Client()
    boss.force_login(owner, backend=BACKEND)
    page = reverse("coaches", args=[lifter.pk])
    assert "Bram Okello" in boss.get(page).content.decode()
    assert boss.post(page, {"coaches": [owner.pk]}).status_code == 302
    assert coaches_of(lifter) == (owner,)
    for nobody in ("9223372036854775808", "-1", "0", "x"):
        assert boss.post(page, {"coaches": [nobody]}).status_code == 422
    assert coaches_of(lifter) == (owner,)
    assert signed_in.get(reverse("progress", args=[lifter.pk])).status_code == 403


def test_an_assistant_is_never_assigned(lifter, gym):
    from floorward.actions.access import assign

    helper = gyms.add_staff(gym, name="Pia Sund", sign_in_name="pia", role="assistant", password=None)
    with pytest.raises(Refused, match="not-a-coach"):
        assign(lifter, [helper], by=None, now=at("2026-11-23 19:30"))


def test_the_coach_who_adds_a_lifter_is_assigned(signed_in, gym, coach, owner):
    about = {
        "name": "Ines Halloran",
        "born_year": "1990",
        "sex": "female",
        "stature_m": "165",
        "mass": "64 kg",
    }
    answer = signed_in.post(reverse("new-lifter"), about | {"unit": "kg", "coach": owner.pk})
    assert answer.status_code == 302
    assert set(coaches_of(gym.lifters.get())) == {coach, owner}


def test_lifters_from_before_keep_all_their_coaches(lifter, coach, owner, gym):
    from importlib import import_module
    from types import SimpleNamespace

    lifter.assignments.all().delete()
    step = import_module("floorward.storage.migrations.0004_assigned_coaches")
    gyms.add_staff(gym, name="Pia Sund", sign_in_name="pia", role="assistant", password=None)
    step.assign_everybody(apps, SimpleNamespace(connection=SimpleNamespace(alias="default")))
    assert set(coaches_of(lifter)) == {coach, owner}
