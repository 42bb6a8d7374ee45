"""The gym's iron and wood: adding, changing, removing.

Removing what a plan still needs is refused with the list of plans; done sets keep the name of the bar they were done with, so a
bar that was ever used is only taken out of the choice when nothing refers to it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Model, ProtectedError

from floorward.errors import Refused
from floorward.storage.models import BarRow, BlockRow, BoxRow, CollarRow, Gym, Line, PinsRow, PlateRow
from floorward.storage.place import atomic

KINDS: Mapping[str, type[Model]] = {
    "bars": BarRow,
    "plates": PlateRow,
    "collars": CollarRow,
    "blocks": BlockRow,
    "pins": PinsRow,
    "boxes": BoxRow,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A planned line that needs a piece of equipment."""

    lifter: str
    day: str
    lift: str


def put(gym: Gym, kind: str, values: Mapping[str, Any], row: Any = None) -> Any:
    """Add a piece of equipment, or change `row`."""
    with atomic():
        kept = row or KINDS[kind](gym=gym)
        for name, new in values.items():
            setattr(kept, name, new)
        kept.save()
        return kept


def remove(row: Any) -> None:
    """Take a piece of equipment out of the gym.

    Raises:
        Refused: `equipment-planned` with `plans`, or `equipment-used` when only past sets refer to it.
    """
    plans = plans_with(row)
    if plans:
        raise Refused("equipment-planned", plans=plans)
    try:
        with atomic():
            row.delete()
    except ProtectedError as error:
        raise Refused("equipment-used") from error


def plans_with(row: Any) -> tuple[Plan, ...]:
    """The plans of sessions still open that need this piece."""
    lines = Line.objects.filter(session__ended_at=None, session__lifter__gym=row.gym).select_related(
        "session__lifter", "bar"
    )
    if isinstance(row, BarRow):
        lines = lines.filter(bar=row)
    elif isinstance(row, CollarRow):
        lines = lines.filter(collar=row)
    elif isinstance(row, PlateRow):
        lines = lines.filter(unit=row.unit).exclude(bar=None)
    elif isinstance(row, BlockRow):
        lines = lines.filter(height_mm__gt=225)
    elif isinstance(row, BoxRow):
        lines = lines.filter(box_mm=row.height_mm)
    else:
        lines = lines.none()
    return tuple(
        Plan(lifter=line.session.lifter.name, day=f"{line.session.day:%-d %B}", lift=line.lift)
        for line in lines
        if not isinstance(row, PlateRow) or _needs(line, row)
    )


def _needs(line: Line, plate: PlateRow) -> bool:
    """Whether the line's load cannot be made without this size of plate."""
    from floorward.core.plates import loading_for
    from floorward.storage import reads

    others = [other for other in plate.gym.plates.all() if other.pk != plate.pk]
    assert line.bar is not None  # noqa: S101 - lines without a bar were excluded
    return loading_for(reads.plate_set(line.bar, line.collar, others), line.load) is None
