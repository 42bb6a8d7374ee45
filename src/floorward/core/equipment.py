"""What looks wrong in a gym's equipment as it was typed: impossible, doubtful, or worth knowing.

Each check returns findings with the field they stand beside, such as `plates.2.diameter_mm`: the record's place in its list and
its attribute. What is impossible is refused; what is merely unusual is asked about, since gyms own odd things.
The bounds are in tables/equipment.toml.
"""

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from decimal import Decimal
from typing import Any

from floorward import tables
from floorward.core.findings import Finding, Weight, refused
from floorward.core.heights import axis_mm, buildable, is_full_height, stand_for
from floorward.core.plates import Loading, common_step, plate_set_for, sleeve_room_mm, workable
from floorward.core.records import (
    FULL_HEIGHT_MM,
    Bar,
    Block,
    Box,
    Collar,
    Equipment,
    Plate,
    PlateSet,
    RackPins,
)
from floorward.units import KG_PER_LB, Mass, Unit, plain, to_kg

Findings = Iterator[Finding]

# The ratio half-way between a number of kilograms and the same number of pounds.
HALF_WAY = float(1 / KG_PER_LB) ** 0.5


def check(equipment: Equipment) -> tuple[Finding, ...]:
    """Everything to say about the whole equipment: each item by itself and then, once none is refused, all together."""
    found = (*_each_item(equipment), *_names_twice(equipment.bars), *_plates_without_bar(equipment))
    return found if refused(found) else (*found, *_each_set(equipment))


def check_bar(bar: Bar, place: str = "") -> Findings:
    """A bar's mass, sleeves and handles."""
    yield from _mass("bar_mass", bar.mass, f"{place}mass")
    yield from _range("sleeve", bar.sleeve_mm, f"{place}sleeve_mm")
    for rise_mm in bar.handle_rise_mm:
        yield from _range("handle_rise", rise_mm, f"{place}handle_rise_mm")


def check_plate(plate: Plate, place: str = "") -> Findings:
    """A plate's mass, measures and number of pairs."""
    yield from _mass("plate_mass", plate.mass, f"{place}mass")
    yield from _range("plate_pairs", plate.pairs, f"{place}pairs")
    yield from _range("plate_diameter", plate.diameter_mm, f"{place}diameter_mm")
    yield from _range("plate_thickness", plate.thickness_mm, f"{place}thickness_mm")


def check_collar(collar: Collar, place: str = "") -> Findings:
    """A collar's mass."""
    yield from _mass("collar_mass", collar.mass, f"{place}mass")


def check_block(block: Block, place: str = "") -> Findings:
    """A block's thickness and number of pairs."""
    yield from _range("block_thickness", block.thickness_mm, f"{place}thickness_mm")
    yield from _range("block_pairs", block.pairs, f"{place}pairs")


def check_pins(pins: RackPins, place: str = "") -> Findings:
    """A rack's lowest pin, spacing and number of holes."""
    yield from _range("pin_first", pins.first_mm, f"{place}first_mm")
    yield from _range("pin_spacing", pins.spacing_mm, f"{place}spacing_mm")
    yield from _range("pin_holes", pins.holes, f"{place}holes")


def check_box(box: Box, place: str = "") -> Findings:
    """A box's height."""
    yield from _range("box_height", box.height_mm, f"{place}height_mm")


def pairs_of(plates_counted: int, mass: Mass, field: str = "pairs") -> tuple[int, tuple[Finding, ...]]:
    """How many pairs a count of single plates makes, and what to ask about an odd one out."""
    pairs, odd = divmod(plates_counted, 2)
    numbers = {"counted": plates_counted, "mass": str(mass), "pairs": pairs}
    findings = (Finding(code="plate-odd", field=field, weight=Weight.ASK, numbers=numbers),)
    return pairs, findings if odd else ()


def check_plate_set(plate_set: PlateSet) -> tuple[Finding, ...]:
    """Whether these collars and plates belong on this bar; ask before any load is worked out for it."""
    return tuple(_other_units(plate_set)) or (*_collar_over_plates(plate_set), *_no_common_step(plate_set))


def check_loading(loading: Loading) -> tuple[Finding, ...]:
    """Whether plates that someone put together by hand are owned and fit the sleeve."""
    return (*_not_owned(loading), *_beyond_sleeve(loading))


def check_target(plate_set: PlateSet, target: Decimal) -> tuple[Finding, ...]:
    """Whether the collars alone are heavier than what a wanted load leaves to each side."""
    side = (target - plate_set.bar.mass.value) / 2
    if not 0 <= side < plate_set.collar.value:
        return ()
    numbers = {"collar": str(plate_set.collar), "side": str(Mass(side, plate_set.unit))}
    return (Finding(code="collar-over-side", field="target", weight=Weight.ASK, numbers=numbers),)


def unit_slip(value: Decimal, unit: Unit, usual: Mass, field: str = "") -> Finding | None:
    """The question whether `value` was meant in the other unit, or None.

    It is asked when the other unit comes nearer, as a ratio, to the `usual` mass: 405 kg where some 405 lb were to be expected.
    """
    typed = Mass(value, unit)
    meant = replace(typed, unit=Unit.LB if unit == Unit.KG else Unit.KG)
    if value <= 0 or not _ratio(meant, usual) <= HALF_WAY < _ratio(typed, usual):
        return None
    numbers = {"typed": str(typed), "meant": str(meant)}
    return Finding(code="unit-slip", field=field, weight=Weight.ASK, numbers=numbers)


def _each_item(equipment: Equipment) -> Findings:
    lists: tuple[tuple[str, tuple[Any, ...], Callable[[Any, str], Findings]], ...] = (
        ("bars", equipment.bars, check_bar),
        ("plates", equipment.plates, check_plate),
        ("collars", equipment.collars, check_collar),
        ("blocks", equipment.blocks, check_block),
        ("pins", equipment.pins, check_pins),
        ("boxes", equipment.boxes, check_box),
    )
    for name, items, check_one in lists:
        for place, item in enumerate(items):
            yield from check_one(item, f"{name}.{place}.")


def _mass(key: str, mass: Mass, field: str) -> Findings:
    return _range(key, mass.value, field, unit=mass.unit, per_unit=to_kg(Mass(Decimal(1), mass.unit)))


def _range(key: str, value: Decimal | int, field: str, *, unit: str = "", per_unit: float = 1) -> Findings:
    """Refused outside what is possible, else asked about outside what is usual; `per_unit` scales to the table's unit."""
    for bounds, code, weight in (
        ("possible", "out-of-range", Weight.REFUSE),
        ("usual", "unusual", Weight.ASK),
    ):
        row = tables.load("equipment")[key][bounds]
        low, high = (round(bound / per_unit, 2) for bound in row["value"])
        if not low <= value <= high:
            numbers = {"value": plain(Decimal(value)), "unit": unit or row["unit"], "low": low, "high": high}
            yield Finding(code=code, field=field, weight=weight, numbers=numbers)
            return


def _names_twice(bars: tuple[Bar, ...]) -> Findings:
    seen: set[str] = set()
    for place, bar in enumerate(bars):
        name = " ".join(bar.name.casefold().split())
        if name in seen:
            field = f"bars.{place}.name"
            yield Finding(
                code="bar-name-twice", field=field, weight=Weight.REFUSE, numbers={"name": bar.name}
            )
        seen.add(name)


def _plates_without_bar(equipment: Equipment) -> Findings:
    units = {bar.mass.unit for bar in equipment.bars}
    for place, plate in enumerate(equipment.plates):
        if plate.mass.unit not in units:
            numbers = {"mass": str(plate.mass), "unit": str(plate.mass.unit)}
            yield Finding(
                code="plate-without-bar", field=f"plates.{place}.mass", weight=Weight.ASK, numbers=numbers
            )


def _each_set(equipment: Equipment) -> Findings:
    first_of_unit = {bar.mass.unit: bar for bar in reversed(equipment.bars)}
    for bar in first_of_unit.values():
        plate_set = plate_set_for(equipment, bar)
        yield from check_plate_set(plate_set)
        yield from _full_height(equipment, plate_set)
    for place, bar in enumerate(equipment.bars):
        yield from _too_thick(plate_set_for(equipment, bar), f"bars.{place}.sleeve_mm")


def _other_units(plate_set: PlateSet) -> Findings:
    for mass in (plate_set.collar, *(plate.mass for plate in plate_set.plates)):
        if mass.unit != plate_set.unit:
            numbers = {"mass": str(mass), "bar": str(plate_set.bar.mass)}
            yield Finding(code="other-unit", field="plates", weight=Weight.REFUSE, numbers=numbers)


def _collar_over_plates(plate_set: PlateSet) -> Findings:
    heaviest = max((plate.mass for plate in plate_set.plates), default=plate_set.collar)
    if plate_set.collar > heaviest:
        numbers = {"collar": str(plate_set.collar), "plate": str(heaviest)}
        yield Finding(code="collar-over-plates", field="collars", weight=Weight.ASK, numbers=numbers)


def _no_common_step(plate_set: PlateSet) -> Findings:
    if not workable(plate_set):
        numbers = {"step": plain(common_step(plate_set.plates)), "unit": str(plate_set.unit)}
        yield Finding(code="no-common-step", field="plates", weight=Weight.REFUSE, numbers=numbers)


def _full_height(equipment: Equipment, plate_set: PlateSet) -> Findings:
    """Whether some plate stands at full height, and if not, whether blocks can make it up."""
    diameters_mm = [plate.diameter_mm for plate in plate_set.plates if plate.pairs]
    if not diameters_mm or any(is_full_height(diameter_mm) for diameter_mm in diameters_mm):
        return
    widest_mm = max(diameters_mm)
    stand = stand_for(FULL_HEIGHT_MM, buildable(equipment, widest_mm, kind=plate_set.bar.kind))
    numbers = {"diameter": widest_mm, "axis": plain(axis_mm(widest_mm))}
    if stand:
        yield Finding(code="full-height-on-blocks", field="plates", numbers=numbers)
    else:
        yield Finding(code="no-full-height", field="plates", weight=Weight.ASK, numbers=numbers)


def _too_thick(plate_set: PlateSet, field: str) -> Findings:
    room_mm = sleeve_room_mm(plate_set)
    for plate in plate_set.plates:
        if plate.thickness_mm > room_mm:
            numbers = {
                "mass": str(plate.mass),
                "thickness": plate.thickness_mm,
                "room": room_mm,
                "bar": plate_set.bar.name,
            }
            yield Finding(code="plate-over-sleeve", field=field, weight=Weight.ASK, numbers=numbers)


def _not_owned(loading: Loading) -> Findings:
    for plate, wanted in Counter(loading.per_side).items():
        pairs = plate.pairs if plate in loading.plate_set.plates else 0
        if wanted > pairs:
            numbers = {"mass": str(plate.mass), "wanted": wanted, "pairs": pairs}
            yield Finding(code="plates-not-owned", field="plates", weight=Weight.REFUSE, numbers=numbers)


def _beyond_sleeve(loading: Loading) -> Findings:
    used_mm = sum(plate.thickness_mm for plate in loading.per_side)
    room_mm = sleeve_room_mm(loading.plate_set)
    if used_mm > room_mm:
        numbers = {"used": used_mm, "room": room_mm, "bar": loading.plate_set.bar.name}
        yield Finding(code="beyond-sleeve", field="plates", weight=Weight.REFUSE, numbers=numbers)


def _ratio(one: Mass, another: Mass) -> float:
    lighter, heavier = sorted((to_kg(one), to_kg(another)))
    return heavier / lighter
