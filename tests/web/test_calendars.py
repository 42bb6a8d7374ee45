"""Calendars, read back by an independent reader."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import icalendar
import pytest
from django.test import Client
from hypothesis import given, settings
from hypothesis import strategies as st

from floorward.actions import links
from floorward.actions.calendars import coach_token
from floorward.actions.lifters import withdraw_consent
from floorward.reports.calendar import Entry, calendar
from floorward.reports.wording import sentences, words
from tests.conftest import at
from tests.training import sore_back, trained

HEALTH = (
    "pain", "hurt", "sore", "ache", "injur", "symptom", "screen", "episode", "clinic", "health", "rehab", "numb",
    *words("region").values(), "shoulder", "elbow", "back", "modified", "score",
)  # fmt: skip


@pytest.fixture
def feeds(lifter, coach, clock):
    """The lifter's and the coach's feed, after a sore back and one evening."""
    episode = sore_back(lifter, coach, eases="walking", worsens="sitting")
    trained(episode, "2026-11-25", "95", started=at("2026-11-25 18:30"))
    clock("2026-12-01 12:00")
    link = links.make_link(lifter, at("2026-11-24 09:00"))
    return f"/l/{links.token_of(link)}/calendar.ics", f"/c/{coach_token(coach)}/sessions.ics"


def read(address):
    answer = Client().get(address)
    assert answer.status_code == 200
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    return answer.content, icalendar.Calendar.from_ical(answer.content)


@pytest.mark.django_db
def test_a_lifter_subscribes_to_sessions_and_the_morning_check(feeds):
    _, found = read(feeds[0])
    session, morning = found.events
    assert (session["summary"], session["location"]) == ("Training", "Canal Street Iron")
    assert session.start == datetime(2026, 11, 25, 18, 30, tzinfo=ZoneInfo("Europe/London"))
    assert morning.start == datetime(2026, 11, 24, 7, 0, tzinfo=ZoneInfo("Europe/London"))
    assert morning["dtstart"].params["TZID"] == "Europe/London"
    assert morning["rrule"]["FREQ"] == ["DAILY"]
    assert [zone["tzid"] for zone in found.timezones] == ["Europe/London"]
    assert [alarm["action"] for alarm in morning.walk("VALARM")] == ["DISPLAY"]


@pytest.mark.django_db
def test_a_coach_subscribes_to_their_sessions_by_first_name_and_initial(feeds, owner):
    _, found = read(feeds[1])
    assert [event["summary"] for event in found.events] == ["Training: Abel N."]
    assert not read(f"/c/{coach_token(owner)}/sessions.ics")[1].events


@pytest.mark.django_db
def test_no_calendar_carries_a_word_of_health(feeds):
    for address in feeds:
        said = read(address)[0].decode().lower()
        assert not [word for word in HEALTH if word in said]


def test_the_wording_of_calendars_has_no_word_of_health():
    ours = [text.lower() for code, text in sentences().items() if code.startswith("calendar-")]
    assert len(ours) == 5
    assert not [text for text in ours if any(word in text for word in HEALTH)]


@pytest.mark.django_db
def test_the_same_entry_keeps_its_number_and_no_line_is_too_long(feeds, clock):
    first, found = read(feeds[0])
    clock("2026-12-02 12:00")
    assert read(feeds[0])[0] == first
    ids = [event["uid"] for event in found.events]
    assert len(set(ids)) == 2
    assert all("@" not in one and len(one) == 36 for one in ids)
    assert all(len(line) <= 75 for line in first.split(b"\r\n"))
    assert all({"UID", "DTSTAMP", "DTSTART"} <= set(event) for event in found.events)
    assert {event["class"] for event in found.events} == {"PRIVATE"}


@pytest.mark.django_db
def test_without_a_consent_no_morning_check_is_asked_for(feeds, lifter):
    withdraw_consent(lifter, now=at("2026-11-30 10:00"))
    assert [event["summary"] for event in read(feeds[0])[1].events] == ["Training"]


@pytest.mark.django_db
def test_a_phone_that_asks_by_itself_is_nobody_who_looked(feeds, lifter):
    read(feeds[0])
    assert lifter.links.get().opened_at is None


@pytest.mark.django_db
def test_an_address_ends_with_the_link_the_password_and_the_door(feeds, lifter, coach):
    links.revoke_links(lifter, at("2026-12-01 11:00"))
    assert Client().get(feeds[0]).status_code == 410
    assert Client().get(feeds[1].replace("sessions", "session")).status_code == 404
    assert Client().get(f"/c/{coach_token(coach)[:-1]}x/sessions.ics").status_code == 404
    coach.set_password("another quiet lever")
    coach.save()
    assert Client().get(feeds[1]).status_code == 410
    address = f"/c/{coach_token(coach)}/sessions.ics"
    coach.is_active = False
    coach.save()
    assert Client().get(address).status_code == 410


@settings(max_examples=20)
@given(name=st.text(max_size=200), place=st.text(max_size=120), hours=st.integers(0, 9000))
def test_whatever_a_name_holds_the_calendar_is_read_back_whole(name, place, hours):
    starts = datetime(2026, 1, 1, tzinfo=ZoneInfo("UTC")) + timedelta(hours=hours)
    entry = Entry(key="k", summary=f"Training: {name}", starts=starts, ends=starts, noted=starts, place=place)
    made = calendar(name, ZoneInfo("Europe/Berlin"), [entry])
    (event,) = icalendar.Calendar.from_ical(made).events
    assert event.start == starts
    assert str(event["summary"]) == " ".join(f"Training: {name}".split()) or not name.isprintable()
    assert b"\nBEGIN:VEVENT" in made
    assert made.count(b"BEGIN:VEVENT") == 1
    assert len(made.split(b"\r\nEND:VCALENDAR")) == 2
