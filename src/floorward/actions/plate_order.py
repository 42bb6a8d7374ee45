"""What to put on and take off through a whole session, so that as few plates as possible are carried.

The order runs through every set, those done already among them, so that plan, card and the page between sets say the same.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import groupby

from floorward.actions.line_sets import LineView, Slot, rig_of, sleeve_of
from floorward.actions.rigging import Rig, Stock, loads_of, plate_set_of, pulled_from_a_height
from floorward.core.findings import Finding
from floorward.core.heights import is_full_height
from floorward.core.loading_order import (
    LoadingOrder,
    LoadingStep,
    loading_order,
    remarks,
    someone_else_loads,
)
from floorward.core.plates import Loading, change, loading_of
from floorward.core.records import PlateSet
from floorward.language import number
from floorward.storage.models import BarRow, DoneSet
from floorward.units import plain

SlotKey = tuple[int, str, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Handling:
    """One change of plates, alike on each side, and the load it makes.

    Attributes:
        on, off: masses of one side.
        carried: those of them that someone else should lift while the low back is sore.
        rig: the bar as it stands then, with what is under it.
        moved: whether anything is put on or taken off.
        low: whether no plate is of full height, so that the bar must be kept at its height by what is under it.
    """

    line_id: int
    lift: str
    slot: Slot
    rig: Rig
    on: tuple[Decimal, ...]
    off: tuple[Decimal, ...]
    carried: tuple[Decimal, ...]
    moved: bool
    low: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BarOrder:
    """All sets on one bar, for lines that follow one another on it."""

    bar: BarRow
    sets: tuple[Handling, ...]
    remarks: tuple[Finding, ...]

    @property
    def steps(self) -> tuple[Handling, ...]:
        """The changes of plates that are still to be made."""
        return tuple(one for one in self.sets if one.moved and one.slot.done is None)


def slot_key(view: LineView, slot: Slot) -> SlotKey:
    """A set among all of a session."""
    return view.line.pk, slot.kind, slot.number


def in_turn(views: Iterable[LineView]) -> list[tuple[LineView, Slot]]:
    """The sets of `views`: those done by the clock, then those ahead in the order of the views; none ahead of a line that is over."""
    views = list(views)
    done = [(view, slot, slot.done) for view in views for slot in view.slots if slot.done is not None]
    ahead = [(view, slot) for view in views if not view.over for slot in view.slots if slot.done is None]
    by_clock = sorted(done, key=lambda one: (one[2].at, one[2].pk))
    return [*((view, slot) for view, slot, _ in by_clock), *ahead]


def plate_order(views: Iterable[LineView], stock: Stock, region: str | None) -> tuple[BarOrder, ...]:
    """The plates of every set, bar by bar; orders with nothing left to do are left out."""
    return tuple(
        order for order in _orders(views, stock, region) if any(not one.slot.done for one in order.sets)
    )


def rigs_of(views: Iterable[LineView], stock: Stock) -> Mapping[SlotKey, Rig]:
    """The bar of every set as the order has it."""
    return {
        (one.line_id, one.slot.kind, one.slot.number): one.rig
        for order in _orders(views, stock, None)
        for one in order.sets
    }


def as_ordered(views: Sequence[LineView], stock: Stock) -> tuple[LineView, ...]:
    """The lines with the plates that their work sets have in the order."""
    rigs = rigs_of(views, stock)
    return tuple(_with_rig(view, rigs) for view in views)


def _with_rig(view: LineView, rigs: Mapping[SlotKey, Rig]) -> LineView:
    works = [rigs.get(slot_key(view, slot)) for slot in view.slots if slot.kind == DoneSet.Kind.WORK]
    planned = [
        rig
        for rig in works
        if rig
        and rig.loading
        and rig.loading.total.value == view.line.load
        and rig.loading != view.rig.loading
    ]
    return replace(view, rig=planned[0], sleeve=sleeve_of(planned[0], None)) if planned else view


def _orders(views: Iterable[LineView], stock: Stock, region: str | None) -> Iterator[BarOrder]:
    """One order for sets that follow one another on a bar; what is on it from before stays on."""
    left_on: dict[int, Loading] = {}
    turns = [(view, slot) for view, slot in in_turn(views) if _is_loaded(view, slot, stock)]
    for (bar_id, _), group in groupby(turns, key=lambda one: (one[0].line.bar_id, one[0].line.collar_id)):
        order = _of_bar(list(group), stock, region, left_on.get(bar_id or 0))
        if order is not None:
            last = order.sets[-1].rig.loading
            left_on = {order.bar.pk: last} if last else {}
            yield order


def _is_loaded(view: LineView, slot: Slot, stock: Stock) -> bool:
    line = view.line
    done_elsewhere = slot.done is not None and slot.done.bar_id != line.bar_id
    makeable = line.bar is not None and slot.unit == line.bar.unit
    return makeable and not done_elsewhere and slot.load in loads_of(stock, line.bar, line.collar)


def _of_bar(
    turns: Sequence[tuple[LineView, Slot]], stock: Stock, region: str | None, before: Loading | None
) -> BarOrder | None:
    line = turns[0][0].line
    if line.bar is None:
        return None
    plate_set = plate_set_of(stock, line.bar, line.collar)
    keep_height = any(pulled_from_a_height(view.line.lift) for view, _ in turns)
    done = [(slot.load, slot.done) for _, slot in turns if slot.done is not None]  # they come first
    steps = tuple(_stood(plate_set, done, before, keep_height=keep_height))
    ahead = loading_order(
        plate_set,
        [slot.load for _, slot in turns[len(steps) :]],
        start=steps[-1].loading if steps else before,
        keep_height=keep_height,
    )
    found = LoadingOrder(steps=steps + ahead.steps)
    sets = tuple(_sets(turns, found.steps, region, stock, fresh=before is None))
    return BarOrder(bar=line.bar, sets=sets, remarks=(*remarks(found, region), *_on_small_plates(sets)))


def _stood(
    plate_set: PlateSet, done: Sequence[tuple[Decimal, DoneSet]], before: Loading | None, *, keep_height: bool
) -> Iterator[LoadingStep]:
    """How the bar stood at the sets that are done: as the page told it, however the plan was changed since.

    Where no page told it, with the fewest moves from the set before.
    """
    for load, row in done:
        after = loading_of(plate_set, map(Decimal, row.side.split()))
        if after is None or after.total.value != load:
            after = loading_order(plate_set, [load], start=before, keep_height=keep_height).steps[0].loading
        yield LoadingStep(loading=after, change=change(before, after))
        before = after


def _on_small_plates(sets: Sequence[Handling]) -> Iterator[Finding]:
    """Which loads have no plate of full height, so that the bar must be kept at its height by what is under it."""
    small = {one.slot.load: one.rig.off_mm for one in sets if one.low and one.slot.done is None}
    if small:
        unit = next(one.slot.unit for one in sets)
        loads = ", ".join(number(plain(load)) for load in sorted(small))
        code = "small-plates-low" if any(off < 0 for off in small.values()) else "small-plates-raised"
        yield Finding(code=code, numbers={"loads": loads, "unit": unit})


def _sets(
    turns: Sequence[tuple[LineView, Slot]],
    steps: Sequence[LoadingStep],
    region: str | None,
    stock: Stock,
    *,
    fresh: bool,
) -> Iterator[Handling]:
    for place, ((view, slot), step) in enumerate(zip(turns, steps, strict=True)):
        rig = rig_of(view.line, slot.load, stock, loading=step.loading)
        yield Handling(
            line_id=view.line.pk,
            lift=view.line.lift,
            slot=slot,
            rig=rig,
            on=tuple(plate.mass.value for plate in step.change.on),
            off=tuple(plate.mass.value for plate in step.change.off),
            carried=tuple(plate.mass.value for plate in someone_else_loads(step.change, region)),
            moved=bool(step.change.on or step.change.off) or (fresh and not place),
            low=rig.stand is not None and not is_full_height(step.loading.largest_diameter_mm),
        )
