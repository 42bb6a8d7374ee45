"""The card on the web, on paper and behind the lifter's own link."""

import re
from io import BytesIO

import pytest
from pypdf import PdfReader

from floorward.actions import links
from floorward.storage.models import BarRow, Line
from tests.conftest import at
from tests.web.evening import accepted

pytestmark = pytest.mark.django_db


@pytest.fixture
def planned(signed_in, lifter):
    """Abel's session: the full range, a trap bar for the first time, a bench press as usual."""
    accepted(signed_in, lifter)
    signed_in.post(f"/lifters/{lifter.pk}/variations", {"offer": ["trap-bar-high:345"]})
    session = lifter.sessions.get()
    Line.objects.create(
        session=session,
        order=9,
        role="usual",
        lift="bench-press",
        bar=BarRow.objects.get(name="Bar 1"),
        load=80,
        unit="kg",
        sets=4,
        reps=6,
        cue="elbows under the bar",
    )
    return session


def pdf_text(client, session) -> str:
    answer = client.get(f"/sessions/{session.pk}/card.pdf")
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    return " ".join(page.extract_text() for page in PdfReader(BytesIO(answer.content)).pages)


def flat(text: str) -> str:
    return " ".join(text.split())


def test_the_printed_card_carries_sets_plates_and_stop_lines(signed_in, planned):
    text = flat(pdf_text(signed_in, planned))
    assert "Abel N." in text
    assert "95" in text
    assert "3 × 5" in text
    assert "25 · 10 · 2.5 each side" in text
    assert "first time: easy" in text
    assert "4 × 6" in text
    assert "elbows under the bar" in text
    assert "pain goes over 5" in text
    assert "a change in bladder or bowel" in text


def test_the_printed_head_says_nothing_of_where_it_hurts(signed_in, planned):
    head = pdf_text(signed_in, planned)[:200]
    assert "Norwood" not in head
    assert "back" not in head.lower()


def test_the_web_card_says_what_the_paper_says(signed_in, planned):
    text = flat(signed_in.get(f"/sessions/{planned.pk}/card").content.decode())
    for words in (
        "Abel N.",
        "3 × 5",
        "25 · 10 · 2.5 each side",
        "first time: easy",
        "4 × 6",
        "elbows under the bar",
    ):
        assert words in text


def test_each_change_of_plates_has_a_line_and_a_load_under_kg_no_second_unit(signed_in, planned):
    Line.objects.create(
        session=planned, order=10, role="usual", lift="leg-curl", load=42, unit="kg", sets=3, reps=10
    )
    page = signed_in.get(f"/sessions/{planned.pk}/card").content.decode()
    changes = re.findall(r'<span class="by-set">([^<]+)</span>', page)
    assert len(changes) > 3
    assert not [one for one in changes if " · " in one]
    assert "<b>42</b>" in page


def test_without_a_public_address_no_code_is_printed_and_both_say_why(signed_in, planned, settings):
    settings.PUBLIC_ADDRESS = ""
    page = signed_in.get(f"/sessions/{planned.pk}/card").content.decode()
    assert 'class="qr"' not in page
    assert "Set PUBLIC_ADDRESS" in page
    assert "the address that phones reach is not set here" in flat(pdf_text(signed_in, planned))


def test_with_one_the_code_opens_the_lifters_own_door(signed_in, lifter, planned, settings):
    settings.PUBLIC_ADDRESS = "https://gym.example"
    page = signed_in.get(f"/sessions/{planned.pk}/card").content.decode()
    assert 'class="qr"' in page
    assert links.address_for(lifter, at("2026-11-23 18:10")) in page
    assert "No code" not in flat(pdf_text(signed_in, planned))


def test_the_link_shows_todays_card_and_nothing_else(client, signed_in, lifter, planned, clock):
    link = links.make_link(lifter, at("2026-11-23 12:00"))
    path = f"/l/{links.token_of(link)}/card"
    client.logout()
    shown = client.get(path).content.decode()
    assert "25 · 10 · 2.5 each side" in flat(shown)
    assert "/sessions/" not in shown
    clock("2026-11-24 12:00")
    later = client.get(path).content.decode()
    assert "No card for today" in later
    assert "each side" not in later


def test_a_range_that_stands_in_is_said_on_the_card(signed_in, lifter, planned):
    line = planned.lines.get(role="full-range")
    Line.objects.filter(pk=line.pk).update(height_mm=425)
    text = flat(pdf_text(signed_in, planned))
    assert "stands in for the full range" in text
    assert "bar at 42.5 cm" in text


def test_every_card_has_the_same_signs_to_stop_everything_at(signed_in, planned):
    for region in ("low-back", "knee", "shoulder"):
        planned.lifter.episodes.update(region=region)
        card = re.sub(r"\s+", " ", pdf_text(signed_in, planned))
        assert "numbness or weakness in legs or arms" in card
        assert "a change in bladder or bowel" in card
        assert "chest pain, fainting" in card
