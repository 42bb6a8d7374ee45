"""What a lift can reach in this gym: the loads its bar can carry and the heights that can be built under it."""

from dataclasses import dataclass
from decimal import Decimal

from floorward.actions.rigging import Rig, Stock, handle_rise_mm, loads_of, rig, stands_of
from floorward.core.loadable import at_or_under
from floorward.core.raised_start import raised_heights_mm
from floorward.core.records import FULL_HEIGHT_MM
from floorward.storage import reads
from floorward.storage.models import CollarRow, DoneSet
from floorward.tables import value
from floorward.units import Unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """Loads ascending, in the unit of the set they start from; heights of the hands ascending, empty where the lift fixes its own."""

    loads: tuple[Decimal, ...]
    heights_mm: tuple[int, ...]
    full_mm: int


def reach_of(pattern: DoneSet, stock: Stock) -> Reach:
    """What can be done with the bar and collars of a set."""
    bar, collar = pattern.bar, collar_of(pattern)
    loads = loads_of(stock, bar, collar) or _coarse(pattern.load.normalize(), Unit(pattern.unit))
    return Reach(loads=loads, heights_mm=_heights(pattern, stock, loads), full_mm=full_mm(pattern))


def full_mm(pattern: DoneSet) -> int:
    """Where the hands are when this lift is done in full; 0 where the lift fixes its own start."""
    if not pattern.height_mm or pattern.bar is None:
        return pattern.height_mm
    return FULL_HEIGHT_MM + handle_rise_mm(reads.bar(pattern.bar), pattern.lift)


def snapped_mm(pattern: DoneSet) -> int:
    """The height of a set, with what a lifter would not tell from full height, and all below it, counted as full."""
    full = full_mm(pattern)
    return full if pattern.height_mm <= full + value("ladder", "height", "resolution") else pattern.height_mm


def collar_of(pattern: DoneSet) -> CollarRow | None:
    """The collars of the line that a set was done on."""
    return pattern.line.collar if pattern.line else None


def rig_at(pattern: DoneSet, stock: Stock, load: Decimal, height_mm: int) -> Rig:
    """The bar of `pattern` at another load and height."""
    return rig(stock, pattern.bar, collar_of(pattern), load, lift=pattern.lift, height_mm=height_mm)


def _heights(pattern: DoneSet, stock: Stock, loads: tuple[Decimal, ...]) -> tuple[int, ...]:
    """Full height where it can be built, and what is above it up to the knee, under the plates of this load."""
    load = at_or_under(loads, pattern.load)
    if not pattern.height_mm or pattern.bar is None or load is None:
        return ()
    ready = rig_at(pattern, stock, load, 0)
    if ready.loading is None:
        return ()
    full, near = full_mm(pattern), value("ladder", "height", "resolution")
    stands = stands_of(stock, reads.bar(pattern.bar), pattern.lift, ready.loading.largest_diameter_mm)
    raised = raised_heights_mm(reads.person(pattern.session.lifter), stands, full + near)
    floor = (full,) if any(abs(stand.height_mm - full) <= near for stand in stands) else ()
    return floor + raised


def _coarse(load: Decimal, unit: Unit) -> tuple[Decimal, ...]:
    """Loads of what carries no plates: every step up to twice the load, and the load itself."""
    step = Decimal(str(value("decisions", "coarse_step", unit)))
    steps = int(2 * load / step) + 2
    return tuple(sorted({load, *(step * n for n in range(1, steps))}))
