"""Answers that a phone kept while the server was away: taken once, at the time they were said, refused in words."""

from datetime import timedelta

import pytest
from django.urls import reverse

from floorward.actions import links, rights, sessions
from floorward.actions.lifters import withdraw_consent
from floorward.storage.models import Receipt
from tests.conftest import at
from tests.people import a_lifter
from tests.training import sore_back
from tests.web.test_sessions import found, hidden, page, planned

__all__ = ["found", "planned"]
pytestmark = pytest.mark.django_db

KEY = "0123456789abcdef01234567"


def headers(key=KEY, held_ms=0, after=""):
    return {"X-Kept": key, "X-Held-Ms": str(held_ms), "X-After": after}


def send(client, session, pain, *, key=KEY, held_ms=0, after="", **more):
    line = session.lines.first()
    form = {**hidden(page(client, session, f"?line={line.pk}&work")), "client_id": key, "pain": pain, **more}
    return client.post(f"/sessions/{session.pk}", form, headers=headers(key, held_ms, after))


def test_a_kept_set_is_answered_in_words_a_script_can_read(signed_in, planned):
    answer = send(signed_in, planned, "1")
    assert answer.status_code == 204
    assert answer["X-Next"].startswith(f"/sessions/{planned.pk}")


def test_a_kept_set_sent_twice_is_stored_once(signed_in, planned):
    first, second = send(signed_in, planned, "1"), send(signed_in, planned, "1")
    assert (first.status_code, second.status_code) == (204, 204)
    assert first["X-Next"] == second["X-Next"]
    assert planned.done_sets.filter(kind="work").count() == 1


def test_a_score_sent_again_does_not_undo_what_was_said_since(signed_in, planned):
    def say(score, key):
        return signed_in.post(f"/sessions/{planned.pk}/before", {"score": score}, headers=headers(key))

    say("2", KEY)
    signed_in.post(f"/sessions/{planned.pk}/before", {"score": "4"})
    assert say("2", KEY).status_code == 204
    planned.refresh_from_db()
    assert planned.before == 4


def test_a_kept_set_has_the_time_at_which_it_was_done(signed_in, planned, clock):
    clock("2026-11-23 18:40")
    send(signed_in, planned, "1", held_ms=20 * 60_000)
    assert planned.done_sets.get(kind="work").at == at("2026-11-23 18:20")


def test_sets_stay_in_order_where_one_took_longer_to_arrive_than_the_next(signed_in, planned, clock):
    clock("2026-11-23 18:40")
    send(signed_in, planned, "1", held_ms=2_000)
    send(signed_in, planned, "2", key=KEY[::-1], held_ms=5_000, after=KEY)
    rows = list(planned.done_sets.filter(kind="work").order_by("at"))
    assert [row.pain for row in rows] == [1, 2]
    assert rows[1].at - rows[0].at == timedelta(milliseconds=1)


def test_a_set_that_was_refused_between_them_does_not_part_two_that_belong_in_order(
    signed_in, planned, clock
):
    clock("2026-11-23 18:40")
    send(signed_in, planned, "1", held_ms=2_000)
    assert send(signed_in, planned, "8", key="8" * 24, held_ms=6_000, after=KEY).status_code == 422
    send(signed_in, planned, "2", key=KEY[::-1], held_ms=5_000, after=f"{KEY} {'8' * 24}")
    assert list(planned.done_sets.filter(kind="work").order_by("at").values_list("pain", flat=True)) == [1, 2]


@pytest.mark.parametrize("after", ["", "abc", KEY, "' OR 1=1", "0" * 9000])
def test_a_key_that_names_no_set_of_this_session_moves_nothing(signed_in, planned, clock, after):
    clock("2026-11-23 18:40")
    send(signed_in, planned, "1", key=KEY[::-1], held_ms=5 * 60_000, after=after)
    assert planned.done_sets.get(kind="work").at == at("2026-11-23 18:35")


def test_a_phone_with_a_wrong_clock_cannot_reach_before_the_session(signed_in, planned, clock):
    clock("2026-11-23 19:00")
    send(signed_in, planned, "1", held_ms=90 * 24 * 3_600_000)
    assert planned.done_sets.get(kind="work").at == planned.started_at


def test_a_question_is_asked_and_nothing_is_stored_until_it_is_answered(signed_in, planned):
    answer = send(signed_in, planned, "8")
    assert answer.status_code == 422
    assert "ask-again" in answer.content.decode()
    assert not planned.done_sets.filter(kind="work").exists()
    assert not Receipt.objects.exists()
    assert send(signed_in, planned, "8", acceptable="no").status_code == 204


def test_a_refusal_stores_neither_the_set_nor_a_receipt(signed_in, planned):
    planned.lines.update(role="full-range")
    episode = planned.episode
    episode.mornings.create(
        day=at("2026-11-23 07:00").date(), score=3, new_symptoms="yes", at=at("2026-11-23 18:20")
    )
    line = planned.lines.first()
    form = {
        "line": line.pk,
        "kind": "work",
        "load": "95",
        "unit": "kg",
        "reps": "5",
        "client_id": KEY,
        "pain": "1",
    }
    answer = signed_in.post(f"/sessions/{planned.pk}", form, headers=headers())
    assert answer.status_code == 409
    assert not Receipt.objects.exists()


def test_a_score_said_within_the_hour_and_sent_later_is_not_asked_about(signed_in, planned, clock):
    clock("2026-11-23 22:00")
    held = int(timedelta(hours=3, minutes=30) / timedelta(milliseconds=1))
    answer = signed_in.post(f"/sessions/{planned.pk}/after", {"score": "1"}, headers=headers(held_ms=held))
    assert answer.status_code == 204
    planned.refresh_from_db()
    assert planned.after_at == at("2026-11-23 18:30")


def test_whoever_is_signed_out_is_told_so_and_loses_nothing(client, signed_in, planned):
    signed_in.logout()
    answer = client.post(f"/sessions/{planned.pk}", {"pain": "1"}, headers=headers())
    assert answer.status_code == 401


def test_a_morning_kept_on_the_lifters_phone_is_taken_once(client, lifter, coach, clock):
    episode = sore_back(lifter, coach)
    clock("2026-11-24 07:00")
    door = f"/l/{links.token_of(links.make_link(lifter, at('2026-11-23 19:00')))}/"
    shown = client.get(door).content.decode()
    assert 'data-keep="morning"' in shown
    assert "still on this phone" in shown
    form = {
        "episode": episode.pk,
        "day": "2026-11-24",
        "shown_day": "2026-11-24",
        "score": "2",
        "new_symptoms": "no",
    }
    answers = [client.post(door, form, headers=headers()) for _ in range(2)]
    assert [one.status_code for one in answers] == [204, 204]
    assert episode.mornings.count() == 1


def test_receipts_are_forgotten_in_the_end(signed_in, planned, clock):
    Receipt.objects.create(key="f" * 24, leads_to="/", at=at("2026-01-01 10:00"))
    send(signed_in, planned, "1")
    assert list(Receipt.objects.values_list("key", flat=True)) == [KEY]


def test_the_page_carries_every_set_still_to_do(signed_in, planned):
    shown = page(signed_in, planned)
    line = planned.lines.get()
    assert shown.count('<template class="ahead"') >= line.sets
    assert sessions.barred(planned) is None


def test_the_worker_may_answer_for_every_page(client, db):
    answer = client.get("/worker.js")
    assert answer["Content-Type"].startswith("text/javascript")
    assert b"sessions" in answer.content


def test_the_page_for_a_phone_without_a_copy_names_nobody(signed_in, lifter):
    assert "Abel" not in signed_in.get("/away").content.decode()


@pytest.mark.parametrize(
    "key", [None, "", "zz", "a1" * 9 + "!", "A1" * 10, "é" * 20, "a1" * 5000, "../" * 9, "a1" * 10]
)
def test_a_sign_of_life_is_one_whatever_key_is_or_is_not_sent_with_it(client, db, key):
    headers = {} if key is None else {"X-Kept": key, "X-Held-Ms": "soon"}
    for ask in (client.get, client.post):
        answer = ask(reverse("alive"), headers=headers)
        assert (answer.status_code, answer.content) == (204, b"")
        assert "X-Next" not in answer
    assert not Receipt.objects.exists()


def test_pages_tell_a_phone_when_a_consent_was_withdrawn_or_somebody_erased_and_nothing_else(
    signed_in, client, lifter, coach, clock
):
    own = f"/l/{links.token_of(links.make_link(lifter, at('2026-11-23 09:00')))}/"

    def marks():
        return {signed_in.get(reverse("today"))["X-Kept-Mark"], client.get(own)["X-Kept-Mark"]}

    (first,) = marks()
    sore_back(lifter, coach)
    assert marks() == {first}
    withdraw_consent(lifter, now=at("2026-11-23 10:00"))
    (second,) = marks()
    rights.erase(
        a_lifter(lifter.gym, coach, at("2026-11-01 09:30"), "Ott Reinholt"),
        by=None,
        now=at("2026-11-23 11:00"),
    )
    (third,) = marks()
    assert len({first, second, third}) == 3
    assert "X-Kept-Mark" not in client.get(reverse("alive"))
