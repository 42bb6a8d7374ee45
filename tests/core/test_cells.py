"""Cells of somebody's table: what they say, and what they leave open."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.core.cells import Evidence, Wrong, day_of, number_of, split_unit


@pytest.mark.parametrize(
    "text",
    ["2026-11-03", "2026/11/3", "2026-11-03 18:30:00", "2026-11-03T18:30", "3 Nov 2026", "3rd November 2026", "Nov 3, 2026",
     "Tue, 3 Nov 2026", "3.11.2026", "03/11/26"],
)  # fmt: skip
def test_a_day_is_read_in_every_usual_spelling(text):
    assert day_of(text, True) == date(2026, 11, 3)


def test_a_day_that_may_be_two_is_not_guessed():
    assert day_of("3/11/2026", None) == Wrong("cell-day-two-ways")
    assert day_of("3/11/2026", False) == date(2026, 3, 11)
    assert day_of("13/11/2026", None) == date(2026, 11, 13)
    assert day_of("3/3/2026", None) == date(2026, 3, 3)


@pytest.mark.parametrize(
    "text", ["", "31.02.2026", "45000", "soon", "2026", "13/13/2026", "0001-01-01", "=TODAY()"]
)
def test_what_is_no_day_is_said_to_be_none(text):
    assert day_of(text, True) == Wrong("cell-no-day")


@pytest.mark.parametrize(
    ("text", "comma", "value"),
    [("102.5", None, "102.5"), ("102,5", None, "102.5"), ("1.250,5", None, "1250.5"), ("1,250.5", None, "1250.5"),
     ("1,250", True, "1.250"), ("1,250", False, "1250"), ("1.250", True, "1250"), ("180", None, "180")],
)  # fmt: skip
def test_a_number_is_read_with_either_mark(text, comma, value):
    assert number_of(text, comma) == Decimal(value)


@pytest.mark.parametrize(
    "text", ["", "-5", "1e5", "NaN", "inf", "=1+1", "1.2.3", "١٢", "100kg", "1,2,3", "9" * 40]
)
def test_what_is_no_number_is_said_to_be_none(text):
    assert isinstance(number_of(text, None), Wrong)


def test_a_number_that_may_be_two_is_not_guessed():
    assert number_of("1,250", None) == Wrong("cell-number-two-ways")
    assert number_of("102.5", True) == Wrong("cell-no-number")


@pytest.mark.parametrize(
    ("text", "found"),
    [("225 lbs", ("225", "lb")), ("100kg", ("100", "kg")), ("100 kg", ("100", "kg")), ("100", ("100", "")), ("BW", ("BW", ""))],
)  # fmt: skip
def test_a_unit_is_taken_off_a_cell(text, found):
    assert split_unit(text) == found


def test_a_file_shows_how_it_writes_days_or_leaves_it_open():
    shown, mixed, quiet, iso = Evidence(), Evidence(), Evidence(), Evidence()
    for text in ("3/11/2026", "25/11/2026"):
        shown.see_day(text)
    for text in ("25/11/2026", "11/25/2026"):
        mixed.see_day(text)
    quiet.see_day("3/11/2026")
    iso.see_day("2026-11-03")
    assert (shown.order, mixed.order, quiet.order, iso.order) == (True, None, None, True)


def test_a_file_shows_its_decimal_mark_or_leaves_it_open():
    comma, point, quiet, plain = Evidence(), Evidence(), Evidence(), Evidence()
    for text in ("1,250", "102,5"):
        comma.see_number(text)
    point.see_number("102.5 lb")
    quiet.see_number("1,250")
    plain.see_number("100")
    assert (comma.decimal_comma, point.decimal_comma, quiet.decimal_comma, plain.decimal_comma) == (
        True, False, None, False,
    )  # fmt: skip
    assert point.units == {"lb"}


@given(day=st.dates(date(1950, 1, 1), date(2090, 12, 31)))
def test_a_day_written_either_way_round_comes_back(day):
    assert day_of(day.isoformat(), None) == day
    assert day_of(f"{day.day}.{day.month}.{day.year}", True) == day
    assert day_of(f"{day.month}/{day.day}/{day.year}", False) == day
    assert day_of(f"{day.day}/{day.month}/{day.year}", None) in {day, Wrong("cell-day-two-ways")}


@given(value=st.decimals(0, 999, places=2))
def test_a_number_written_with_either_mark_comes_back(value):
    text = f"{value:.2f}"
    assert number_of(text, False) == value
    assert number_of(text.replace(".", ","), True) == value


@given(text=st.text(max_size=30), order=st.sampled_from([True, False, None]))
def test_no_cell_breaks_anything(text, order):
    evidence = Evidence()
    evidence.see_day(text)
    evidence.see_number(text)
    assert isinstance(day_of(text, order), date | Wrong)
    assert isinstance(number_of(split_unit(text)[0], order), Decimal | Wrong)
