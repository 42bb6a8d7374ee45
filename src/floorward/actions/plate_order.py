"""What to put on and take off through a whole session, so that as few plates as possible are carried."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby

from floorward.actions.line_sets import LineView, Slot
from floorward.actions.rigging import Stock, loads_of, plate_set_of, pulled_from_a_height
from floorward.core.findings import Finding
from floorward.core.loading_order import LoadingStep, loading_order, remarks, someone_else_loads
from floorward.core.records import Region
from floorward.storage.models import BarRow


@dataclass(frozen=True, slots=True, kw_only=True)
class Handling:
    """One change of plates, alike on each side, and the load it makes.

    Attributes:
        on, off: masses of one side.
        carried: those of them that someone else should lift while the low back is sore.
    """

    lift: str
    slot: Slot
    on: tuple[Decimal, ...]
    off: tuple[Decimal, ...]
    carried: tuple[Decimal, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BarOrder:
    """All changes on one bar, for lines that follow one another on it."""

    bar: BarRow
    steps: tuple[Handling, ...]
    remarks: tuple[Finding, ...]


def plate_order(views: Sequence[LineView], stock: Stock, region: Region | None) -> tuple[BarOrder, ...]:
    """The changes of plates of the sets that are still to be done, bar by bar."""
    loaded = [view for view in views if view.rig.loading is not None and not view.over]
    groups = groupby(loaded, key=lambda view: (view.line.bar_id, view.line.collar_id))
    return tuple(order for _, group in groups if (order := _of_bar(list(group), stock, region)))


def _of_bar(views: list[LineView], stock: Stock, region: Region | None) -> BarOrder | None:
    line = views[0].line
    if line.bar is None:
        return None
    makeable = set(loads_of(stock, line.bar, line.collar))
    ahead = [
        (view.line.lift, slot)
        for view in views
        for slot in view.slots
        if slot.done is None and slot.load in makeable
    ]
    if not ahead:
        return None
    found = loading_order(
        plate_set_of(stock, line.bar, line.collar),
        [slot.load for _, slot in ahead],
        keep_height=any(pulled_from_a_height(view.line.lift) for view in views),
    )
    steps = tuple(_changes(ahead, found.steps, region))
    return BarOrder(bar=line.bar, steps=steps, remarks=remarks(found, region))


def _changes(
    ahead: Sequence[tuple[str, Slot]], steps: Sequence[LoadingStep], region: Region | None
) -> Iterator[Handling]:
    for place, ((lift, slot), step) in enumerate(zip(ahead, steps, strict=True)):
        if place and not step.change.on and not step.change.off:
            continue
        yield Handling(
            lift=lift,
            slot=slot,
            on=tuple(plate.mass.value for plate in step.change.on),
            off=tuple(plate.mass.value for plate in step.change.off),
            carried=tuple(plate.mass.value for plate in someone_else_loads(step, region)),
        )
