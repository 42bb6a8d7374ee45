"""A line of a session set by set: which warm-ups and work sets are done, which are ahead, and the bar of each."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from floorward.actions.rigging import Rig, Stock, handle_rise_mm, loads_of, pulled_from_a_height, rig
from floorward.core.plates import Change, Loading
from floorward.core.records import FULL_HEIGHT_MM
from floorward.core.warm_up import warm_ups
from floorward.reports.drawings.sleeve import plates_on_sleeve
from floorward.reports.drawings.svg import Drawing
from floorward.storage import reads
from floorward.storage.models import DoneSet, Line
from floorward.tables import value
from floorward.units import Unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """One set of a line, done or to do.

    Attributes:
        number, of: its place among the line's warm-ups or work sets.
        done: the set as it was done; None while it is ahead.
        good: whether a done set counts as acceptable.
    """

    kind: str
    number: int
    of: int
    load: Decimal
    unit: str
    reps: int
    done: DoneSet | None = None
    good: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class LineView:
    """A line of the plan with its bar, its warm-ups and how far it is done."""

    line: Line
    rig: Rig
    sleeve: Drawing | None
    slots: tuple[Slot, ...]
    over: bool
    stands_in: bool

    @property
    def warm_ups(self) -> tuple[Slot, ...]:
        """The warm-ups, done and ahead."""
        return tuple(slot for slot in self.slots if slot.kind == DoneSet.Kind.WARM_UP)

    @property
    def done(self) -> int:
        """Work sets done."""
        return sum(slot.done is not None and slot.kind == DoneSet.Kind.WORK for slot in self.slots)

    @property
    def spread(self) -> tuple[DoneSet, ...]:
        """The sets of it, warm-ups too, in which symptoms spread."""
        return tuple(slot.done for slot in self.slots if slot.done is not None and slot.done.spreading)

    @property
    def now(self) -> Slot | None:
        """The first set that is still to be done."""
        return None if self.over else next((slot for slot in self.slots if slot.done is None), None)


def line_view(line: Line, sets: Sequence[DoneSet], stock: Stock, *, work: bool = False) -> LineView:
    """A line with its sets; `work` leaves out the warm-ups that are still ahead."""
    own = [row for row in sets if row.line_id == line.pk]
    worked = [row for row in own if row.kind == DoneSet.Kind.WORK]
    slots = (*_warm_up_slots(line, sets, own, stock, skip=work or bool(worked)), *_work_slots(line, worked))
    ready = rig_of(line, line.load, stock)
    return LineView(
        line=line,
        rig=ready,
        sleeve=sleeve_of(ready, None),
        slots=slots,
        over=line.ended_at is not None or len(worked) >= line.sets,
        stands_in=line.role == Line.Role.FULL_RANGE and _stands_in(line),
    )


def line_minutes(view: LineView) -> float:
    """About how long a line takes: its sets with their rests, a warm-up set half as long, and changing bars and blocks."""
    sets = view.line.sets + len(view.warm_ups) / 2
    return float(sets * value("session", "minutes", "set") + value("session", "minutes", "lift"))


def _warm_up_slots(
    line: Line, sets: Sequence[DoneSet], own: Sequence[DoneSet], stock: Stock, *, skip: bool
) -> list[Slot]:
    done = [row for row in own if row.kind == DoneSet.Kind.WARM_UP]
    others = [
        row.load for row in sets if row.lift == line.lift and row.unit == line.unit and row.line_id != line.pk
    ]
    planned = warm_ups(loads_of(stock, line.bar, line.collar), line.load, max(others, default=Decimal()))
    heaviest = max((row.load for row in done), default=Decimal())
    ahead = [] if skip else [one for one in planned if one.load > heaviest]
    of = len(done) + len(ahead)
    kind = str(DoneSet.Kind.WARM_UP)
    slots = [_done_slot(row, kind, number, of) for number, row in enumerate(done, start=1)]
    return slots + [
        Slot(kind=kind, number=number, of=of, load=one.load, unit=line.unit, reps=one.reps)
        for number, one in enumerate(ahead, start=len(done) + 1)
    ]


def _work_slots(line: Line, worked: Sequence[DoneSet]) -> list[Slot]:
    of = max(line.sets, len(worked))
    kind = str(DoneSet.Kind.WORK)
    slots = [_done_slot(row, kind, number, of) for number, row in enumerate(worked, start=1)]
    return slots + [
        Slot(kind=kind, number=number, of=of, load=line.load.normalize(), unit=line.unit, reps=line.reps)
        for number in range(len(worked) + 1, line.sets + 1)
    ]


def _done_slot(row: DoneSet, kind: str, number: int, of: int) -> Slot:
    good = row.acceptable is not False and not row.spreading
    return Slot(
        kind=kind,
        number=number,
        of=of,
        load=row.load.normalize(),
        unit=row.unit,
        reps=row.reps,
        done=row,
        good=good,
    )


def rig_of(line: Line, load: Decimal, stock: Stock, *, loading: Loading | None = None) -> Rig:
    """The line's bar at `load`, with the plates of `loading` where they are settled already."""
    height_mm = line.height_mm if pulled_from_a_height(line.lift) else 0
    return rig(stock, line.bar, line.collar, load, lift=line.lift, height_mm=height_mm, loading=loading)


def _stands_in(line: Line) -> bool:
    """Whether the line starts higher than the whole lift does."""
    if not line.height_mm or line.bar is None or not pulled_from_a_height(line.lift):
        return False
    full_mm = FULL_HEIGHT_MM + handle_rise_mm(reads.bar(line.bar), line.lift)
    return bool(line.height_mm > full_mm + value("equipment", "full_height_tolerance"))


def sleeve_of(ready: Rig, change: Change | None) -> Drawing | None:
    """One sleeve of it with what goes on and comes off; None where nothing is loaded."""
    if ready.loading is None:
        return None
    bar = ready.loading.plate_set.bar
    on, off = (change.on, change.off) if change else ((), ())
    return plates_on_sleeve(ready.loading.per_side, Unit(bar.mass.unit), on, off, sleeve_mm=bar.sleeve_mm)
