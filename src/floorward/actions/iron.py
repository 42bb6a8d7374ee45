"""The gym's iron and wood: adding, changing, removing.

Removing what a plan still needs is refused with the list of plans; done sets keep the name of the bar they were done with, so a
bar that was ever used is only taken out of the choice when nothing refers to it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Model, ProtectedError

from floorward.actions.versions import take_changes
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


def add(gym: Gym, kind: str, values: Mapping[str, Any]) -> Any:
    """A new piece of equipment of the `kind` whose columns are `values`."""
    return KINDS[kind]._default_manager.create(gym=gym, **values)  # noqa: SLF001 - Django's public way to a model's rows


def change(row: Any, *, seen_version: int, changes: Mapping[str, Any]) -> Any:
    """The piece with `changes`.

    Raises:
        Refused: `changed-meanwhile` if a colleague changed it since `seen_version`.
    """
    with atomic():
        kept = type(row)._default_manager.select_for_update().get(pk=row.pk)  # noqa: SLF001 - as above
        return take_changes(kept, seen_version=seen_version, changes=changes)


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
