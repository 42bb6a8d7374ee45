"""The trail of who saw or changed whose health answers: written with the page, read by the owner and by the lifter's coaches."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from floorward.storage.models import AuditEntry, Gym, Lifter, Staff

ONE_LOOK = timedelta(hours=1)  # the same person on the same kind of page within this time has looked once
ONE_GLANCE = timedelta(hours=16)  # a list of many lifters, and a lifter's own link: once a day, more or less
SHOWN = 200
THEMSELVES = 0  # the staff number of a lifter who came by their own link
NOBODY_NOW = 0  # the lifter number of somebody who was erased
LISTS, OWN, ERASED = "lists", "own", "erased"


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """One line of the trail. Names are empty where the person is no longer on record; `own`: it was the lifter, by their link."""

    at: datetime
    who: str
    lifter: str
    kind: str
    changed: bool
    own: bool = False


def note(lifter: Lifter, staff: Staff, *, kind: str, changed: bool, now: datetime) -> None:
    """Add to the trail; a look that repeats one within the hour adds nothing."""
    rows = AuditEntry.objects.filter(lifter_number=lifter.pk, staff_number=staff.pk, kind=kind, changed=False)
    if not changed and rows.filter(at__gt=now - ONE_LOOK, at__lte=now).exists():
        return
    AuditEntry.objects.create(
        gym_number=lifter.gym_id,
        lifter_number=lifter.pk,
        staff_number=staff.pk,
        at=now,
        kind=kind,
        changed=changed,
    )


def note_own(lifter: Lifter, *, changed: bool, now: datetime) -> None:
    """The lifter looked at or sent something by their own link."""
    rows = AuditEntry.objects.filter(
        lifter_number=lifter.pk, staff_number=THEMSELVES, kind=OWN, changed=False
    )
    if changed or not rows.filter(at__gt=now - ONE_GLANCE, at__lte=now).exists():
        _add(lifter.gym_id, (lifter.pk,), THEMSELVES, now=now, kind=OWN, changed=changed)


def note_lists(gym: Gym, lifters: Iterable[int], staff: Staff, now: datetime) -> None:
    """A list showed something of the health of these lifters: a line for each, once a day and viewer."""
    rows = AuditEntry.objects.filter(gym_number=gym.pk, staff_number=staff.pk, kind=LISTS)
    seen = set(rows.filter(at__gt=now - ONE_GLANCE, at__lte=now).values_list("lifter_number", flat=True))
    _add(gym.pk, sorted(set(lifters) - seen), staff.pk, now=now, kind=LISTS)


def note_erasure(gym: Gym, *, by: Staff | None, now: datetime) -> None:
    """Somebody was erased: the day and who did it, not whose rows they were."""
    _add(
        gym.pk,
        (NOBODY_NOW,),
        THEMSELVES if by is None else by.pk,
        now=now,
        kind=ERASED,
        changed=True,
    )


def _add(
    gym: int, lifters: Iterable[int], staff: int, *, now: datetime, kind: str, changed: bool = False
) -> None:
    AuditEntry.objects.bulk_create(
        AuditEntry(
            gym_number=gym, lifter_number=number, staff_number=staff, at=now, kind=kind, changed=changed
        )
        for number in lifters
    )


def trail_of(gym: Gym, lifter: Lifter | None = None) -> tuple[Seen, ...]:
    """The newest lines of the gym, or of one lifter."""
    rows = AuditEntry.objects.filter(gym_number=gym.pk)
    if lifter is not None:
        rows = rows.filter(lifter_number=lifter.pk)
    staff = dict(gym.staff.values_list("pk", "name"))
    lifters = dict(gym.lifters.values_list("pk", "name"))
    return tuple(
        Seen(
            at=row.at,
            who=staff.get(row.staff_number, ""),
            lifter=lifters.get(row.lifter_number, ""),
            kind=row.kind,
            changed=row.changed,
            own=row.staff_number == THEMSELVES,
        )
        for row in rows[:SHOWN]
    )
