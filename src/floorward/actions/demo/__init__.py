"""The demo gym: invented people at every stage, written by the actions that a coach calls, or their neighbours for many at once.

`cast` says who they are and what happens to them; `play` lets it happen; `stage` builds the gym they train in.
"""

from datetime import datetime, timedelta
from pathlib import Path

from django.db import connections

from floorward.actions.access import assign
from floorward.actions.demo.cast import CAST
from floorward.actions.demo.play import live
from floorward.actions.demo.stage import build
from floorward.actions.rigging import stock_read_once
from floorward.storage import migrating, place
from floorward.storage.models import Staff


def open_demo(now: datetime) -> Staff:
    """The demo's owner; the gym and its last six weeks are made first where there is none yet."""
    migrating.bring_up_to_date(place.current())
    return _owner() or _make(now)


def _owner() -> Staff | None:
    return Staff.objects.filter(gym__is_demo=True, role=Staff.Role.OWNER).first()


def _make(now: datetime) -> Staff:
    with place.atomic(), stock_read_once():
        if made_meanwhile := _owner():
            return made_meanwhile
        owner, coaches = build(now - timedelta(days=60))
        for number, character in enumerate(CAST):
            lifter = live(character, coaches[number % 3 == 2], now)
            assign(lifter, coaches, by=owner, now=now)
        return owner


def demo_exists() -> bool:
    """Whether somebody has made a demo gym here; asking makes none."""
    connection = connections[place.DEMO]
    if connection.vendor == "sqlite" and not Path(str(connection.settings_dict["NAME"])).is_file():
        return False
    with place.inside(place.DEMO):
        there = Staff._meta.db_table in connection.introspection.table_names()  # noqa: SLF001 - Django's public way
        return there and Staff.objects.filter(gym__is_demo=True).exists()


def empty_demo() -> None:
    """All of the demo goes, where it does not live in a file of its own."""
    migrating.forget_schema(place.DEMO)
