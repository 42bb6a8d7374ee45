"""Signing in, and what ends it: wrong passwords that are counted, a new password, another role, leaving the gym."""

from datetime import datetime

from django.contrib.auth import authenticate

from floorward.actions import knocks, links, second_keys
from floorward.errors import Refused
from floorward.storage.models import Assignment, Lifter, Staff
from floorward.storage.place import atomic


def knock_with(name: str, password: str, *, address: str, device: str, now: datetime) -> Staff | None:
    """The person whose name and password these are; None if they do not belong together.

    A device that has signed in with this name before is counted by itself, so that strangers who try the name elsewhere do not keep
    its owner out.

    Args:
        name: the name to sign in with, as typed.
        password: as typed.
        address: where the request came from.
        device: what a device carries that has signed in with this name; "" for others.
        now: the moment.

    Raises:
        Refused: `knocked-too-often`, with the minutes to wait.
    """
    folded = name.strip().casefold()
    here = {"device": f"{folded}\0{device}"} if device else {"here": f"{folded}\0{address}"}
    wider = {} if device else {"address": address, "account": folded}
    tried = knocks.knock({**here, **wider}, now)
    staff = authenticate(username=name.strip(), password=password)
    if not isinstance(staff, Staff):
        return None
    knocks.opened(tried)
    knocks.forget(here)
    return staff


def knock_with_code(staff: Staff, code: str, now: datetime) -> bool:
    """Whether the second key opens.

    Raises:
        Refused: `knocked-too-often`, with the minutes to wait.
    """
    tried = knocks.knock({"code": str(staff.pk)}, now)
    if not second_keys.opens(staff, code, now):
        return False
    knocks.opened(tried)
    return True


def change_password(staff: Staff, password: str) -> None:
    """A new password; every session of this person ends."""
    staff.set_password(password)
    staff.save(update_fields=["password"])


def change_speech(staff: Staff, *, language: str, unit: str, of_gym: str = "") -> None:
    """The language and the unit that pages take for this person; empty: the browser's, the gym's.

    Args:
        staff: who.
        language: its code.
        unit: kg or lb.
        of_gym: the language that the gym takes from now on; empty: as it was.
    """
    with atomic():
        staff.language, staff.unit = language, unit
        staff.save(update_fields=["language", "unit"])
        if of_gym and staff.is_owner:
            staff.gym.language = of_gym
            staff.gym.save(update_fields=["language"])


def change_person(
    row: Staff, *, name: str, role: str, password: str, drop_second_key: bool, by: Staff
) -> None:
    """Change a colleague. With another role or a password every session of theirs ends; an assistant is assigned to nobody.

    Raises:
        Refused: `own-role` if owners would change their own role.
    """
    if row.pk == by.pk and role != row.role:
        raise Refused("own-role")
    with atomic():
        row.name, row.role = name, role
        if password:
            row.set_password(password)
        row.save(update_fields=["name", "role", "password"])
        if not row.may_coach:
            row.assignments.all().delete()
        if drop_second_key:
            second_keys.remove(row)


def leave(row: Staff, *, take_links_back: bool, by: Staff, now: datetime) -> None:
    """A colleague has left: signed out at once and for good, assigned to nobody. Their name stays beside what they recorded.

    Args:
        row: who left.
        take_links_back: whether the links of the lifters they were assigned to stop opening, because they may know them.
        by: the owner who says so.
        now: the moment.

    Raises:
        Refused: `own-door` when owners would lock themselves out.
    """
    if row.pk == by.pk:
        raise Refused("own-door")
    with atomic():
        if take_links_back:
            for lifter in Lifter.objects.filter(assignments__staff=row):
                links.revoke_links(lifter, now)
        Assignment.objects.filter(staff=row).delete()
        Lifter.objects.filter(coach=row).update(coach=None)
        second_keys.remove(row)
        row.set_unusable_password()
        row.is_active = False
        row.save(update_fields=["password", "is_active"])


def number_of(name: str) -> int | None:
    """The number of whoever signs in with `name`; None if nobody does."""
    return (
        Staff.objects.filter(sign_in_name__iexact=name.strip(), is_active=True)
        .values_list("pk", flat=True)
        .first()
    )
