"""How high the bar stands: on its plates, on blocks or mats under them, on the pins of a rack.

A height is where the hands grip, above the platform: the bar's centre, or the handles of a trap bar above it. The bar rests on
its widest plates, so only these count. Lengths are exact millimetres, as measured in the gym.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from floorward import tables
from floorward.core.plates import Loading
from floorward.core.records import FULL_HEIGHT_MM, Bar, BarKind, Block, Equipment, RackPins

# Blocks under each side, the thickest first, each with how many of it.
Stack = tuple[tuple[Block, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """Something to start a pull from. Neither blocks nor pins: the floor.

    Attributes:
        height_mm: the hands above the platform.
        blocks: under the plates of each side.
        pins: the rack whose pins carry the bar, in `hole` counted from 1.
    """

    height_mm: Decimal
    blocks: Stack = ()
    pins: RackPins | None = None
    hole: int = 0

    @property
    def pieces(self) -> int:
        """How many blocks a side, or one set of pins: what has to be fetched."""
        return sum(count for _, count in self.blocks) + (self.pins is not None)


def axis_mm(plate_diameter_mm: int) -> Decimal:
    """The bar's centre over whatever the widest plate stands on; with no plate (0) the bar lies on its sleeves."""
    return Decimal(plate_diameter_mm or tables.value("equipment", "sleeve_diameter")) / 2


def is_full_height(plate_diameter_mm: int) -> bool:
    """Whether a plate puts a straight bar at full height, within the tolerance that counts as such."""
    off_mm = abs(axis_mm(plate_diameter_mm) - FULL_HEIGHT_MM)
    return bool(off_mm <= tables.value("equipment", "full_height_tolerance"))


def bar_height_mm(loading: Loading, blocks_under: Iterable[Block] = ()) -> Decimal:
    """The bar's centre above the platform with `blocks_under` each side, the same block named as often as it is used."""
    return axis_mm(loading.largest_diameter_mm) + sum(
        (block.thickness_mm for block in blocks_under), Decimal()
    )


def handle_heights_mm(bar: Bar, bar_height_mm: Decimal) -> tuple[Decimal, ...]:
    """The hands above the platform at each pair of handles; a straight bar has one."""
    return tuple(bar_height_mm + rise_mm for rise_mm in bar.handle_rise_mm)


def blocks_needed_mm(target_mm: Decimal, plate_diameter_mm: int, handle_rise_mm: int = 0) -> Decimal:
    """How thick blocks must be for the hands to start at `target_mm`; negative if the plates alone stand higher."""
    return target_mm - handle_rise_mm - axis_mm(plate_diameter_mm)


def buildable(
    equipment: Equipment,
    plate_diameter_mm: int,
    *,
    kind: BarKind = BarKind.STRAIGHT,
    handle_rise_mm: int = 0,
) -> tuple[Stand, ...]:
    """Every height that the gym can build under these plates, ascending, each once and with the fewest pieces.

    A trap bar is not set on rack pins. Pins below the plates' radius carry nothing: the plates touch the floor first.
    """
    axis = axis_mm(plate_diameter_mm)
    stands = [Stand(height_mm=axis + mm, blocks=stack) for mm, stack in _stacks(equipment.blocks).items()]
    if kind != BarKind.TRAP:
        stands += (stand for stand in on_pins(equipment.pins) if stand.height_mm > axis)
    fewest: dict[Decimal, Stand] = {}
    for stand in sorted(stands, key=lambda stand: (stand.height_mm, stand.pieces)):
        fewest.setdefault(stand.height_mm, stand)
    return tuple(replace(stand, height_mm=mm + handle_rise_mm) for mm, stand in fewest.items())


def stand_for(
    target_mm: Decimal | int, stands: Iterable[Stand], tolerance_mm: Decimal | int | None = None
) -> Stand | None:
    """The stand nearest to `target_mm` and within the tolerance; of two as near, the one with fewer pieces.

    Args:
        target_mm: the height wanted.
        stands: what `buildable` found.
        tolerance_mm: how far off still counts as the height; as a rule `full_height_tolerance` of the equipment table.
    """
    within = tables.value("equipment", "full_height_tolerance") if tolerance_mm is None else tolerance_mm
    near = [stand for stand in stands if abs(stand.height_mm - target_mm) <= within]
    return min(
        near,
        key=lambda stand: (abs(stand.height_mm - target_mm), stand.pieces, -stand.height_mm),
        default=None,
    )


def full_height_stand(equipment: Equipment, loading: Loading) -> Stand | None:
    """What brings this bar to full height, or None if nothing does; the floor for a bar with standard plates."""
    kind = loading.plate_set.bar.kind
    return stand_for(FULL_HEIGHT_MM, buildable(equipment, loading.largest_diameter_mm, kind=kind))


def _stacks(blocks: Iterable[Block]) -> dict[Decimal, Stack]:
    """Every thickness that blocks can be stacked to, with the fewest blocks that make it."""
    stacks: dict[Decimal, Stack] = {Decimal(): ()}
    for block in sorted(blocks, key=lambda block: -block.thickness_mm):
        for thickness_mm, stack in list(stacks.items()):
            for count in range(1, block.pairs + 1):
                taller = thickness_mm + count * block.thickness_mm
                longer = (*stack, (block, count))
                stacks[taller] = min(stacks.get(taller, longer), longer, key=_count)
    return stacks


def _count(stack: Stack) -> int:
    return sum(count for _, count in stack)


def on_pins(racks: Iterable[RackPins]) -> Iterator[Stand]:
    """The bar in every hole of these racks."""
    for rack in racks:
        for hole in range(rack.holes):
            yield Stand(height_mm=Decimal(rack.first_mm + hole * rack.spacing_mm), pins=rack, hole=hole + 1)
