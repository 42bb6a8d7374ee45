"""What was typed on a page that cannot be taken is kept on the page that says so, and goes nowhere by itself."""

import re
from html import unescape

import pytest
from django import forms
from django.test import Client
from django.urls import reverse

from floorward.actions import lifters
from floorward.storage.models import Lifter
from floorward.web.forms import gym as gym_forms
from floorward.web.forms import people as people_forms
from floorward.web.forms import start as start_forms
from floorward.web.typed import SECRETS

pytestmark = pytest.mark.django_db
OURS = {"Origin": "http://testserver"}
BRIDA = {
    "version": "0",
    "name": 'Brida "Bee" Quarrel',
    "born_year": "1990",
    "sex": "female",
    "stature_m": "170 cm",
    "mass": "70",
    "unit": "kg",
}


@pytest.fixture
def browser(coach, clock):
    """Bram's browser, which looks at tokens as a real one makes it."""
    client = Client(enforce_csrf_checks=True)
    client.force_login(coach, backend="django.contrib.auth.backends.ModelBackend")
    return client


def kept_on(page):
    """The form that the page offers: where it goes and what it holds."""
    found = re.search(r'<form method="post" action="([^"]+)">(.*?)</form>', page, re.DOTALL)
    if found is None:
        return None
    fields = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', found[2])
    return unescape(found[1]), {name: unescape(value) for name, value in fields}


def test_a_stale_page_loses_nothing_that_was_typed(browser, coach):
    answer = browser.post(reverse("new-lifter"), BRIDA, headers=OURS)
    page = answer.content.decode()
    assert answer.status_code == 403
    assert "Not stored yet: send it once more" in page
    assert f"in the name of {coach.name}" in page
    assert not Lifter.objects.exists()
    address, fields = kept_on(page)
    assert {name: fields[name] for name in BRIDA} == BRIDA
    answer = browser.post(address, fields, headers=OURS)
    assert answer.status_code == 302
    assert Lifter.objects.get().name == 'Brida "Bee" Quarrel'


@pytest.mark.parametrize(
    "headers",
    [{}, {"Origin": "null"}, {"Origin": "https://elsewhere.example"}],
    ids=["silent", "null", "other"],
)
def test_what_another_page_sent_is_not_offered_again(browser, headers):
    page = browser.post(reverse("new-lifter"), BRIDA, headers=headers).content.decode()
    assert "Nothing was changed" in page
    assert kept_on(page) is None
    assert "Quarrel" not in page


def test_a_password_is_never_put_on_a_page_again(browser):
    page = browser.post(
        reverse("sign-in"), {"sign_in_name": "bram", "password": "quiet lever arms"}, headers=OURS
    ).content.decode()
    assert kept_on(page) is None
    assert "quiet lever arms" not in page


def test_every_field_that_hides_what_is_typed_counts_as_a_secret():
    hidden = {
        name
        for module in (gym_forms, people_forms, start_forms)
        for form in vars(module).values()
        if isinstance(form, type) and issubclass(form, forms.Form)
        for name, field in form.base_fields.items()
        if isinstance(field.widget, forms.PasswordInput)
    }
    assert hidden == SECRETS - {"code"}


def test_whoever_is_signed_out_meanwhile_signs_in_and_sends_it(client, coach, clock):
    answer = client.post(reverse("new-lifter"), BRIDA, headers=OURS)
    page = answer.content.decode()
    assert answer.status_code == 403
    assert "You are signed out, and what you typed is kept here" in page
    assert "Quarrel" not in re.sub(r"<[^>]*>", "", page)  # not for whoever stands before the screen
    client.force_login(coach, backend="django.contrib.auth.backends.ModelBackend")
    address, fields = kept_on(page)
    assert client.post(address, fields, headers=OURS).status_code == 302
    assert Lifter.objects.get().name == 'Brida "Bee" Quarrel'


def test_a_script_that_keeps_an_answer_itself_is_told_that_nobody_is_signed_in(client, db):
    answer = client.post(reverse("new-lifter"), BRIDA, headers={**OURS, "X-Kept": "0123456789abcdef"})
    assert (answer.status_code, answer.content) == (401, b"")


def test_our_own_mistake_loses_nothing_that_was_typed(signed_in, monkeypatch):
    monkeypatch.setattr(lifters, "add_lifter", lambda *_, **__: 1 / 0)
    signed_in.raise_request_exception = False
    answer = signed_in.post(reverse("new-lifter"), BRIDA, headers=OURS)
    assert answer.status_code == 500
    monkeypatch.undo()
    address, fields = kept_on(answer.content.decode())
    assert signed_in.post(address, fields, headers=OURS).status_code == 302
    assert Lifter.objects.count() == 1


def test_a_name_that_is_not_ours_is_told_how_to_come_in(client, db):
    answer = client.get("/", headers={"host": "elsewhere.example"})
    assert answer.status_code == 400
    assert "does not answer to this address" in answer.content.decode()
