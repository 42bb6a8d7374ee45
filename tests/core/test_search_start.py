from decimal import Decimal

import pytest

from floorward.core.heights import Stand
from floorward.core.raised_start import raised_heights_mm
from floorward.core.records import Person, Sex, Tape
from floorward.core.search import Direction, usual_direction

STANDS = tuple(Stand(height_mm=Decimal(mm)) for mm in range(125, 700, 25))
MAN = Person(stature_m=1.76, mass_kg=85.0, sex=Sex.MALE)


@pytest.mark.parametrize(
    ("days", "direction"), [(0, Direction.UP), (2, Direction.UP), (3, Direction.DOWN), (40, Direction.DOWN)]
)
def test_the_first_days_begin_from_below(days, direction):
    assert usual_direction(days) is direction


def test_raised_starts_lie_above_full_height_and_end_just_below_the_knee():
    heights = raised_heights_mm(MAN, STANDS, 225)
    assert heights[0] == 250
    assert heights[-1] == 425
    assert heights == tuple(sorted(heights))


def test_a_shorter_lifter_starts_lower():
    short = Person(stature_m=1.55, mass_kg=60.0, sex=Sex.FEMALE)
    assert raised_heights_mm(short, STANDS, 225)[-1] < 425


def test_a_measured_knee_rules():
    low = Person(stature_m=1.76, mass_kg=85.0, sex=Sex.MALE, tape=Tape(knee_height_m=0.48))
    high = Person(stature_m=1.76, mass_kg=85.0, sex=Sex.MALE, tape=Tape(knee_height_m=0.60))
    assert raised_heights_mm(low, STANDS, 225)[-1] < raised_heights_mm(high, STANDS, 225)[-1]


def test_a_gym_that_can_build_nothing_higher_has_no_raised_start():
    assert raised_heights_mm(MAN, (Stand(height_mm=Decimal(225)),), 225) == ()
