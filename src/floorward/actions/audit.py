"""The trail of who saw or changed whose health answers: written with the page, read by the owner and by the lifter's coaches."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from floorward.storage.models import AuditEntry, Gym, Lifter, Staff

ONE_LOOK = timedelta(hours=1)  # the same person on the same kind of page within this time has looked once
SHOWN = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """One line of the trail. Names are empty where the person is no longer on record."""

    at: datetime
    who: str
    lifter: str
    kind: str
    changed: bool


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
        )
        for row in rows[:SHOWN]
    )
