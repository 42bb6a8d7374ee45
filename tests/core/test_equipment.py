"""Equipment: what is refused, what is asked about, what is noted."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from floorward.core.equipment import (
    check,
    check_loading,
    check_plate_set,
    check_target,
    pairs_of,
    unit_slip,
)
from floorward.core.findings import Finding, Weight
from floorward.core.plates import Loading
from floorward.core.records import Block, Box, Collar, Equipment, Plate, RackPins
from floorward.reports.wording import sentence
from floorward.units import Unit, kg, lb
from tests.core.iron import BAR_20, BAR_45, GYM, HEX_60, KG_GYM, LB_GYM

TEN = Plate(mass=kg(10), pairs=2)


def said(findings: tuple[Finding, ...]) -> list[tuple[str, str, Weight]]:
    """What was said about which field; every finding must have its sentence."""
    assert all(sentence(finding) for finding in findings)
    return [(finding.code, finding.field, finding.weight) for finding in findings]


def gym_with(**changes: Any) -> tuple[Finding, ...]:
    return check(replace(GYM, **changes))


def test_a_sound_gym_has_nothing_to_say() -> None:
    assert check(GYM) == ()
    assert check(Equipment()) == ()


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"bars": (replace(BAR_20, mass=kg(0)),)}, "bars.0.mass"),
        ({"bars": (replace(BAR_20, sleeve_mm=5),)}, "bars.0.sleeve_mm"),
        ({"bars": (replace(HEX_60, handle_rise_mm=(0, 1200)),)}, "bars.0.handle_rise_mm"),
        ({"plates": (TEN, replace(TEN, mass=kg(900)))}, "plates.1.mass"),
        ({"plates": (replace(TEN, mass=kg(-10)),)}, "plates.0.mass"),
        ({"plates": (replace(TEN, pairs=-1),)}, "plates.0.pairs"),
        ({"plates": (replace(TEN, diameter_mm=45),), "bars": ()}, "plates.0.diameter_mm"),
        ({"plates": (replace(TEN, thickness_mm=0),)}, "plates.0.thickness_mm"),
        ({"collars": (Collar(mass=kg(25)),)}, "collars.0.mass"),
        ({"blocks": (Block(name="air", thickness_mm=Decimal(0)),)}, "blocks.0.thickness_mm"),
        ({"pins": (RackPins(first_mm=300, spacing_mm=0),)}, "pins.0.spacing_mm"),
        ({"pins": (RackPins(first_mm=300, spacing_mm=50, holes=0),)}, "pins.0.holes"),
        ({"boxes": (Box(name="box", height_mm=4),)}, "boxes.0.height_mm"),
    ],
)
def test_what_cannot_be_is_asked_about_or_refused_beside_its_field(
    changes: dict[str, Any], field: str
) -> None:
    found = [finding for finding in said(gym_with(**changes)) if finding[1] == field]
    code, weight = ("unusual", Weight.ASK) if "diameter" in field else ("out-of-range", Weight.REFUSE)
    assert found == [(code, field, weight)]


def test_bounds_are_named_in_the_unit_that_was_typed() -> None:
    (finding, *_) = gym_with(bars=(BAR_20, replace(BAR_45, mass=lb(145))))
    assert finding.weight == Weight.ASK
    assert sentence(finding).startswith("145 lb is unusual: mostly it is between 11.02 and 88.18 lb")


def test_two_bars_of_one_name_are_refused_however_they_are_written() -> None:
    twin = replace(BAR_20, name=" Bar  20")
    assert said(gym_with(bars=(BAR_20, BAR_45, twin))) == [("bar-name-twice", "bars.2.name", Weight.REFUSE)]


def test_plates_in_pounds_need_a_bar_in_pounds() -> None:
    found = said(gym_with(bars=(BAR_20,), plates=(TEN, Plate(mass=lb(45), pairs=1))))
    assert found == [("plate-without-bar", "plates.1.mass", Weight.ASK)]


def test_a_gym_without_standard_plates_is_told_what_blocks_can_do() -> None:
    small = (Plate(mass=kg(10), pairs=2, diameter_mm=350),)
    assert said(gym_with(bars=(BAR_20,), plates=small)) == [("full-height-on-blocks", "plates", Weight.NOTE)]


def test_a_gym_without_standard_plates_or_blocks_is_asked() -> None:
    small = (Plate(mass=kg(10), pairs=2, diameter_mm=350), Plate(mass=kg(20), pairs=0))
    found = gym_with(bars=(BAR_20,), plates=small, blocks=(), pins=())
    assert said(found) == [("no-full-height", "plates", Weight.ASK)]
    assert "350 mm plates the bar stands at 175 mm" in sentence(found[0])


def test_a_plate_thicker_than_the_sleeve_is_asked_about() -> None:
    stub = replace(BAR_20, sleeve_mm=120)
    found = gym_with(bars=(stub,), plates=(replace(TEN, thickness_mm=100),))
    assert said(found) == [("plate-over-sleeve", "bars.0.sleeve_mm", Weight.ASK)]


def test_collars_heavier_than_every_plate_are_asked_about() -> None:
    found = gym_with(bars=(BAR_20,), plates=(replace(TEN, mass=kg(2)),))
    assert said(found) == [("collar-over-plates", "collars", Weight.ASK)]


def test_plates_without_a_common_step_are_refused() -> None:
    mixed = (replace(TEN, pairs=9), replace(TEN, pairs=9, mass=kg("20.41165665")))
    assert said(gym_with(bars=(BAR_20,), plates=mixed)) == [("no-common-step", "plates", Weight.REFUSE)]


def test_a_pound_plate_does_not_go_on_a_kilogram_bar() -> None:
    mixed = replace(KG_GYM, plates=(*KG_GYM.plates, LB_GYM.plates[0]))
    assert said(check_plate_set(mixed)) == [("other-unit", "plates", Weight.REFUSE)]
    assert check_plate_set(KG_GYM) == ()


def test_an_odd_plate_is_asked_about_and_its_pairs_are_counted() -> None:
    pairs, findings = pairs_of(7, kg(10))
    assert pairs == 3
    assert said(findings) == [("plate-odd", "pairs", Weight.ASK)]
    assert pairs_of(8, kg(10)) == (4, ())


def test_plates_beyond_the_sleeve_are_refused() -> None:
    many = replace(TEN, pairs=20)
    full = Loading(plate_set=replace(KG_GYM, plates=(many,)), per_side=(many,) * 13)
    assert said(check_loading(full)) == [("beyond-sleeve", "plates", Weight.REFUSE)]
    assert check_loading(replace(full, per_side=(many,) * 12)) == ()


def test_more_plates_than_the_gym_owns_are_refused() -> None:
    greedy = Loading(plate_set=replace(KG_GYM, plates=(TEN,)), per_side=(TEN,) * 3)
    assert said(check_loading(greedy)) == [("plates-not-owned", "plates", Weight.REFUSE)]
    foreign = replace(greedy, per_side=(Plate(mass=kg(7), pairs=2),))
    assert said(check_loading(foreign)) == [("plates-not-owned", "plates", Weight.REFUSE)]


def test_a_load_that_leaves_each_side_less_than_the_collar_is_asked_about() -> None:
    assert said(check_target(KG_GYM, Decimal(22))) == [("collar-over-side", "target", Weight.ASK)]
    assert check_target(KG_GYM, Decimal(25)) == ()
    assert check_target(KG_GYM, Decimal(15)) == ()


@pytest.mark.parametrize(
    ("value", "unit", "usual", "asked"),
    [
        (405, Unit.KG, lb(405), True),
        (405, Unit.KG, kg(180), True),
        (180, Unit.LB, kg(180), True),
        (225, Unit.KG, kg(200), False),
        (405, Unit.KG, kg(330), False),
        (60, Unit.KG, kg(200), False),
        (100, Unit.LB, kg(200), False),
        (0, Unit.KG, kg(200), False),
    ],
)
def test_kilograms_typed_for_pounds_are_asked_about(value: int, unit: Unit, usual: Any, asked: bool) -> None:  # noqa: FBT001
    finding = unit_slip(Decimal(value), unit, usual, field="load")
    assert (finding is not None) == asked


def test_the_question_about_a_unit_names_both_readings() -> None:
    finding = unit_slip(Decimal(405), Unit.KG, lb(405))
    assert finding is not None
    assert sentence(finding) == "Is it 405 lb rather than 405 kg? That would be nearer to what was expected."
