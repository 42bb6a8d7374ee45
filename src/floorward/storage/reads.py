"""Rows to records: what the core understands of what is stored."""

from collections.abc import Iterable

from floorward.core import records
from floorward.storage.models import (
    BarRow,
    BlockRow,
    BoxRow,
    CollarRow,
    DoneSet,
    Gym,
    Lifter,
    Line,
    MeasuredStart,
    PinsRow,
    PlateRow,
    Search,
)
from floorward.units import Mass, Unit


def bar(row: BarRow) -> records.Bar:
    """A bar with its handles."""
    handles = (row.handle_low_mm,) if row.handle_high_mm is None else (row.handle_low_mm, row.handle_high_mm)
    return records.Bar(
        name=row.name,
        kind=records.BarKind(row.kind),
        mass=Mass(row.mass.normalize(), Unit(row.unit)),
        handle_rise_mm=handles,
        sleeve_mm=row.sleeve_mm,
    )


def plate(row: PlateRow) -> records.Plate:
    """A size of plate with its stock."""
    return records.Plate(
        mass=Mass(row.mass.normalize(), Unit(row.unit)),
        pairs=row.pairs,
        diameter_mm=row.diameter_mm,
        thickness_mm=row.thickness_mm,
        colour=row.colour,
    )


def collar(row: CollarRow) -> records.Collar:
    """A pair of collars."""
    return records.Collar(mass=Mass(row.mass.normalize(), Unit(row.unit)))


def block(row: BlockRow) -> records.Block:
    """A block or mat."""
    return records.Block(name=row.name, thickness_mm=row.thickness_mm.normalize(), pairs=row.pairs)


def pins(row: PinsRow) -> records.RackPins:
    """A rack's pins."""
    return records.RackPins(first_mm=row.first_mm, spacing_mm=row.spacing_mm, holes=row.holes)


def box(row: BoxRow) -> records.Box:
    """A box."""
    return records.Box(name=row.name, height_mm=row.height_mm)


def equipment(gym: Gym) -> records.Equipment:
    """Everything the gym owns."""
    return records.Equipment(
        bars=tuple(map(bar, gym.bars.all())),
        plates=tuple(map(plate, gym.plates.all())),
        collars=tuple(map(collar, gym.collars.all())),
        blocks=tuple(map(block, gym.blocks.all())),
        pins=tuple(map(pins, gym.pins.all())),
        boxes=tuple(map(box, gym.boxes.all())),
    )


def plate_set(bar_row: BarRow, collar_row: CollarRow | None, plates: Iterable[PlateRow]) -> records.PlateSet:
    """A bar with its collars and the plates of its unit. No collar weighs nothing."""
    unit = Unit(bar_row.unit)
    return records.PlateSet(
        bar=bar(bar_row),
        collar=Mass(collar_row.mass.normalize(), unit) if collar_row else Mass(0 * bar_row.mass, unit),
        plates=tuple(plate(row) for row in plates if row.unit == unit),
    )


def person(row: Lifter) -> records.Person:
    """What mechanics need of a lifter."""
    tape = records.Tape(
        span_m=row.span_m or 0.0,
        crotch_m=row.crotch_m or 0.0,
        sitting_height_m=row.sitting_height_m or 0.0,
        knee_height_m=row.knee_height_m or 0.0,
        sleeve_m=row.sleeve_m or 0.0,
    )
    return records.Person(
        stature_m=row.stature_m,
        mass_kg=row.mass_kg,
        sex=records.Sex(row.sex),
        tape=tape,
        measured=tuple(map(measured, row.measured_starts.all())),
    )


def measured(row: MeasuredStart) -> records.Measured:
    """Angles measured in one set-up."""
    return records.Measured(
        lift=row.lift,
        height_mm=row.height_mm,
        depth_deg=row.depth_deg,
        box_mm=row.box_mm,
        knee_deg=row.knee_deg,
        trunk_deg=row.trunk_deg,
    )


def setup(row: Line | DoneSet | Search) -> records.SetUp:
    """What fixes the start of a variation."""
    return records.SetUp(
        lift=row.lift,
        height_mm=row.height_mm,
        depth_deg=row.depth_deg,
        box_mm=row.box_mm,
        belt=row.belt,
        straps=row.straps,
        shoes=row.shoes,
        tempo=row.tempo,
        pause=row.pause,
    )
