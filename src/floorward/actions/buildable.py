"""Every set-up that a gym can build and mechanics can work out: what there is to compare, and what the way back is made of."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from floorward.actions.rigging import (
    Stock,
    bar_kind,
    handle_rise_mm,
    pulled_from_a_height,
    stands_of,
    usual_bar,
)
from floorward.core.depths import Depth, marked_depths
from floorward.core.heights import Stand, stand_for
from floorward.core.lifts import Fixes, Lift, catalogue
from floorward.core.records import FULL_HEIGHT_MM, STANDARD_PLATE_MM, Bar, BarKind, Person, RackPins, SetUp
from floorward.reports.setup_words import setup_name
from floorward.storage import reads
from floorward.storage.models import BarRow, Lifter
from floorward.tables import value


@dataclass(frozen=True, slots=True, kw_only=True)
class Built:
    """A set-up as this gym builds it.

    Attributes:
        stand: what standard plates stand on; None where the lift fixes its own start.
        rise_mm: how much higher than in full it starts; `handle_mm` the handles above the sleeves.
        safeties: the pins that end a shorter squat, with the bar's height on them.
    """

    setup: SetUp
    bar: BarRow
    stand: Stand | None = None
    rise_mm: int = 0
    handle_mm: int = 0
    safeties: Stand | None = None

    @property
    def key(self) -> str:
        """To choose it by: the lift, and its height or box in millimetres, or its depth."""
        return key_of(self.setup)

    @property
    def is_whole(self) -> bool:
        """Whether it starts no higher, and goes as deep, as the lift does in full; every box counts as its own."""
        return not self.rise_mm and not self.setup.depth_deg

    @property
    def name(self) -> str:
        """What it is called beside others."""
        return setup_name(self.setup, self.rise_mm, from_height=self.stand is not None)

    @property
    def inside(self) -> str:
        """The same inside a sentence."""
        return setup_name(self.setup, self.rise_mm, from_height=self.stand is not None, inside=True)


def key_of(setup: SetUp) -> str:
    """The lift and what is chosen about its start, as one word."""
    depth = f"{setup.depth_deg}deg" if setup.depth_deg else 0
    return f"{setup.lift}:{setup.height_mm or setup.box_mm or depth}"


def all_built(lifter: Lifter, stock: Stock) -> tuple[Built, ...]:
    """Every set-up of the lifts that a posture is known for, on this gym's bars, in the order of the catalogue."""
    found: list[Built] = []
    person = reads.person(lifter)
    for lift in catalogue().values():
        bar = usual_bar(lifter.gym, lift.key, lifter.unit) if bar_kind(lift.key) else None
        if lift.linked and bar is not None:
            found += _of_lift(lift, bar, stock)
            found += _to_pins(lift, bar, stock, person)
    return tuple(found)


def built_at(setup: SetUp, bar: BarRow, stock: Stock) -> Built:
    """One set-up on one bar, where the stand nearest to its height is taken."""
    if not setup.height_mm or not pulled_from_a_height(setup.lift):
        return Built(setup=setup, bar=bar)
    record = reads.bar(bar)
    stands = stands_of(stock, record, setup.lift, STANDARD_PLATE_MM)
    stand = min(stands, key=lambda one: abs(one.height_mm - setup.height_mm))
    handle = handle_rise_mm(record, setup.lift)
    return _raised(setup, bar, stand, handle)


def at_height(lift: Lift, height_mm: int, bar: BarRow, stock: Stock) -> Built:
    """A lift with the hands at any height, whether or not this gym has something that stands so high."""
    record = reads.bar(bar)
    stands = stands_of(stock, record, lift.key, STANDARD_PLATE_MM)
    stand = stand_for(height_mm, stands, int(value("variations", "raised_within")))
    return _raised(SetUp(lift=lift.key, height_mm=height_mm), bar, stand, handle_rise_mm(record, lift.key))


def _of_lift(lift: Lift, bar: BarRow, stock: Stock) -> Iterator[Built]:
    if lift.fixes is Fixes.BOX:
        for box in stock.equipment.boxes:
            yield Built(setup=SetUp(lift=lift.key, box_mm=box.height_mm), bar=bar)
    elif not pulled_from_a_height(lift.key):
        yield Built(setup=SetUp(lift=lift.key), bar=bar)
    else:
        yield from _from_heights(lift, bar, stock)


def _to_pins(lift: Lift, bar: BarRow, stock: Stock, person: Person) -> Iterator[Built]:
    """Shorter squats that end on a rack's pins, the highest first; under as much as they weigh, so that a load moves none."""
    if lift.key not in value("comparison", "shorter"):
        return
    for depth in reversed(_marked(person, lift, stock.equipment.pins)):
        yield Built(setup=SetUp(lift=lift.key, depth_deg=depth.depth_deg), bar=bar, safeties=depth.stand)


@lru_cache(maxsize=512)
def _marked(person: Person, lift: Lift, racks: tuple[RackPins, ...]) -> tuple[Depth, ...]:
    return marked_depths(person, lift, person.mass_kg, racks)


def _from_heights(lift: Lift, bar: BarRow, stock: Stock) -> Iterator[Built]:
    record = reads.bar(bar)
    handle, within = handle_rise_mm(record, lift.key), int(value("variations", "raised_within"))
    stands = stands_of(stock, record, lift.key, STANDARD_PLATE_MM)
    seen: set[int] = set()
    for wanted_mm in _wanted(lift, record, handle):
        stand = stand_for(wanted_mm, stands, within)
        if stand is not None and int(stand.height_mm) not in seen:
            seen.add(int(stand.height_mm))
            yield _raised(SetUp(lift=lift.key, height_mm=int(stand.height_mm)), bar, stand, handle)


def _wanted(lift: Lift, bar: Bar, handle_mm: int) -> Iterator[int]:
    """Where the hands may start: in full and raised step by step; a lift named for its height starts there only."""
    usual_mm, full_mm = int(lift.default_height_mm), FULL_HEIGHT_MM + handle_mm
    if bar.kind == BarKind.TRAP and handle_mm < (usual_mm - FULL_HEIGHT_MM) / 2:
        return  # this bar has no handles of that kind
    if bar.kind != BarKind.TRAP and usual_mm != FULL_HEIGHT_MM:
        yield usual_mm
        return
    heights = value("comparison", "heights")
    yield from range(full_mm, full_mm + heights["most"] + 1, heights["step"])


def _raised(setup: SetUp, bar: BarRow, stand: Stand | None, handle_mm: int) -> Built:
    """With what counts as full height taken for full."""
    over = setup.height_mm - FULL_HEIGHT_MM - handle_mm
    rise = over if over > int(value("variations", "raised_within")) else 0
    return Built(setup=setup, bar=bar, stand=stand, rise_mm=rise, handle_mm=handle_mm)
