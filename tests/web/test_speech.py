"""Who is spoken to in which language: their own choice, else their browser's, else their gym's."""

import re

from django.urls import reverse

from floorward.actions.links import make_link, token_of
from tests.conftest import at

SPANISH = {"Accept-Language": "fr;q=0.9, es-AR, en;q=0.8"}


def tongue(answer) -> str:
    return re.search(r'<html lang="([^"]*)"', answer.content.decode())[1]


def test_the_browser_is_answered_in_its_language(client, db):
    assert tongue(client.get(reverse("sign-in"), headers=SPANISH)) == "es"
    assert tongue(client.get(reverse("sign-in"), headers={"Accept-Language": "en-US"})) == "en-gb"
    assert "Accept-Language" in client.get(reverse("sign-in"))["Vary"]


def test_a_browser_that_asks_for_nothing_known_gets_the_gyms(client, gym):
    gym.language = "es"
    gym.save()
    assert tongue(client.get(reverse("sign-in"), headers={"Accept-Language": "fi"})) == "es"


def test_staff_choose_their_own_over_the_browsers(signed_in, coach):
    signed_in.post(reverse("own-speech"), {"language": "es", "unit": "lb"})
    coach.refresh_from_db()
    assert (coach.language, coach.unit) == ("es", "lb")
    assert tongue(signed_in.get(reverse("today"), headers={"Accept-Language": "en"})) == "es"


def test_a_language_that_is_not_offered_is_not_taken(signed_in, coach):
    assert signed_in.post(reverse("own-speech"), {"language": "xx", "unit": ""}).status_code == 422
    coach.refresh_from_db()
    assert coach.language == ""


def test_a_lifter_chooses_on_their_own_page_and_the_calendar_follows(client, lifter, clock):
    token = token_of(make_link(lifter, at("2026-11-23 18:00")))
    page = reverse("own-data", args=[token])
    assert tongue(client.get(page)) == "en-gb"
    assert client.post(reverse("own-language", args=[token]), {"language": "es"}).status_code == 302
    assert tongue(client.get(page, headers={"Accept-Language": "en"})) == "es"


def test_the_choice_stands_on_both_own_pages(signed_in, client, lifter, clock):
    assert "Español" in signed_in.get(reverse("own-door")).content.decode()
    token = token_of(make_link(lifter, at("2026-11-23 18:00")))
    assert "Español" in client.get(reverse("own-data", args=[token])).content.decode()
