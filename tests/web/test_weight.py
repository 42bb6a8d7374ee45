"""What a phone has to fetch for the page between sets: little the first time, less for every set after it."""

import gzip
import json
import re
from contextlib import closing

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders

from tests.web.test_sessions import found, page, planned

__all__ = ["found", "planned"]
pytestmark = pytest.mark.django_db

KIB = 1024


def squeezed(path: str) -> int:
    with open(str(finders.find(path)), "rb") as file:  # noqa: PTH123 - a path as the finder gives it
        return len(gzip.compress(file.read()))


def files_of(text: str) -> set[str]:
    """Everything the page fetches, and what these fetch in turn."""
    named = set(re.findall(rf'(?:href|src)="/{settings.STATIC_URL}([^"]+)"', text))
    imports = {f"css/{name}" for name in ("base", "drawings", "forms", "pages", "parts", "print", "tokens")}
    scripts = {"js/queue.js", "js/send.js", "js/ahead.js", "js/rest.js", "js/worker.js"}
    return named | {f"{name}.css" for name in imports} | scripts


def test_the_first_session_page_weighs_at_most_100_kilobytes(signed_in, planned):
    text = page(signed_in, planned)
    total = len(gzip.compress(text.encode())) + sum(squeezed(name) for name in files_of(text))
    assert total <= 100 * KIB


def test_every_later_one_weighs_at_most_10_as_it_is_sent(signed_in, planned):
    answer = signed_in.get(f"/sessions/{planned.pk}", headers={"Accept-Encoding": "gzip"})
    assert answer["Content-Encoding"] == "gzip"
    assert len(answer.content) <= 10 * KIB


def test_files_are_asked_for_once_because_their_addresses_change_with_them(client, db):
    text = client.get("/sign-in").content.decode()
    (style,) = re.findall(r'href="([^"]+index\.css)"', text)
    with closing(client.get(style)) as answer:
        assert "immutable" in answer["Cache-Control"]
    assert client.get("/static/css/index.css").status_code == 404


def test_the_manifest_names_icons_that_exist():
    with open(str(finders.find("floorward.webmanifest")), encoding="utf-8") as file:  # noqa: PTH123
        manifest = json.load(file)
    assert all(finders.find(icon["src"]) for icon in manifest["icons"])
