"""The first page, the code from the console, signing in, and the demo's own door."""

from django.urls import reverse

from floorward.actions import links
from floorward.storage.models import Gym
from tests.conftest import at

OWN = {
    "code": "test-code",
    "name": "Canal Street Iron",
    "country": "NO",
    "emergency_number": "",
    "time_zone": "Europe/Oslo",
    "unit": "kg",
    "owner_name": "Imke Torvald",
    "sign_in_name": "imke",
    "password": "quiet lever arms",
}


def test_the_first_page_offers_the_demo_and_ones_own_gym(client, db):
    page = client.get("/").content.decode()
    assert "Look round the demo gym" in page
    assert "Start my own gym" in page


def test_where_a_gym_is_signing_in_comes_before_the_demo(client, gym):
    page = client.get("/").content.decode()
    assert page.index(reverse("sign-in")) < page.index(reverse("start-demo"))
    assert page.count("block main") == 1
    assert "Start my own gym" not in page


def test_a_gym_is_opened_with_the_code_and_its_owner_is_signed_in(client, db, settings, clock):
    settings.FIRST_RUN_CODE = "test-code"
    assert client.post(reverse("start-own"), OWN).status_code == 302
    assert Gym.objects.get().emergency_number == "113"
    assert client.get(reverse("gym")).status_code == 200


def test_no_country_and_no_time_zone_is_taken_for_granted(client, db, settings):
    settings.FIRST_RUN_CODE = "test-code"
    page = client.get(reverse("start-own")).content.decode()
    assert page.count('<option value="" selected>Choose</option>') == 2
    for name in ("country", "time_zone"):
        assert client.post(reverse("start-own"), OWN | {name: ""}).status_code == 422
    assert not Gym.objects.exists()


def test_countries_are_named_in_the_readers_language(client, db):
    """The Spanish names are those of the Unicode locale data; the codes those of ISO 3166-1."""
    english = client.get(reverse("start-own")).content.decode()
    spanish = client.get(reverse("start-own"), headers={"accept-language": "es"}).content.decode()
    for code, here, there in (
        ("DE", "Germany", "Alemania"),
        ("ZA", "South Africa", "Sudáfrica"),
        ("NO", "Norway", "Noruega"),
    ):
        assert f'<option value="{code}">{here}</option>' in english
        assert f'<option value="{code}">{there}</option>' in spanish
    places = [
        spanish.index(f'value="{code}"') for code in ("AF", "DE", "AT", "ES")
    ]  # Afganistán … Austria, España
    assert places == sorted(places)


def test_without_the_code_nobody_opens_a_gym(client, db, settings):
    settings.FIRST_RUN_CODE = "test-code"
    for wrong in ("", "guess", "test-cod"):
        assert client.post(reverse("start-own"), OWN | {"code": wrong}).status_code == 422
    settings.FIRST_RUN_CODE = ""
    assert client.post(reverse("start-own"), OWN | {"code": ""}).status_code == 422
    assert not Gym.objects.exists()


def test_the_code_works_once(client, db, settings, clock):
    settings.FIRST_RUN_CODE = "test-code"
    client.post(reverse("start-own"), OWN)
    assert client.post(reverse("start-own"), OWN | {"sign_in_name": "second"}).status_code == 409
    assert Gym.objects.count() == 1


def test_who_has_forgotten_the_password_is_told_who_gives_another(client, db):
    assert "Password forgotten?" in client.get(reverse("sign-in")).content.decode()


def test_a_wrong_password_keeps_the_name_and_says_so(client, coach):
    answer = client.post(reverse("sign-in"), {"sign_in_name": "bram", "password": "wrong"})
    assert answer.status_code == 422
    assert 'value="bram"' in answer.content.decode()
    assert (
        client.post(reverse("sign-in"), {"sign_in_name": "Bram", "password": "quiet lever arms"}).status_code
        == 302
    )


def test_every_page_but_the_first_asks_to_sign_in(client, db):
    for name in ("today", "lifters", "gym", "protocol", "people"):
        assert client.get(reverse(name)).url.startswith("/sign-in")


def test_no_page_may_run_or_load_what_is_not_ours(client, db):
    policy = client.get("/")["Content-Security-Policy"]
    assert "unsafe" not in policy
    assert "default-src 'none'" in policy


def test_a_page_that_is_not_there_says_so_plainly(signed_in):
    answer = signed_in.get("/lifters/999")
    assert answer.status_code == 404
    assert "This page is not here" in answer.content.decode()


def test_an_address_that_only_takes_forms_says_so_and_leads_on(signed_in, client, lifter, clock):
    clock("2026-11-24 07:00")
    answer = signed_in.get(reverse("own-password"))
    assert (answer.status_code, answer["Allow"]) == (405, "POST")
    assert "Nothing to see at this address" in answer.content.decode()
    assert reverse("today") in answer.content.decode()
    token = links.token_of(links.make_link(lifter, at("2026-11-23 19:00")))
    client.logout()
    page = client.get(reverse("own-withdraw", args=[token]))
    assert page.status_code == 405
    assert f'href="{reverse("personal-link", args=[token])}"' in page.content.decode()


def test_a_form_from_elsewhere_is_refused_with_a_way_back(db):
    from django.test import Client

    answer = Client(enforce_csrf_checks=True).post(
        reverse("sign-in"), {"sign_in_name": "bram", "password": "x"}
    )
    assert answer.status_code == 403
    assert "Nothing was changed" in answer.content.decode()


def test_our_own_mistake_is_called_that(client, coach, clock, monkeypatch):
    from floorward.web.views import shelf

    monkeypatch.setattr(shelf, "pages", lambda _: 1 / 0)
    client.raise_request_exception = False
    answer = client.get(reverse("help"))
    assert answer.status_code == 500
    assert "our mistake" in answer.content.decode()
