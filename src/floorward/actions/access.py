"""Whose health answers a member of staff sees: those of the lifters they are assigned to, and nobody else's.

Health answers are pain scores, answers to the screen, what an episode tells, and mornings. Everybody else who works in the gym
sees that training is modified, and what the floor needs: loads, plates, where to stop.
"""

from collections.abc import Collection
from datetime import datetime

from floorward.errors import Refused
from floorward.storage.models import Assignment, Gym, Lifter, Staff
from floorward.storage.place import atomic


def seen_by(staff: Staff) -> frozenset[int]:
    """The numbers of the lifters whose health answers this person sees. An assistant sees nobody's."""
    if not staff.may_coach:
        return frozenset()
    rows = Assignment.objects.filter(staff=staff, lifter__gym=staff.gym_id)
    return frozenset(rows.values_list("lifter_id", flat=True))


def assign(lifter: Lifter, coaches: Collection[Staff], *, by: Staff | None, now: datetime) -> None:
    """These coaches and no others see the lifter's health answers from now on.

    Raises:
        Refused: `not-a-coach` if one of them is an assistant or works elsewhere.
    """
    if any(not one.may_coach or one.gym_id != lifter.gym_id for one in coaches):
        raise Refused("not-a-coach")
    with atomic():
        lifter.assignments.exclude(staff__in=coaches).delete()
        for one in coaches:
            Assignment.objects.get_or_create(lifter=lifter, staff=one, defaults={"since": now, "by": by})


def coaches_of(lifter: Lifter) -> tuple[Staff, ...]:
    """Who sees the health answers of this lifter."""
    return tuple(Staff.objects.filter(assignments__lifter=lifter, is_active=True).order_by("name"))


def may_be_assigned(gym: Gym) -> tuple[Staff, ...]:
    """Everybody who coaches here."""
    return tuple(row for row in gym.staff.filter(is_active=True).order_by("name") if row.may_coach)
