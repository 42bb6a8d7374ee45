"""A number without unit or source never gets in."""

import pytest

from floorward import tables
from floorward.errors import TableError


def checked(row, **defaults):
    return tables._checked("table.row", row, defaults)


def test_a_row_with_unit_and_source_is_taken():
    assert checked({"value": 3, "unit": "points", "source": "judgement"})["value"] == 3


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ({"value": 3, "source": "judgement"}, "no unit"),
        ({"value": 3, "unit": "points"}, "no source"),
        ({"value": 3}, "no unit and no source"),
        ({"value": 3, "unit": "points", "source": "somebody-1999"}, "not in references"),
    ],
)
def test_a_row_without_unit_or_source_is_refused_and_named(row, says):
    with pytest.raises(TableError, match=says) as refusal:
        checked(row)
    assert "table.row" in str(refusal.value)


def test_defaults_stand_for_all_rows_of_a_file():
    assert checked({"value": 3}, unit="points", source="judgement")["unit"] == "points"


def test_rows_inside_lists_are_checked_too():
    with pytest.raises(TableError, match=r"row\[1\]"):
        checked([{"value": 1, "unit": "kg", "source": "memory"}, {"value": 2}])


@pytest.mark.parametrize("name", tables.names())
def test_every_row_can_be_shown_with_where_it_comes_from(name):
    assert all(row.unit and row.source for row in tables.rows(name))
