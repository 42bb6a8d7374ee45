"""Random and hostile values into every form and address, as an owner who may do everything: no answer is a crash.

The forms are found by opening every page of a lifter's whole story and reading what stands there, so a new form is found by itself;
the names of every form class are thrown in too. FLOORWARD_FUZZ_CASES=10000 makes the long run.
"""

import os
from itertools import chain
from urllib.parse import quote, urlencode, urlsplit

import pytest
from django.db import transaction
from django.test import Client
from hypothesis import HealthCheck, given, note, settings
from hypothesis import strategies as st

from floorward.actions.access import assign
from floorward.web.forms.asking import AskingForm
from tests.conftest import at
from tests.web.hostile import TEXTS, forms_of
from tests.web.test_access import address_of, numbers, routes  # noqa: F401 - a fixture

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"
CASES = int(os.environ.get("FLOORWARD_FUZZ_CASES", "60"))
LEFT_OUT = {"start-demo", "card-pdf"}  # a whole gym, and half a second of printing, for each case
QUERIES = (
    "q",
    "sheet",
    "episode",
    "before",
    "coach",
    "lane",
    "lift",
    "back",
    "again",
    "next",
    "where",
    "region",
)


def names_of_forms():
    """The names of every form class there is."""
    waiting, found = [AskingForm], set()
    while waiting:
        kind = waiting.pop()
        waiting += kind.__subclasses__()
        found |= set(kind.base_fields)
    return sorted(
        found | {"version", "confirmed", "client_id", "day", "what", "load", "reps", "pain", "lift"}
    )


@pytest.fixture
def world(numbers, owner, coach, lifter):  # noqa: F811
    """The cookie of an owner assigned to the lifter, every address, and every form found on the pages."""
    assign(lifter, [owner, coach], by=owner, now=at("2026-11-30 09:00"))
    client = Client()
    client.force_login(owner, backend=BACKEND)
    addresses = {
        name: address_of(name, parts, numbers) for name, parts in routes().items() if name not in LEFT_OUT
    }
    cookie = client.cookies["sessionid"].value
    forms = {}
    for address in addresses.values():
        with transaction.atomic():
            page = browser(cookie).get(address)
            transaction.set_rollback(True)  # one of them signs out
        if page.status_code == 200 and page["Content-Type"].startswith("text/html"):
            for method, action, names in forms_of(page.content.decode(), address):
                if method == "post":
                    forms.setdefault(urlsplit(action).path or address, {}).update(names)
    known = set(addresses.values())
    return cookie, addresses, {path: names for path, names in forms.items() if path in known or path[1:2]}


def browser(cookie):
    client = Client()
    client.cookies["sessionid"] = cookie
    return client


VALUES = st.one_of(
    st.sampled_from(TEXTS), st.sampled_from(TEXTS), st.text(max_size=60), st.integers().map(str)
)


@st.composite
def asks(draw, addresses, forms):
    """A method, an address and what is sent there."""
    if draw(st.integers(0, 4)) == 0:
        where = draw(st.sampled_from(sorted(addresses.values())))
        typed = draw(st.lists(st.tuples(st.sampled_from(QUERIES), VALUES), max_size=3))
        return "get", where, typed, {}
    on_pages = draw(st.booleans())
    where = draw(st.sampled_from(sorted(forms) if on_pages else sorted(addresses.values())))
    typed = []
    for name, offered in forms.get(where, {}).items():
        if name == "csrfmiddlewaretoken" or draw(st.integers(0, 9)) == 0:
            continue
        honest = draw(st.integers(0, 2)) > 0 and any(offered)
        typed.append((name, draw(st.sampled_from(offered)) if honest else draw(VALUES)))
    typed += draw(st.lists(st.tuples(st.sampled_from(names_of_forms()), VALUES), max_size=4))
    kept = {"X-Kept": "a1" * 10, "X-Held-Ms": draw(VALUES)} if draw(st.integers(0, 9)) == 0 else {}
    headers = {name: value for name, value in kept.items() if value.isascii() and value.isprintable()}
    return "post", where, typed, headers


def test_no_form_and_no_address_crashes_whatever_is_typed(world):
    cookie, addresses, forms = world
    assert len(forms) > 40

    @settings(
        max_examples=CASES,
        database=None,
        derandomize=CASES < 1000,
        suppress_health_check=list(HealthCheck),
    )
    @given(ask=asks(addresses, forms))
    def holds(ask):
        method, where, typed, headers = ask
        body = urlencode(typed, errors="surrogatepass")
        note(f"{method} {where} {body} {headers}")
        with transaction.atomic():
            if method == "get":
                answer = browser(cookie).get(f"{where}?{body}", headers=headers)
            else:
                answer = browser(cookie).post(
                    where, body, content_type="application/x-www-form-urlencoded", headers=headers
                )
            transaction.set_rollback(True)
        assert answer.status_code < 500, (method, where, typed)
        if answer.status_code in {200, 422} and answer["Content-Type"].startswith("text/html"):
            shown = answer.content.decode()
            assert "<script>alert" not in shown
            assert "onerror=alert(1)>" not in shown

    holds()


TOO_LONG = "99999999999999999999"
ODD = (
    "0",
    "00",
    "99999999999999999999",
    "9223372036854775808",
    "-1",
    "1.0",
    "1e3",
    "٣",
    "%00",
    "..%2f..%2fsecret.key",
    "a" * 3000,
)


def test_no_number_in_an_address_crashes_or_opens_anything(world):
    cookie, addresses, _ = world
    opened = []
    for turn, (name, address) in enumerate(sorted(addresses.items())):
        pieces = address.split("/")
        for place in [place for place, piece in enumerate(pieces) if piece.isdecimal()]:
            for method, odd in (("get", ODD[turn % len(ODD)]), ("post", TOO_LONG)):
                asked = "/".join([*pieces[:place], odd if "%" in odd else quote(odd), *pieces[place + 1 :]])
                with transaction.atomic():
                    status = getattr(browser(cookie), method)(asked).status_code
                    transaction.set_rollback(True)
                if status not in {404, 405, 403}:
                    opened.append((method, name, asked[:80], status))
    assert opened == []


@pytest.mark.parametrize(
    "piece",
    [
        "../../secret.key",
        "..%2f..%2fsecret.key",
        "how-to/../../../pyproject",
        "how-to/%00",
        "/etc/passwd",
        "how-to/." * 40,
    ],
)
def test_help_leads_to_nothing_but_help(client, piece):
    for before in ("help/", "help/tables/", "static/", "l/"):
        answer = client.get(f"/{before}{piece}")
        assert answer.status_code in {404, 400, 301, 302}, (before, piece)


def test_every_form_class_is_thrown_in():
    assert set(chain.from_iterable(kind.base_fields for kind in AskingForm.__subclasses__())) <= set(
        names_of_forms()
    )
