"""A calendar that a phone may subscribe to (iCalendar): when, where, and a neutral word. No word of health is in it.

A phone hands its calendar on to whoever keeps it, so an entry tells nothing that a stranger may not read.
Source: rfc-5545.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import NAMESPACE_URL, uuid5
from zoneinfo import ZoneInfo

import icalendar

from floorward.reports.paper import plain_words
from floorward.reports.wording import sentence_for

MEDIA_TYPE = "text/calendar; charset=utf-8"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One entry.

    Attributes:
        key: tells this entry from every other, and never changes.
        summary: what stands in the calendar.
        starts, ends: any zone; shown on the gym's wall clock.
        noted: when it was written down.
        daily: whether it comes back every day.
        rings: whether the phone reminds when it starts.
    """

    key: str
    summary: str
    starts: datetime
    ends: datetime
    noted: datetime
    place: str = ""
    daily: bool = False
    rings: bool = False


def calendar(name: str, zone: ZoneInfo, entries: Iterable[Entry]) -> bytes:
    """The entries as an iCalendar file; the same entries always give the same bytes."""
    made = icalendar.Calendar()
    made.add("prodid", "-//floorward//calendar//EN")
    made.add("version", "2.0")
    made.add("method", "PUBLISH")
    made.add("x-wr-calname", plain_words(name))
    made.add("refresh-interval", timedelta(hours=6), parameters={"value": "DURATION"})
    for entry in entries:
        made.add_component(_event(entry, zone))
    made.add_missing_timezones()
    return bytes(made.to_ical())


def _event(entry: Entry, zone: ZoneInfo) -> icalendar.Event:
    event = icalendar.Event()
    event.add("uid", str(uuid5(NAMESPACE_URL, f"urn:floorward:calendar:{entry.key}")))
    event.add("dtstamp", entry.noted.astimezone(ZoneInfo("UTC")))
    event.add("dtstart", entry.starts.astimezone(zone))
    event.add("dtend", entry.ends.astimezone(zone))
    event.add("summary", plain_words(entry.summary))
    event.add("class", "PRIVATE")
    event.add("transp", "TRANSPARENT" if entry.daily else "OPAQUE")
    if entry.place:
        event.add("location", plain_words(entry.place))
    if entry.daily:
        event.add("rrule", {"freq": "daily"})
    if entry.rings:
        event.add_component(_alarm(entry))
    return event


def _alarm(entry: Entry) -> icalendar.Alarm:
    alarm = icalendar.Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", plain_words(entry.summary))
    alarm.add("trigger", timedelta())
    return alarm


def morning_entry(key: str, first: datetime, noted: datetime) -> Entry:
    """The daily reminder of the morning check, from `first` on."""
    minutes = timedelta(minutes=5)
    words = sentence_for("calendar-morning", {})
    return Entry(
        key=key, summary=words, starts=first, ends=first + minutes, noted=noted, daily=True, rings=True
    )
