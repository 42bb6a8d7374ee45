"""Opening a gym and changing its protocol."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from floorward.actions.versions import take_changes
from floorward.errors import Refused
from floorward.language import ENGLISH
from floorward.storage.models import Gym, Staff
from floorward.storage.place import atomic
from floorward.tables import value


def usual_emergency_number(country: str) -> str:
    """The number most people of this country would call; each gym checks its own."""
    return str(value("countries", "emergency").get(country, value("countries", "elsewhere")))


def open_gym(
    *,
    name: str,
    country: str,
    emergency_number: str,
    time_zone: str,
    unit: str,
    now: datetime,
    language: str = ENGLISH,
    is_demo: bool = False,
) -> Gym:
    """A new gym with the shipped protocol and no equipment yet."""
    return Gym.objects.create(
        name=name,
        country=country,
        emergency_number=emergency_number or usual_emergency_number(country),
        time_zone=time_zone,
        unit=unit,
        language=language,
        opened_at=now,
        is_demo=is_demo,
    )


def add_staff(gym: Gym, *, name: str, sign_in_name: str, role: str, password: str | None) -> Staff:
    """A person who signs in; without a password nobody can, save by the demo's open door."""
    staff = Staff(gym=gym, name=name, sign_in_name=sign_in_name, role=role)
    if password is None:
        staff.set_unusable_password()
    else:
        staff.set_password(password)
    staff.save()
    return staff


def start_own_gym(*, owner_name: str, sign_in_name: str, password: str, now: datetime, **gym: Any) -> Staff:
    """The first gym of this installation with its owner.

    Raises:
        Refused: `gym-exists` if one was opened meanwhile.
    """
    with atomic():
        if Gym.objects.exists():
            raise Refused("gym-exists")
        opened = open_gym(now=now, **gym)
        return add_staff(
            opened, name=owner_name, sign_in_name=sign_in_name, role=Staff.Role.OWNER, password=password
        )


def change_protocol(gym: Gym, *, seen_version: int, changes: Mapping[str, Any]) -> Gym:
    """New ceilings and steps; the protocol's version counts up and decisions keep the one they were made under.

    Raises:
        Refused: `changed-meanwhile` if a colleague changed it since `seen_version`.
    """
    with atomic():
        row = Gym.objects.select_for_update().get(pk=gym.pk)
        counted = {**changes, "protocol_version": row.protocol_version + 1}
        return take_changes(row, seen_version=seen_version, changes=counted)


def switch_staff(row: Staff, *, by: Staff) -> None:
    """Let a colleague sign in no longer, or again; their name stays beside what they recorded.

    Raises:
        Refused: `own-door` when owners would lock themselves out.
    """
    if row.pk == by.pk:
        raise Refused("own-door")
    row.is_active = not row.is_active
    row.save(update_fields=["is_active"])
