"""Heights against what federations fix."""

from decimal import Decimal

from floorward.core.heights import axis_mm, blocks_needed_mm
from floorward.units import inches_to_mm


def test_a_standard_plate_puts_the_bar_at_225_millimetres() -> None:
    # IWF technical and competition rules, 3.3: plates of 10 kg and up are 450 mm across; half of it is arithmetic.
    assert axis_mm(450) == 225


def test_smaller_plates_alone_start_the_bar_lower() -> None:
    # Arithmetic: 400 mm plates.
    assert axis_mm(400) == 200


def test_an_eighteen_inch_pull_stands_on_blocks_of_232_millimetres() -> None:
    # US Strongman record rules: 18 inches from the floor to the bar's centre; 457.2 - 225 = 232.2.
    assert blocks_needed_mm(inches_to_mm(Decimal(18)), 450) == Decimal("232.2")


def test_a_farmers_handle_of_seventeen_inches_is_432_millimetres() -> None:
    # US Strongman record rules: handles 17 inches high at most.
    assert inches_to_mm(Decimal(17)) == Decimal("431.8")
