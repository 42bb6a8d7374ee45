"""A lifter with two spells of pain at once: every page about them opens, and the evening belongs to one of the two."""

import re

import pytest
from django.urls import reverse

from tests.conftest import at
from tests.training import sore_back, trained
from tests.web.evening import screened

pytestmark = pytest.mark.django_db

OF_LIFTER = "lifter progress variations compare map way-back start-position link morning own-trail"
OF_EPISODE = "screen find note change-episode"
OF_SESSION = "session plan card build week"


@pytest.fixture
def two_sore(signed_in, lifter, coach):
    """The back since Monday, trained that evening; the knee since Tuesday."""
    back = screened(signed_in, lifter)
    trained(back, "2026-11-23", "95", started=at("2026-11-23 18:30"))
    knee = sore_back(lifter, coach, started="2026-11-24 09:00", region="knee", lift="high-bar-squat")
    signed_in.post(reverse("screen", args=[knee.pk]), {})
    return back, knee


def test_every_page_of_somebody_with_two_sore_regions_opens(two_sore, signed_in, lifter, clock):
    clock("2026-11-24 12:00")
    signed_in.post(reverse("session-today", args=[lifter.pk]))
    session = lifter.sessions.first()
    numbers = ((OF_LIFTER, lifter), *((OF_EPISODE, row) for row in two_sore), (OF_SESSION, session))
    addresses = [reverse(name, args=[row.pk]) for names, row in numbers for name in names.split()]
    found = {address: signed_in.get(address).status_code for address in (reverse("today"), *addresses)}
    assert {address: code for address, code in found.items() if code not in {200, 302}} == {}
    assert session.episode in two_sore


def test_a_coach_who_enters_a_morning_is_told_which_region_it_is_of(two_sore, signed_in, lifter, clock):
    clock("2026-11-25 08:00")
    address, asked = reverse("morning", args=[lifter.pk]), []
    for _ in two_sore:
        page = signed_in.get(address).content.decode()
        asked += re.findall(r"say of the (.+) on waking", page)
        typed = dict(re.findall(r'name="(episode|shown_day)" value="([^"]+)"', page))
        answer = {"day": "2026-11-25", "new_symptoms": "no", **typed}
        refused = signed_in.post(address, answer)
        assert refused.status_code == 422
        assert f"say of the {asked[-1]} on waking" in refused.content.decode()
        signed_in.post(address, {**answer, "score": "1"})
    assert sorted(asked) == ["knee", "low back"]
