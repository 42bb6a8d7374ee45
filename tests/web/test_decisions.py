"""Deciding on a page: one press, another choice with a reason, what changed meanwhile; reviews."""

import re

import pytest
from django.utils.html import strip_tags

from floorward.actions.decisions import decide, proposal_for
from floorward.actions.mornings import Answer, record_morning
from tests.conftest import at
from tests.people import a_gym
from tests.training import searched, sore_back, trained

pytestmark = pytest.mark.django_db
NOON = at("2026-11-24 12:00")


@pytest.fixture
def episode(lifter, coach, clock):
    return searched(sore_back(lifter, coach))


@pytest.fixture
def session(episode, clock):
    """The worked evening's training and a settled morning; it is noon."""
    row = trained(episode, "2026-11-23", "95")
    record_morning(episode, Answer(day=NOON.date(), score=1), now=at("2026-11-24 07:00"))
    clock("2026-11-24 12:00")
    return row


@pytest.fixture
def page(session):
    return f"/decide/{session.pk}/deadlift"


def seen(response):
    return re.search(r'name="seen" value="([^"]*)"', response.content.decode())[1]


def test_the_page_says_the_step_the_reason_and_the_numbers(signed_in, page, clock):
    clock("2026-11-24 12:00")
    text = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", signed_in.get(page).content.decode()))
    assert "Forward: 95 → 97.5 kg from the floor" in text
    assert "Pain at most 2, morning 1, before it 1." in text
    assert "Rule R8" in text


def test_the_rule_leads_to_its_page_in_the_help_and_from_there_to_its_reasons(signed_in, page, clock):
    clock("2026-11-24 12:00")
    link = re.search(r'href="([^"]*)">Rule R8', signed_in.get(page).content.decode())[1]
    rules = signed_in.get(link)
    assert rules.status_code == 200
    assert "science/rules" in rules.content.decode()


def test_one_press_accepts(signed_in, page, session, episode, coach, clock):
    clock("2026-11-24 12:00")
    today = signed_in.get("/today")
    response = signed_in.post(page, {"choice": "proposed", "seen": seen(today), "back": "today"})
    assert (response.status_code, response.url) == (302, "/today")
    row = episode.decisions.get()
    assert (row.change, str(row.load.normalize()), row.by) == ("forward", "97.5", coach)


def test_another_choice_without_a_reason_is_sent_back_with_everything_kept(signed_in, page, episode, clock):
    clock("2026-11-24 12:00")
    token = seen(signed_in.get(page))
    response = signed_in.post(page, {"choice": "load", "load": "60", "seen": token})
    assert response.status_code == 422
    assert b"Say why" in response.content
    assert b'value="60"' in response.content
    assert not episode.decisions.exists()
    signed_in.post(page, {"choice": "load", "load": "60", "reason": "Slept badly.", "seen": token})
    assert (episode.decisions.get().change, episode.decisions.get().reason) == ("back", "Slept badly.")


@pytest.mark.parametrize(
    ("load", "said"),
    [
        ("100", b"One step at most: 97.5"),
        ("96", b"96 cannot be loaded"),
        ("", b"Write the load."),
        ("much", b"Write a mass"),
    ],
)
def test_a_load_that_cannot_be_taken_says_why(signed_in, page, episode, clock, load, said):
    clock("2026-11-24 12:00")
    form = {"choice": "load", "load": load, "reason": "He wants to.", "seen": seen(signed_in.get(page))}
    response = signed_in.post(page, form)
    assert response.status_code == 422
    assert said in response.content
    assert not episode.decisions.exists()


def test_scores_that_changed_meanwhile_show_both(signed_in, page, episode, coach, clock):
    clock("2026-11-24 12:00")
    token = seen(signed_in.get(page))
    record_morning(episode, Answer(day=NOON.date(), score=3), now=NOON)
    response = signed_in.post(page, {"choice": "proposed", "seen": token})
    text = response.content.decode()
    assert response.status_code == 409
    assert "The scores changed while your page was open" in text
    assert "Back: 95 → 85 kg" in strip_tags(text)
    assert not episode.decisions.exists()


def test_a_colleagues_decision_meanwhile_shows_both(signed_in, page, session, episode, owner, clock):
    clock("2026-11-24 12:00")
    token = seen(signed_in.get(page))
    decide(session, "deadlift", seen=proposal_for(episode, "deadlift", NOON).seen, by=owner, now=NOON)
    response = signed_in.post(page, {"choice": "hold", "reason": "Slept badly.", "seen": token})
    text = response.content.decode()
    assert response.status_code == 409
    assert "Imke Torvald decided this meanwhile" in text
    assert "You were about to take: Hold: 95 kg" in text
    assert "What stands now: Forward, 97.5 kg" in text
    assert episode.decisions.get().by == owner


def test_a_stop_offers_no_other_choice(signed_in, page, episode, clock):
    clock("2026-11-24 12:00")
    record_morning(episode, Answer(day=NOON.date(), score=1, new_symptoms="yes"), now=NOON)
    text = signed_in.get(page).content.decode()
    assert "Stop: nothing of this lift for now" in text
    assert 'value="hold"' not in text
    assert 'name="load"' not in text


def test_a_decision_of_another_gym_is_not_there(client, page, clock):
    from floorward.actions import gyms

    other = a_gym("Elsewhere", NOON)
    stranger = gyms.add_staff(
        other, name="Ott", sign_in_name="ott", role="owner", password="quiet lever arms"
    )
    client.force_login(stranger, backend="django.contrib.auth.backends.ModelBackend")
    clock("2026-11-24 12:00")
    assert client.get(page).status_code == 404


def test_a_lift_that_was_not_trained_has_nothing_to_decide(signed_in, session, clock):
    clock("2026-11-24 12:00")
    assert signed_in.get(f"/decide/{session.pk}/good-morning").status_code == 404


def test_a_review_is_held_and_says_what_follows(signed_in, episode, clock):
    clock("2026-12-22 12:00")
    page = f"/episodes/{episode.pk}/review/month"
    assert signed_in.get(page).status_code == 200
    assert signed_in.post(page, {"note": "Fine."}).status_code == 422
    assert signed_in.post(page, {"score": 6, "note": "Hardly better."}).status_code == 302
    held = episode.reviews.get()
    assert (held.code, held.score, held.outcome) == ("month", 6, "routine")


def test_a_review_that_is_not_due_yet_is_not_kept(signed_in, episode, clock):
    clock("2026-11-25 12:00")
    response = signed_in.post(f"/episodes/{episode.pk}/review/month", {"score": 3})
    assert response.status_code == 409
    assert not episode.reviews.exists()
