"""What people do to a program who do not mean well: names that bite, links that are forged, buttons pressed twice at once."""

import csv
import io
import json
import zipfile

import pytest
from django.urls import reverse

from floorward.actions import links, rights
from floorward.reports import csv_table
from floorward.storage.models import Lifter, MorningCheck
from tests.conftest import at
from tests.people import ABEL, INES, a_lifter
from tests.training import sore_back, trained
from tests.web.test_links import hidden

pytestmark = pytest.mark.django_db

NAMES = (
    '=HYPERLINK("http://elsewhere.example","look")',
    "+cmd|' /C calc'!A0",
    "@SUM(A1:A9)",
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "\u202eevil\u202c \u2066\u200f",
    "{name} {0.__class__} %s {{ 7|add:7 }}",
    '#read("secret.key") $x$ *b* \\ `raw`',
    "../../../secret.key",
    "' OR 1=1 --",
    "e\u0301" * 20,
)


@pytest.mark.parametrize("name", NAMES)
def test_a_name_that_bites_is_only_a_name(signed_in, gym, coach, client, clock, name):
    lifter = a_lifter(gym, coach, at("2026-11-01 09:00"), name=name, **ABEL)
    episode = sore_back(lifter, coach, eases=name)
    trained(episode, "2026-11-23", "95")
    token = links.token_of(links.make_link(lifter, at("2026-11-23 18:00")))
    addresses = [
        *(reverse(page, args=[lifter.pk]) for page in ("lifter", "progress", "change-lifter", "consent")),
        reverse("lifters"),
        reverse("today"),
        reverse("personal-link", args=[token]),
        reverse("own-data", args=[token]),
    ]
    for address in addresses:
        answer = signed_in.get(address)
        assert answer.status_code == 200, address
        page = answer.content.decode()
        assert "<script>alert" not in page, address
        assert "<img src=x" not in page, address
        assert "{{ 7|add:7 }}" in page or "14" not in name
    with zipfile.ZipFile(io.BytesIO(rights.archive_of(lifter, with_health=True))) as archive:
        assert all("/" not in entry and ".." not in entry for entry in archive.namelist())
        cells = csv.reader(io.StringIO(archive.read("Lifter.csv").decode()))
        assert not [cell for row in cells for cell in row if cell.startswith(csv_table.STARTS_A_FORMULA)]
        assert json.loads(archive.read("data.json"))["Lifter"][0]["name"] == name


@pytest.mark.parametrize("name", NAMES)
def test_a_card_prints_a_name_that_bites(signed_in, gym, coach, clock, name):
    lifter = a_lifter(gym, coach, at("2026-11-01 09:00"), name=name, **ABEL)
    session = trained(sore_back(lifter, coach), "2026-11-23", "95")
    answer = signed_in.get(reverse("card-pdf", args=[session.pk]))
    assert answer.status_code == 200
    assert answer.content.startswith(b"%PDF-")
    assert b"/JavaScript" not in answer.content
    assert ".." not in answer["Content-Disposition"]
    assert "\n" not in answer["Content-Disposition"]


@pytest.mark.parametrize("name", ["nul\0in it", "bell\x07\x1b[31m", "turned \u202eround", "a" * 81, "  "])
def test_a_name_that_no_page_could_show_is_refused_beside_its_field(signed_in, gym, name):
    form = {
        "name": name,
        "born_year": "1990",
        "sex": "female",
        "stature_m": "165",
        "mass": "64 kg",
        "unit": "kg",
    }
    answer = signed_in.post(reverse("new-lifter"), form)
    assert answer.status_code == 422
    assert not Lifter.objects.exists()


def test_a_forged_or_foreign_link_opens_nothing(client, lifter, gym, coach, clock):
    other = a_lifter(gym, coach, at("2026-11-01 09:00"), name="Ines Halloran", **INES)
    mine, theirs = (links.token_of(links.make_link(one, at("2026-11-23 18:00"))) for one in (lifter, other))
    (number, mark), (their_number, _) = mine.split("."), theirs.split(".")
    forged = {
        f"{their_number}.{mark}",
        f"{number}.{mark[:-1]}{'A' if mark[-1] != 'A' else 'B'}",
        f"{number}.",
        number,
        f"d{number[1:]}.{mark}",
        f"x{number[1:]}.{mark}",
        f"{number}.{mark}.{mark}",
        f"g{'9' * 30}.{mark}",
        "a" * 3000,
    }
    for token in sorted(forged):
        for name in ("personal-link", "own-card", "own-data", "own-archive", "own-erase"):
            answer = client.post(reverse(name, args=[token]), {"born_year": 1991})
            assert answer.status_code == 404, (name, token[:60])
            assert "Abel" not in answer.content.decode()
    assert Lifter.objects.count() == 2


def test_a_link_that_ended_or_was_taken_back_gives_nothing_out_and_erases_nothing(client, lifter, clock):
    rights.ask_erasure(lifter, at("2026-11-23 18:00"))
    token = links.token_of(links.make_link(lifter, at("2026-11-23 18:00")))
    clock("2027-08-01 07:00")
    for name in ("own-archive", "own-erase", "own-withdraw", "own-asking"):
        assert client.post(reverse(name, args=[token]), {"born_year": 1991}).status_code == 410
    clock("2026-11-24 07:00")
    links.revoke_links(lifter, at("2026-11-24 06:00"))
    for name in ("own-archive", "own-erase"):
        assert client.post(reverse(name, args=[token]), {"born_year": 1991}).status_code == 410
    assert Lifter.objects.exists()
    assert lifter.consents.filter(withdrawn_at=None).exists()


def test_a_morning_sent_twice_is_one_morning(client, lifter, coach, clock):
    episode = sore_back(lifter, coach)
    trained(episode, "2026-11-23", "95")
    clock("2026-11-24 07:00")
    door = reverse("personal-link", args=[links.token_of(links.make_link(lifter, at("2026-11-23 19:00")))])
    form = {**hidden(client.get(door)), "score": 2, "new_symptoms": "no"}
    answers = [client.post(door, form).status_code for _ in range(2)]
    assert answers[0] == 302
    assert MorningCheck.objects.count() == 1


def test_whoever_asks_twice_to_erase_is_told_that_nobody_is_there(signed_in, owner, lifter):
    from django.test import Client

    boss = Client()
    boss.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    page = reverse("erase-lifter", args=[lifter.pk])
    assert boss.post(page, {"name": lifter.name}).status_code == 302
    assert boss.post(page, {"name": lifter.name}).status_code == 404
