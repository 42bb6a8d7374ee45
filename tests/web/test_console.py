"""What the console is told when something goes wrong."""

import io
import logging
import logging.config

import pytest
from django.db import OperationalError
from django.urls import reverse

from floorward.actions import links
from floorward.reports.wording import sentence_for
from floorward.storage import troubles
from floorward.web.console import WithoutLinks
from floorward.web.middleware import TroublePage
from tests.conftest import at

pytestmark = pytest.mark.django_db


@pytest.fixture
def console(settings):
    """What the console says from now on."""
    logging.config.dictConfig(settings.LOGGING)
    written = next(
        one for one in logging.getLogger("django.request").handlers if isinstance(one.formatter, WithoutLinks)
    )
    said = io.StringIO()
    before = written.setStream(said)
    yield said
    written.setStream(before)


def failing(monkeypatch, error):
    def fails(*_):
        raise error

    monkeypatch.setattr(links, "stop_of", fails)


def test_a_mistake_is_told_with_its_trace_but_without_the_link_it_happened_behind(
    client, lifter, console, monkeypatch, clock
):
    token = links.token_of(links.make_link(lifter, at("2026-11-23 18:00")))
    failing(monkeypatch, ZeroDivisionError(f"at /l/{token}/card"))
    client.raise_request_exception = False
    assert client.get(reverse("personal-link", args=[token])).status_code == 500
    said = console.getvalue()
    assert "Internal Server Error: /l/…/" in said
    assert "ZeroDivisionError: at /l/…/card" in said
    assert token not in said


def test_a_server_that_is_away_is_told_in_one_line_however_often_phones_ask(
    client, lifter, console, monkeypatch, clock
):
    token = links.token_of(links.make_link(lifter, at("2026-11-23 18:00")))
    failing(monkeypatch, OperationalError("connection refused"))
    for _ in range(30):
        assert client.post(reverse("personal-link", args=[token])).status_code == 503
    assert console.getvalue() == "storage-away: connection refused\n"


def test_a_page_that_was_merely_opened_says_nothing_of_what_was_done(rf):
    opened, sent = (TroublePage("storage-away", asked) for asked in (rf.get("/today"), rf.post("/today")))
    assert (opened.status_code, sent.status_code) == (503, 503)
    assert "The database server does not answer, so this page has to wait." in opened.content.decode()
    assert "What you just did" not in opened.content.decode()
    assert "What you just did" in sent.content.decode()


def test_every_trouble_has_a_sentence_for_who_sent_something_and_one_for_who_opened_a_page():
    codes = [code for name, code in vars(troubles).items() if name.isupper() and not name.startswith("_")]
    assert troubles.AWAY in codes
    for code in codes:
        assert sentence_for(code, {}) != sentence_for(f"{code}-opened", {}) or code == troubles.DAMAGED
