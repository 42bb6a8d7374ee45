"""What goes on the bar and under it for a load: plates a side, blocks or pins, and where the hands then are.

Where a gym cannot build a height exactly, the nearest is taken and how far off it is gets said.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from decimal import Decimal

from floorward.core.heights import Stand, buildable, stand_for
from floorward.core.lifts import Fixes, catalogue
from floorward.core.plates import Change, Loading, change, loading_for, loads, neighbours
from floorward.core.records import FULL_HEIGHT_MM, Bar, BarKind, Equipment, PlateSet
from floorward.storage import reads
from floorward.storage.models import BarRow, CollarRow, Gym, PlateRow
from floorward.tables import load, value
from floorward.units import plain


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """What a gym owns, read once for a page."""

    equipment: Equipment
    plates: tuple[PlateRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rig:
    """A bar ready for a set.

    Attributes:
        loading: None where there is no bar, or this load cannot be made with what the gym owns now.
        stand: what the plates stand on; None where the lift is not pulled from a height.
        off_mm: the hands above (below: negative) the planned height, where no stand comes near enough.
    """

    loading: Loading | None = None
    stand: Stand | None = None
    off_mm: Decimal = Decimal()

    @property
    def per_side(self) -> tuple[Decimal, ...]:
        """The masses of one side, from the inside out."""
        return tuple(plate.mass.value for plate in self.loading.per_side) if self.loading else ()

    @property
    def side(self) -> str:
        """The masses of one side in a line, as they are kept with a set."""
        return " ".join(plain(mass) for mass in self.per_side)

    @property
    def too_low_mm(self) -> Decimal:
        """How much lower than planned the bar starts, where that is more than a mat makes up; else 0."""
        return -self.off_mm if -self.off_mm > value("session", "lower", "most") else Decimal()

    @property
    def is_bare(self) -> bool:
        """A bar with nothing on it."""
        return self.loading is not None and not self.loading.per_side


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """The loads next to one that cannot be made; None where there is none."""

    below: Decimal | None
    above: Decimal | None


_kept: ContextVar[dict[int, Stock] | None] = ContextVar("stock", default=None)


def stock_of(gym: Gym) -> Stock:
    """The gym's equipment."""
    kept = _kept.get()
    if kept is None:
        return _read(gym)
    return kept[gym.pk] if gym.pk in kept else kept.setdefault(gym.pk, _read(gym))


@contextmanager
def stock_read_once() -> Iterator[None]:
    """Read each gym's equipment once until the block ends; for work in which nobody buys a plate."""
    token = _kept.set({})
    try:
        yield
    finally:
        _kept.reset(token)


def _read(gym: Gym) -> Stock:
    return Stock(equipment=reads.equipment(gym), plates=tuple(gym.plates.all()))


def plate_set_of(stock: Stock, bar: BarRow, collar: CollarRow | None) -> PlateSet:
    """A bar and its collars with the plates of its unit."""
    return reads.plate_set(bar, collar if collar and collar.unit == bar.unit else None, stock.plates)


def loads_of(stock: Stock, bar: BarRow | None, collar: CollarRow | None) -> tuple[Decimal, ...]:
    """Every load this bar can carry, ascending, in its own unit; none without a bar."""
    return loads(plate_set_of(stock, bar, collar)) if bar else ()


def near(stock: Stock, bar: BarRow, collar: CollarRow | None, wanted: Decimal) -> Near | None:
    """What can be loaded next to `wanted`; None where that itself can."""
    found = neighbours(plate_set_of(stock, bar, collar), wanted)
    if found.exact:
        return None
    below, above = (side.total.value if side else None for side in (found.below, found.above))
    return Near(below=below, above=above)


def rig(
    stock: Stock,
    bar: BarRow | None,
    collar: CollarRow | None,
    wanted: Decimal,
    *,
    lift: str,
    height_mm: int,
    loading: Loading | None = None,
) -> Rig:
    """The bar of a set at the load `wanted`, the hands at `height_mm` (0: the lift itself fixes it); `loading` if it is settled."""
    if bar is None:
        return Rig()
    loading = loading or loading_for(plate_set_of(stock, bar, collar), wanted)
    if loading is None or not height_mm:
        return Rig(loading=loading)
    stands = stands_of(stock, reads.bar(bar), lift, loading.largest_diameter_mm)
    tolerance = value("equipment", "full_height_tolerance")
    stand = stand_for(height_mm, stands, tolerance)
    nearest = stand or min(stands, key=lambda one: abs(one.height_mm - height_mm))
    off = Decimal() if stand else nearest.height_mm - height_mm
    return Rig(loading=loading, stand=nearest, off_mm=off)


def stands_of(stock: Stock, bar: Bar, lift: str, plate_diameter_mm: int) -> tuple[Stand, ...]:
    """Every height of the hands that the gym can build for a lift on this bar, ascending."""
    rise_mm = handle_rise_mm(bar, lift)
    return buildable(stock.equipment, plate_diameter_mm, kind=bar.kind, handle_rise_mm=rise_mm)


def handle_rise_mm(bar: Bar, lift: str) -> int:
    """How far this lift's handles are above the sleeves."""
    if bar.kind != BarKind.TRAP:
        return 0
    high = lift in catalogue() and catalogue()[lift].default_height_mm > FULL_HEIGHT_MM
    return max(bar.handle_rise_mm) if high else min(bar.handle_rise_mm)


def pulled_from_a_height(lift: str) -> bool:
    """Whether the bar starts at rest on something that can be raised.

    A lift lowered from standing with near-straight knees does not, nor one where the lifter stands raised instead.
    """
    row = catalogue().get(lift)
    if row is None or row.fixes is not Fixes.HEIGHT or "knee_least_deg" in row.numbers:
        return False
    return row.default_height_mm >= FULL_HEIGHT_MM


def bar_kind(lift: str) -> str | None:
    """The kind of bar that a lift is loaded on; None for dumbbells, machines and the body alone."""
    row = catalogue().get(lift)
    kind = row.implement if row else load("other_lifts").get(lift, {}).get("bar")
    return kind if kind in tuple(BarKind) else None


def usual_bar(gym: Gym, lift: str, unit: str) -> BarRow | None:
    """The gym's first bar for this lift, of the lifter's unit if there is one."""
    kind = bar_kind(lift)
    rows = [row for row in gym.bars.all() if row.kind == kind]
    return next((row for row in rows if row.unit == unit), rows[0] if rows else None)


def change_between(before: Rig | None, after: Rig) -> Change | None:
    """What comes off and goes on a side; None where one of the two carries no plates or another bar is taken."""
    if after.loading is None:
        return None
    same_bar = before and before.loading and before.loading.plate_set.bar == after.loading.plate_set.bar
    return change(before.loading if before and same_bar else None, after.loading)
