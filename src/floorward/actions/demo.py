"""The demo gym: invented people, written by the same actions that a coach calls."""

from datetime import datetime

from django.core.management import call_command

from floorward.actions import gyms
from floorward.storage import place
from floorward.storage.models import Staff


def open_demo(now: datetime) -> Staff:
    """The demo's owner; the gym is made first where there is none yet."""
    call_command("migrate", verbosity=0, database=place.current())
    owner = Staff.objects.filter(gym__is_demo=True, role=Staff.Role.OWNER).first()
    return owner or _make(now)


def _make(now: datetime) -> Staff:
    with place.atomic():
        gym = gyms.open_gym(
            name="Under the Viaduct",
            country="GB",
            emergency_number="",
            time_zone="Europe/London",
            unit="kg",
            now=now,
            is_demo=True,
        )
        return gyms.add_staff(
            gym, name="Wren Aldous", sign_in_name="wren", role=Staff.Role.OWNER, password=None
        )
