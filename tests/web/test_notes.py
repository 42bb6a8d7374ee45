"""A note to a clinician, from the rows to the page and the file."""

import json
import re
from io import BytesIO

import pytest
from fhir.resources.R4B.bundle import Bundle
from pypdf import PdfReader

from floorward.actions.lifters import withdraw_consent
from floorward.actions.mornings import Answer, record_morning
from floorward.storage.models import AuditEntry, Screening
from tests.conftest import at
from tests.training import sore_back, trained
from tests.web.evening import accepted

pytestmark = pytest.mark.django_db


@pytest.fixture
def episode(signed_in, lifter, coach, clock):
    """A sore back, asked about and trained; the note is asked for on 1 December."""
    row = sore_back(lifter, coach)
    Screening.objects.create(
        episode=row, at=at("2026-11-23 18:12"), asked_by=coach, answers={}, outcome="go-on", locks="none"
    )
    trained(row, "2026-11-25", "95", (1, 3, 2))
    clock("2026-12-01 12:00")
    return row


@pytest.fixture
def story(signed_in, lifter, clock):
    """The worked evening, two evenings of training and a morning; asked for on 1 December."""
    row = accepted(signed_in, lifter)
    trained(row, "2026-11-25", "95", (1, 3, 2))
    trained(row, "2026-11-28", "97.5", (1, 4, None))
    record_morning(row, Answer(day=at("2026-11-26 07:00").date(), score=2), now=at("2026-11-26 07:00"))
    clock("2026-12-01 12:00")
    return row


def page_text(answer):
    (page,) = PdfReader(BytesIO(answer.content)).pages
    return re.sub(r"[\s\u200b]+", " ", page.extract_text())


@pytest.mark.parametrize("unit", ["", "lb"])  # whatever the coach thinks in
def test_the_page_and_the_file_say_what_the_rows_say(signed_in, story, coach, unit):
    coach.unit = unit
    coach.save()
    answer = signed_in.post(f"/episodes/{story.pk}/note", {"question": "From blocks?", "as": "page"})
    assert answer["Content-Type"] == "application/pdf"
    assert "Abel" not in answer["Content-Disposition"]
    said = page_text(answer)
    screen = story.screenings.get()
    for words in (
        "From blocks?", f"First reported: deadlift, {story.load:.0f} kg × {story.reps}, pain {story.pain}.",
        "since 20 November 2026 (11 days)", "Asked on 23 November 2026 at 18:10 by Bram Okello. By the gym's list: go on.",
        "deadlift, hands at 22.5 cm, 107.5 kg × 3, pain 3", "25 November deadlift, hands at 22.5 cm 95 kg 3 × 5 1 3 2 2",
        "28 November deadlift, hands at 22.5 cm 97.5 kg 3 × 5 1 4 – –", "2 sessions with this region in mind",
    ):  # fmt: skip
        assert words in said, (words, said)
    assert len(screen.answers) > 5

    answer = signed_in.post(f"/episodes/{story.pk}/note", {"question": "From blocks?", "as": "record"})
    assert answer["Content-Type"] == "application/fhir+json"
    read = Bundle.model_validate_json(answer.content)
    assert read.entry[0].resource.title == "Note of a strength coach"
    told = [
        (row["component"][0]["valueCodeableConcept"]["coding"][0]["code"], row["valueQuantity"]["value"])
        for row in (one["resource"] for one in json.loads(answer.content)["entry"])
        if row["resourceType"] == "Observation" and row["code"]["coding"][0]["code"] == "72514-3"
    ]
    assert [score for kind, score in told if kind == "test"] == [6, 5, 0, 0, 1, 2, 3]
    assert [score for kind, score in told if kind == "during"] == [3, 4]
    assert ("morning", 2) in told
    assert ("report", 7) in told
    assert "Abel" not in answer.content.decode()


def test_each_writing_leaves_a_line_on_the_trail(signed_in, episode, lifter, coach):
    for _ in range(2):
        signed_in.post(f"/episodes/{episode.pk}/note", {"question": "", "as": "page"})
    rows = AuditEntry.objects.filter(
        lifter_number=lifter.pk, staff_number=coach.pk, kind="note", changed=True
    )
    assert rows.count() == 2
    assert "wrote a note to a clinician" in " ".join(
        re.sub(r"<[^>]*>", "", signed_in.get(f"/lifters/{lifter.pk}/trail").content.decode()).split()
    )


def test_no_note_leaves_without_the_tick_for_clinicians(signed_in, episode, lifter):
    lifter.consents.update(share_with_clinician=False)
    page = signed_in.get(f"/episodes/{episode.pk}/note")
    assert "has not agreed that a note goes to a clinician" in page.content.decode()
    answer = signed_in.post(f"/episodes/{episode.pk}/note", {"question": "", "as": "page"})
    assert answer.status_code == 409
    assert not AuditEntry.objects.filter(kind="note", changed=True).exists()


def test_a_withdrawn_consent_stops_the_note(signed_in, episode, lifter):
    withdraw_consent(lifter, now=at("2026-12-01 11:30"))
    assert signed_in.get(f"/episodes/{episode.pk}/note").status_code == 403
    for way in ("page", "record"):
        answer = signed_in.post(f"/episodes/{episode.pk}/note", {"question": "", "as": way})
        assert answer.status_code == 409
        assert answer["Content-Type"].startswith("text/html")


def test_the_note_is_offered_where_somebody_is_sent_on_and_on_the_overview(signed_in, episode, lifter):
    assert f"/episodes/{episode.pk}/note" in signed_in.get(f"/lifters/{lifter.pk}").content.decode()
    screen = episode.screenings.get()
    screen.outcome = "soon"
    screen.save()
    assert f"/episodes/{episode.pk}/note" in signed_in.get(f"/screenings/{screen.pk}").content.decode()


def test_a_question_that_is_too_long_comes_back_with_what_was_typed(signed_in, episode):
    answer = signed_in.post(f"/episodes/{episode.pk}/note", {"question": "x" * 601, "as": "page"})
    assert answer.status_code == 422
    assert "x" * 601 in answer.content.decode()
