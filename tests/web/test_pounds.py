"""A day in pounds and inches: a lifter who thinks in them, a coach who does, and iron that keeps the unit stamped on it."""

import re

import pytest
from django.utils.html import strip_tags

from floorward.actions.links import make_link, token_of
from floorward.actions.sessions import session_today
from floorward.language import speaking
from floorward.reports.drawings.loads import load_words
from floorward.reports.wording import sentence_for
from floorward.units import Unit
from floorward.web.forms.asking import LengthField
from tests.conftest import at
from tests.web.evening import begin, log, screened
from tests.web.test_sessions import work

pytestmark = pytest.mark.django_db

SAYS_METRIC = re.compile(r"\d ?(?:kg|cm)\b")
# the block's own name, as the gym wrote it down
NAMES = re.compile(r"\d+ cm (?:block|mat)s?")


@pytest.fixture
def pounds(coach, lifter):
    """Abel and his coach think in pounds."""
    for one in (coach, lifter):
        one.unit = "lb"
        one.save()
    return lifter


@pytest.fixture
def found(signed_in, pounds):
    """235 lb accepted on the pound bar."""
    episode = screened(signed_in, pounds, load="440", usual_load="440")
    search = begin(signed_in, episode)
    for load, pain, ok in (("395", 6, "no"), ("45", 0, "yes"), ("135", 1, "yes"), ("235", 2, "yes")):
        log(signed_in, search, load, pain, ok)
    return episode


def read(client, address):
    """What a page says to whoever reads it, without scripts and what is typed into fields."""
    answer = client.get(address, follow=True)
    assert answer.status_code == 200, address
    text = re.sub(r"<(script|template|style).*?</\1>", " ", answer.content.decode(), flags=re.DOTALL)
    return NAMES.sub("", re.sub(r"\s+", " ", strip_tags(text[text.index("<main") :])))


def test_every_page_of_a_session_day_is_read_in_pounds_and_inches(signed_in, client, pounds, found):
    signed_in.post(f"/lifters/{pounds.pk}/session")
    session = session_today(pounds, at("2026-11-23 18:30"))
    assert "lb" in read(signed_in, f"/sessions/{session.pk}")
    work(signed_in, session, 2)
    token = token_of(make_link(pounds, at("2026-11-23 18:00")))
    pages = [
        "/today",
        f"/sessions/{session.pk}",
        f"/sessions/{session.pk}/plan",
        f"/sessions/{session.pk}/card",
        *(
            f"/lifters/{pounds.pk}{part}"
            for part in ("", "/progress", "/variations", "/way-back", "/compare", "/map", "/start")
        ),
        f"/l/{token}/",
    ]
    metric = {address: SAYS_METRIC.findall(read(signed_in, address)) for address in pages}
    assert {address: said for address, said in metric.items() if said} == {}


def test_plates_keep_the_unit_stamped_on_them(signed_in, coach, lifter):
    coach.unit = "lb"
    coach.save()
    episode = screened(signed_in, lifter)
    search = begin(signed_in, episode)
    log(signed_in, search, "70", 1)
    signed_in.post(f"/lifters/{lifter.pk}/session")
    session = session_today(lifter, at("2026-11-23 18:30"))
    said = read(signed_in, f"/sessions/{session.pk}")
    assert "20 kg" in said  # the bar


def test_a_length_in_a_sentence_is_read_in_the_unit_that_is_thought_in():
    numbers = {"lift": "Deadlift", "cm": 10}
    with speaking("en", "lb"):
        assert sentence_for("setup-raised", numbers) == "Deadlift, +3.9 in"
        assert sentence_for("card-on-blocks", {"blocks": "10", "height": "32.5"}) == (
            "on 3.9 in of blocks, bar at 12.8 in"
        )
    with speaking("es", "lb"):
        assert "3,9 in" in sentence_for("setup-raised", numbers)
    with speaking("en", "kg"):
        assert sentence_for("setup-raised", numbers) == "Deadlift, +10 cm"


@pytest.mark.parametrize(
    ("load", "unit", "said"),
    [
        (45.36, Unit.KG, "100"),  # a set of 100 lb
        (36.29, Unit.KG, "80"),
        (61.5, Unit.KG, "136"),  # 135.6 lb
        (102.5, Unit.KG, "226"),
        (80.3, Unit.KG, "177"),
    ],
)
def test_a_load_of_a_drawing_is_rounded_once_and_in_the_unit_that_is_read(load, unit, said):
    with speaking("en", "lb"):
        assert load_words(load, unit) == said


def test_the_line_of_a_search_is_round_in_pounds(signed_in, coach, lifter):
    coach.unit = "lb"
    coach.save()
    search = begin(signed_in, screened(signed_in, lifter))
    log(signed_in, search, "70", 1)
    text = signed_in.get(f"/searches/{search.pk}").content.decode()
    line = next(svg for svg in re.findall(r"<svg.*?</svg>", text, flags=re.DOTALL) if "next test" in svg)
    ticks = [int(tick) for tick in re.findall(r">(\d{2,3})</text>", line)]
    assert max(ticks) >= 440  # 200 kg hurt
    assert "154 lb" in line


def test_drawings_are_read_in_pounds_and_inches_also_where_the_iron_is_in_kilograms(signed_in, coach, lifter):
    coach.unit = "lb"
    coach.save()
    search = begin(signed_in, screened(signed_in, lifter))
    log(signed_in, search, "70", 1)
    for page in ("map", "start", "compare", "progress", "way-back"):
        text = signed_in.get(f"/lifters/{lifter.pk}/{page}").content.decode()
        drawn = re.findall(r"<svg.*?</svg>", text, flags=re.DOTALL)
        said = [
            *re.findall(r"<text[^>]*>(.*?)</text>", "".join(drawn)),
            *re.findall(r'aria-label="(.*?)"', "".join(drawn)),
        ]
        assert [words for words in said if SAYS_METRIC.search(words)] == [], page
        heading = re.search(r"<h1.*?</h1>", text, flags=re.DOTALL)
        assert SAYS_METRIC.search(heading[0]) is None, page
    text = signed_in.get(f"/lifters/{lifter.pk}/map").content.decode()
    assert ">0 lb<" in text
    assert re.findall(r">(\+\d+)<", text)[:2] == ["+4", "+8"]
    assert ">in<" in text


def test_a_length_out_of_bounds_is_said_in_inches():
    with speaking("en", "lb"), pytest.raises(Exception, match=r"from 39\.4 to 98\.4 in"):
        LengthField(least_m=1.0, most_m=2.5).clean("12 in")
