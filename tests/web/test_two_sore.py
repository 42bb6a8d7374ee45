"""A lifter with two spells of pain at once: every page about them opens, and the evening belongs to one of the two."""

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
