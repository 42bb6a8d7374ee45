"""What is turned away before it is read, and the settings that keep a public address closed to what it should not get."""

import os
import subprocess
import sys

import pytest
from django.urls import reverse

from floorward.actions import links
from floorward.errors import Refused

pytestmark = pytest.mark.django_db


def test_more_than_an_honest_form_is_turned_away_in_a_sentence(signed_in):
    answer = signed_in.post(reverse("new-lifter"), {"name": "a" * 1_100_000})
    assert answer.status_code == 413
    assert "1 MB at most" in answer.content.decode()
    form = "&".join(f"name{number}=x" for number in range(500))
    answer = signed_in.post(reverse("new-lifter"), form, content_type="application/x-www-form-urlencoded")
    assert answer.status_code == 400
    assert "400 fields" in answer.content.decode()


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "OPTIONS", "LOOK"])
def test_a_page_is_asked_as_browsers_ask_or_not_at_all(signed_in, method):
    answer = signed_in.generic(method, reverse("lifters"))
    assert (answer.status_code, answer.content) == (405, b"")


def test_a_file_larger_than_any_page_takes_is_turned_away_with_what_the_page_takes(signed_in):
    answer = signed_in.generic("POST", reverse("imports"), b"", CONTENT_LENGTH="300000000")
    assert answer.status_code == 413
    page = answer.content.decode()
    assert "5 MB at most" in page
    assert reverse("imports") in page


def asked(code, tmp_path, **environment):
    run = f"import django; django.setup(); {code}"
    return subprocess.run(
        [sys.executable, "-c", run],
        env={
            **os.environ,
            "DATA": str(tmp_path),
            "DATABASE_URL": "",
            "DJANGO_SETTINGS_MODULE": "floorward.config",
            **environment,
        },
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    ).stdout.strip()


def test_the_deploy_check_has_nothing_to_say_of_a_public_address(tmp_path):
    said = asked(
        "from django.core.checks import run_checks; from django.conf import settings as s;"
        "print([str(row) for row in run_checks(include_deployment_checks=True) if not row.is_silenced()],"
        "s.SESSION_COOKIE_SECURE, s.CSRF_COOKIE_SECURE, s.SESSION_COOKIE_HTTPONLY, s.SECURE_HSTS_SECONDS, s.DEMO_OPEN,"
        "s.ALLOWED_HOSTS)",
        tmp_path,
        PUBLIC_ADDRESS="https://gym.example",
        ALLOWED_HOSTS="",
    )
    assert said == "[] True True True 31536000 False ['127.0.0.1', 'localhost', '[::1]', 'gym.example']"


@pytest.mark.parametrize(
    ("address", "open_to_look_round"),
    [("", True), ("http://127.0.0.1:8000", True), ("http://192.168.1.9:8000", False)],
)
def test_the_demo_is_open_to_this_computer_alone(tmp_path, address, open_to_look_round):
    said = asked(
        "from django.conf import settings; print(settings.DEMO_OPEN)", tmp_path, PUBLIC_ADDRESS=address
    )
    assert said == str(open_to_look_round)


def test_links_of_a_demo_that_is_closed_open_nothing(lifter, settings):
    from floorward.storage import place

    token = links._SIGNER.sign("d1")
    assert links.place_of(token) == place.DEMO
    settings.DEMO_OPEN = False
    with pytest.raises(Refused, match="link-unknown"):
        links.place_of(token)


def test_deleted_rows_are_overwritten_in_the_file(gym):
    from django.db import connection

    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            assert cursor.execute("PRAGMA secure_delete").fetchone()[0] == 1


def test_every_cookie_is_out_of_reach_of_scripts_but_the_one_they_send_back(client, coach, clock):
    client.post(reverse("sign-in"), {"sign_in_name": "bram", "password": "quiet lever arms"})
    for name, cookie in client.cookies.items():
        assert cookie["samesite"] == "Lax", name
        assert bool(cookie["httponly"]) is (name != "csrftoken"), name
    assert set(client.cookies) == {"csrftoken", "sessionid", "device"}
