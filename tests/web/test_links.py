"""What a lifter's link shows, asks and refuses."""

import re

import pytest
from django.test import Client

from floorward.actions import links
from floorward.actions.lifters import withdraw_consent
from tests.browser.stage import bare_pulls
from tests.conftest import at
from tests.people import INES, a_lifter
from tests.training import sore_back

pytestmark = pytest.mark.django_db


@pytest.fixture
def episode(lifter, coach):
    return sore_back(lifter, coach)


@pytest.fixture
def door(lifter, clock):
    clock("2026-11-24 07:00")
    return f"/l/{links.token_of(links.make_link(lifter, at('2026-11-23 19:00')))}/"


def hidden(response):
    names = re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', response.content.decode())
    return {name: value for name, value in names if name != "csrfmiddlewaretoken"}


def said(client, door, **answer):
    form = hidden(client.get(door))
    return client.post(door, {**form, "new_symptoms": "no", **answer})


def test_the_link_opens_the_morning_check_without_signing_in(client, door, episode):
    response = client.get(door)
    assert response.status_code == 200
    assert b"Good morning, Abel" in response.content
    assert b"Norwood" not in response.content
    assert response["X-Robots-Tag"].startswith("noindex")


def test_whoever_opens_the_link_in_the_evening_is_not_wished_a_good_morning(client, door, episode, clock):
    clock("2026-11-24 11:59")
    assert b"Good morning, Abel. Pain on waking?" in client.get(door).content
    clock("2026-11-24 19:10")
    assert b"Hello, Abel. Pain on waking?" in client.get(door).content


def test_the_morning_pad_leads_to_no_answer(client, door, episode):
    page = client.get(door).content.decode()
    assert "ceiling" not in page
    assert 'class="lid' not in page
    assert "checked" not in page


def test_three_taps_are_enough(client, door, episode):
    response = said(client, door, score=1)
    assert response.status_code == 302
    check = episode.mornings.get()
    assert (check.score, check.new_symptoms, check.day.isoformat(), check.entered_by) == (
        1,
        "no",
        "2026-11-24",
        None,
    )
    assert (check.night_lost, check.unwell) == (False, False)
    assert b"This morning is answered" in client.get(door).content


def test_a_bad_night_and_a_fever_are_ticked_only_where_they_are_so(client, door, episode):
    said(client, door, score=3, night_lost="on", unwell="on")
    check = episode.mornings.get()
    assert (check.night_lost, check.unwell) == (True, True)


def test_the_page_after_sending_shows_no_score(client, door, episode):
    said(client, door, score=7)
    page = re.sub(r"<svg.*?</svg>", "", client.get(door).content.decode(), flags=re.DOTALL)
    assert "7" not in page.split("<main")[1].split("Sent at 07:00")[0]


def test_an_empty_answer_keeps_what_was_typed_and_says_what_to_mend(client, door, episode):
    response = said(client, door, sentence="Stiff for ten minutes.")
    assert response.status_code == 422
    assert b"Tap a number from 0 to 10." in response.content
    assert b"Stiff for ten minutes." in response.content


def test_a_second_answer_asks_before_it_replaces_the_first(client, door, episode):
    said(client, door, score=1)
    again = f"{door}?again"
    form = hidden(client.get(again))
    asked = client.post(again, {**form, "score": 4, "new_symptoms": "no"})
    assert asked.status_code == 422
    assert b"answered already" in asked.content
    assert episode.mornings.get().score == 1
    client.post(again, {**hidden(asked), "score": 4, "new_symptoms": "no"})
    assert episode.mornings.get().score == 4


def test_a_page_of_yesterday_asks_which_morning_is_meant(client, door, episode, clock):
    form = hidden(client.get(door))
    clock("2026-11-25 07:00")
    asked = client.post(door, {**form, "score": 2, "new_symptoms": "no"})
    assert asked.status_code == 422
    assert b"Which morning" in asked.content
    assert not episode.mornings.exists()
    client.post(door, {**hidden(asked), "day": "2026-11-24", "score": 2, "new_symptoms": "no"})
    assert episode.mornings.get().day.isoformat() == "2026-11-24"


def test_a_page_of_last_week_is_not_taken_for_any_morning(client, door, episode, clock):
    form = hidden(client.get(door))
    clock("2026-12-05 07:00")
    asked = client.post(door, {**form, "score": 2, "new_symptoms": "no"})
    assert asked.status_code == 422
    assert not episode.mornings.exists()


@pytest.mark.parametrize("answer", ["yes", "unsure"])
def test_new_symptoms_tell_the_lifter_what_to_do_now(client, door, episode, answer):
    said(client, door, score=1, new_symptoms=answer)
    page = client.get(door).content.decode()
    assert "Do not lift today" in page
    assert "call 112" in page or "call 999" in page
    assert episode.mornings.get().new_symptoms == answer


def test_without_consent_the_outcome_is_shown_and_nothing_kept(client, door, lifter, episode):
    withdraw_consent(lifter, now=at("2026-11-24 06:00"))
    response = said(client, door, score=1, new_symptoms="yes")
    assert b"Do not lift today" in response.content
    assert not episode.mornings.exists()
    # nor on the phone: the browser sends it and shows what comes back
    page = client.get(door).content
    assert b"data-keep" not in page
    assert b"kept on this phone" not in page.split(b"<main")[1]


def test_what_to_do_about_new_symptoms_does_not_wait_for_the_rest_of_the_answer(client, door, episode):
    half = said(client, door, score="", new_symptoms="yes")
    assert half.status_code == 422
    page = half.content.decode().split("<main")[1]
    assert page.index("Do not lift today") < page.index("Pain on waking")
    assert "something is still asked below" in page
    said(client, door, score=1, new_symptoms="no")
    for new_symptoms, told in (
        ("unsure", True),
        ("no", False),
    ):  # with another score than before: is it right?
        response = said(client, f"{door}?again", score=3, new_symptoms=new_symptoms)
        page = response.content.split(b"<main")[1].split(b"<template")[0]
        assert b"Is this the right answer?" in page
        assert (b"Do not lift today" in page) == told


def test_a_morning_answered_before_the_consent_was_taken_back_is_not_asked_about(
    client, door, lifter, episode
):
    said(client, door, score=1, new_symptoms="no")
    withdraw_consent(lifter, now=at("2026-11-24 07:30"))
    for score, new_symptoms, told in ((4, "yes", b"Do not lift today"), (4, "no", b"Nothing was kept")):
        response = said(client, f"{door}?again", score=score, new_symptoms=new_symptoms)
        assert told in response.content
        assert b"Is this the right answer?" not in response.content


def test_a_tampered_link_gets_a_plain_page(client, door, episode):
    response = client.get(door[:-2] + "x/")
    assert response.status_code == 404
    assert b"not one of ours" in response.content


@pytest.mark.parametrize("gone", ["card/of-yesterday", "morning"])
def test_a_page_that_is_gone_leads_back_to_the_lifters_own_first_page(client, door, episode, gone):
    page = client.get(f"{door}{gone}")
    assert page.status_code == 404
    assert f'<a class="block" href="{door}">' in page.content.decode()
    assert 'href="/">To the first page' not in page.content.decode()


def test_an_answer_from_a_stale_page_leads_back_to_the_lifters_own_first_page(door, episode):
    page = Client(enforce_csrf_checks=True).post(door, {"score": 1, "new_symptoms": "no"})
    assert page.status_code == 403
    assert f'<a class="block" href="{door}">' in page.content.decode()


def test_an_ended_link_gets_a_plain_page(client, door, episode, clock):
    clock("2027-08-01 07:00")
    response = client.get(door)
    assert response.status_code == 410
    assert b"has ended" in response.content
    assert client.post(door, {"score": 1}).status_code == 410


def test_a_link_taken_back_gets_a_plain_page(client, door, lifter, episode):
    links.revoke_links(lifter, at("2026-11-24 06:00"))
    assert client.get(door).status_code == 410


def test_a_link_cannot_answer_for_another_lifter(client, door, gym, coach, episode):

    other = a_lifter(gym, coach, at("2026-11-01 09:00"), name="Ines Halloran", **INES)
    theirs = sore_back(other, coach)
    form = {**hidden(client.get(door)), "episode": theirs.pk}
    client.post(door, {**form, "score": 9, "new_symptoms": "yes"})
    assert not theirs.mornings.exists()


def test_a_coach_enters_a_morning_and_it_is_marked(signed_in, lifter, episode, coach, clock):
    clock("2026-11-24 16:00")
    page = f"/lifters/{lifter.pk}/morning"
    form = hidden(signed_in.get(page))
    response = signed_in.post(page, {**form, "day": "2026-11-24", "score": 2, "new_symptoms": "no"})
    assert response.status_code == 302
    assert episode.mornings.get().entered_by == coach


def test_the_card_stays_shut_behind_new_symptoms(client, door, episode):
    said(client, door, score=1, new_symptoms="unsure")
    response = client.get(f"{door}card")
    assert (response.status_code, response.url) == (302, door)
    assert b"Do not lift today" in client.get(door).content


def test_the_card_stays_shut_while_all_heavy_work_is_locked(client, door, episode, coach):
    from floorward.storage.models import Screening

    row = Screening.objects.create(
        episode=episode,
        at=at("2026-11-23 20:00"),
        asked_by=coach,
        answers={},
        outcome="emergency",
        locks="person",
    )
    assert client.get(f"{door}card").status_code == 302
    shown = client.get(door).content.decode()
    assert "Do not train yet" in shown
    assert (
        'class="block main" href="tel:' in shown
    )  # sent to the emergency department: the number comes first
    row.outcome = "soon"
    row.save()
    shown = client.get(door).content.decode()
    assert "has to see you first" in shown.split("If it gets worse")[0]
    assert 'class="block" href="tel:' in shown.split("If it gets worse")[1]
    row.clearances.create(
        day="2026-11-24", clinician_role="GP", clinician_name="Dr Ashe", entered_at=at("2026-11-24 06:00")
    )
    assert client.get(f"{door}card").status_code == 200


def test_a_card_is_offered_only_where_something_is_planned(client, door, episode, lifter):
    assert (
        client.post(door, {**hidden(client.get(door)), "new_symptoms": "no", "score": 1}).status_code == 302
    )
    assert "planned nothing for you today yet" in client.get(door).content.decode()
    assert f"{door}card" not in client.get(door).content.decode()
    session = lifter.sessions.create(episode=episode, day="2026-11-24", started_at=at("2026-11-24 06:30"))
    bare_pulls(session, sets=3, reps=5)
    assert f"{door}card" in client.get(door).content.decode()


@pytest.mark.parametrize(("number", "pressed"), [("999", True), ("15 or 112", False)])
def test_the_emergency_number_is_called_by_one_press_where_it_is_one_number(
    client, door, episode, lifter, number, pressed
):
    lifter.gym.emergency_number = number
    lifter.gym.save()
    said(client, door, score=2, new_symptoms="yes")
    page = client.get(door).content.decode()
    assert f"call {number} now" in page
    assert (f'href="tel:{number}"' in page) == pressed


def test_todays_card_opens_and_no_other_days(client, door, episode, lifter):
    from tests.training import trained

    trained(episode, "2026-11-23", "95")
    page = client.get(f"{door}card").content.decode()
    assert "No card for today" in page
    assert "95" not in page.split("<main")[1]
