"""What a lifter may ask by their own link, and what an owner may do for them."""

import csv
import io
import json
import zipfile

import pytest
from django.apps import apps
from django.test import Client
from django.urls import reverse

from floorward.actions import links
from floorward.actions.lifters import consent_of, withdraw_consent
from floorward.storage import belonging, portable
from floorward.storage.models import AuditEntry, Lifter
from tests.conftest import at
from tests.people import INES, a_lifter
from tests.training import sore_back, trained

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"


@pytest.fixture
def story(lifter, coach):
    episode = sore_back(lifter, coach, eases="lying flat")
    trained(episode, "2026-11-23", "95")
    return episode


@pytest.fixture
def own(lifter, story, clock):
    """The addresses of Abel's own pages."""
    clock("2026-11-24 07:00")
    token = links.token_of(links.make_link(lifter, at("2026-11-23 19:00")))
    names = ("data", "archive", "withdraw", "asking", "erase")
    return {name: reverse(f"own-{name}", args=[token]) for name in names} | {
        "door": reverse("personal-link", args=[token])
    }


@pytest.fixture
def boss(owner, clock):
    client = Client()
    client.force_login(owner, backend=BACKEND)
    return client


def unzipped(response):
    with zipfile.ZipFile(io.BytesIO(response.content)) as archive:
        return {name: archive.read(name).decode() for name in archive.namelist()}


def test_the_door_leads_to_what_is_held(client, own):
    assert own["data"] in client.get(own["door"]).content.decode()
    page = client.get(own["data"]).content.decode()
    assert "spells of pain" in page
    assert "You agreed on 1 November 2026" in page
    assert "Norwood" not in page
    assert "lying flat" not in page


def test_the_file_holds_all_of_it_and_opens_to_whoever_knows_the_year(client, own, lifter):
    files = unzipped(client.post(own["archive"], {"born_year": 1991}))
    told = json.loads(files["data.json"])
    assert told["Lifter"][0]["name"] == "Abel Norwood"
    assert told["Episode"][0]["eases"] == "lying flat"
    assert len(told["DoneSet"]) == 3
    rows = list(csv.DictReader(io.StringIO(files["DoneSet.csv"])))
    assert [row["pain"] for row in rows] == ["2", "2", "2"]
    assert {row["table"] for row in csv.DictReader(io.StringIO(files["dictionary.csv"]))} == set(told)


def test_another_year_gives_nothing_out_and_after_five_the_door_waits(client, own):
    for year in (1990, 1992, 1993, 1994, 1995):
        answer = client.post(own["archive"], {"born_year": year})
        assert answer.status_code == 422
        assert "not the year of birth" in answer.content.decode()
    answer = client.post(own["archive"], {"born_year": 1991})
    assert answer.status_code == 422
    assert "Too many tries. Wait 1440 min" in answer.content.decode()


def test_nobody_elses_rows_are_in_the_file(client, own, gym, coach):
    other = a_lifter(gym, coach, at("2026-11-01 09:00"), name="Ines Halloran", **INES)
    sore_back(other, coach, eases="a warm bath")
    files = unzipped(client.post(own["archive"], {"born_year": 1991}))
    assert not [name for name, text in files.items() if "Halloran" in text or "warm bath" in text]


def test_the_lifter_takes_the_consent_back(client, own, lifter, signed_in):
    assert signed_in.get(reverse("lifter-archive", args=[lifter.pk])).status_code == 200
    assert client.post(own["withdraw"]).status_code == 302
    assert consent_of(lifter) is None
    assert "shown to nobody" in client.get(own["data"]).content.decode()
    assert signed_in.get(reverse("lifter-archive", args=[lifter.pk])).status_code == 403
    assert signed_in.post(reverse("lifter-archive", args=[lifter.pk])).status_code == 409


def test_a_lifter_asks_to_be_erased_and_the_owner_sees_it(client, own, lifter, boss):
    assert client.post(own["erase"], {"born_year": 1991}).status_code == 422  # not asked for yet
    client.post(own["asking"])
    assert "asked to be erased" in boss.get(reverse("lifters")).content.decode()
    client.post(own["asking"], {"take_back": "yes"})
    assert "asked to be erased" not in boss.get(reverse("lifters")).content.decode()


def test_a_lifter_who_says_it_twice_is_erased_and_the_link_is_dead(client, own, lifter):
    client.get(own["door"])
    client.post(own["asking"])
    assert client.post(own["erase"], {"born_year": 1990}).status_code == 422
    assert client.post(own["erase"], {"born_year": 1991}).status_code == 200
    assert not Lifter.objects.exists()
    assert client.get(own["door"]).status_code == 404
    left = list(AuditEntry.objects.values_list("lifter_number", "staff_number", "kind"))
    assert left[0] == (0, 0, "erased")
    assert {number for number, _, _ in left} == {0}


def test_an_owner_erases_by_typing_the_name(boss, lifter, story):
    page = reverse("erase-lifter", args=[lifter.pk])
    assert boss.post(page, {"name": "Abel"}).status_code == 422
    assert boss.post(page, {"name": "Abel Norwood"}).status_code == 302
    rows = [name for name, rows in belonging.rows_of(lifter, "default").items() if rows]
    assert rows == []
    assert "erased everything: somebody no longer here" in boss.get(reverse("trail")).content.decode()


def test_behind_a_stop_the_rights_stay_open(client, own, story):
    form = {"episode": story.pk, "day": "2026-11-24", "score": 1, "new_symptoms": "yes"}
    client.post(own["door"], form)
    assert client.get(own["data"]).status_code == 200


def test_without_consent_a_file_holds_nothing_of_health(lifter, story):
    from floorward.actions import rights

    withdraw_consent(lifter, now=at("2026-11-24 06:00"))
    from io import BytesIO

    with zipfile.ZipFile(BytesIO(rights.archive_of(lifter, with_health=False))) as archive:
        told = json.loads(archive.read("data.json"))
    assert set(told) == {"Lifter", "Assignment", "Consent", "Session", "DoneSet"}
    assert {row["pain"] for row in told["DoneSet"]} == {None}


def test_every_table_is_somebodys_or_the_gyms():
    found = {name: belonging.path_of(model) for name, model in portable.tables().items()}
    assert found["Clearance"] == "screening__episode__lifter"
    assert {name for name, path in found.items() if path is not None} >= belonging.HEALTH_TABLES - {"Trace"}
    with_pain = {
        model.__name__
        for model in apps.get_app_config("storage").get_models()
        for column in model._meta.concrete_fields
        if column.name in {"pain", "score", "before", "after", "rest_pain", "spreading", "acceptable"}
    }
    assert with_pain <= belonging.HEALTH_TABLES | set(belonging.HEALTH_COLUMNS)


def test_the_list_and_the_own_link_leave_one_line_a_day(client, own, signed_in, lifter, story, coach, clock):
    for time in ("08:00", "08:30", "19:00"):
        clock(f"2026-11-24 {time}")
        signed_in.get(reverse("today"))
        signed_in.get(reverse("lifters"))
        client.get(own["door"])
    rows = list(AuditEntry.objects.values_list("lifter_number", "staff_number", "kind"))
    assert sorted(rows) == sorted([(lifter.pk, coach.pk, "lists"), (lifter.pk, 0, "own")])
