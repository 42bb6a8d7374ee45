"""What the columns of a table are, and the units in which they are told."""

from decimal import Decimal

import pytest

from floorward.core import headings
from floorward.tables import load


def metres(*numbers: str) -> tuple[Decimal, ...]:
    return tuple(Decimal(number) for number in numbers)


@pytest.mark.parametrize(
    ("numbers", "unit"),
    [(("178", "165.5"), "cm"), (("1.78", "1.6"), "m"), (("70", "65.5"), "in"), (("1780",), "mm")],
)
def test_statures_of_grown_people_tell_the_unit_of_a_table(numbers, unit):
    assert headings.length_unit_like("bodies", metres(*numbers)) == unit


def test_statures_that_are_nobodys_or_in_two_units_tell_nothing():
    assert headings.length_unit_like("bodies", metres("178", "70")) == ""
    assert headings.length_unit_like("bodies", metres("9")) == ""
    assert headings.length_unit_like("bodies", ()) == ""


def test_a_plate_of_450_is_told_in_millimetres_and_one_of_17_7_in_inches():
    assert headings.length_unit_like("iron", metres("450", "228")) == "mm"
    assert headings.length_unit_like("iron", metres("17.7", "9")) == "in"


def test_a_table_of_past_training_has_no_lengths_to_tell_by():
    assert headings.telling("sets") == ""
    assert headings.length_unit_like("sets", metres("178")) == ""


@pytest.mark.parametrize(
    ("text", "sex"), [(" F ", "female"), ("Woman", "female"), ("man", "male"), ("x", "undeclared")]
)
def test_a_cell_names_a_sex_or_leaves_it_undeclared(text, sex):
    assert headings.sex_of(text) == sex


def test_every_measured_column_is_a_column_of_some_table():
    known = {name for kind in ("sets", "bodies", "iron") for name in load("headings")[kind]}
    assert set(headings.measured("mass") + headings.measured("length")) <= known
