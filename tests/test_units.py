"""Kilograms and pounds are exact, and a coach may write a length or a mass as they say it."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.units import (
    Mass,
    Unit,
    exact_kg,
    inches_to_mm,
    kg,
    lb,
    mm_to_inches,
    parse_length_mm,
    parse_mass,
    plain,
    to_kg,
)

tenths = st.integers(0, 100_000).map(lambda n: Decimal(n) / 10)


def test_a_pound_is_what_the_agreement_of_1959_says():
    # International yard and pound agreement (1959), as in NIST Handbook 44, appendix C
    assert lb(1).to(Unit.KG) == kg("0.45359237")
    assert inches_to_mm(Decimal(1)) == Decimal("25.4")
    assert mm_to_inches(Decimal("457.2")) == 18


@given(tenths, tenths)
def test_masses_add_up_whatever_is_stamped_on_them(a, b):
    total = Mass(a, Unit.KG) + Mass(b, Unit.LB)
    assert exact_kg(total) == exact_kg(kg(a)) + exact_kg(lb(b))
    assert total - Mass(b, Unit.LB) == kg(a)


def test_masses_of_both_units_stand_in_order():
    assert sorted([lb(45), kg(20), lb(44)]) == [lb(44), kg(20), lb(45)]
    assert lb(45) != kg(20)
    assert lb(45) != 45


def test_equal_masses_are_one_key():
    assert len({kg(20), kg("20.0"), kg(20) * 1}) == 1


def test_mechanics_gets_a_float():
    assert to_kg(lb(225)) == pytest.approx(102.05828325)


@pytest.mark.parametrize(
    ("typed", "mm"),
    [
        ("176", 1760),
        ("176 cm", 1760),
        ("1.76 m", 1760),
        ("1,76 m", 1760),
        ("1760mm", 1760),
        ("70 in", 1778),
        ("5'10\"", 1778),
        ("5 ft 10", 1778),
        ("6'", Decimal("1828.8")),
    ],
)
def test_a_length_may_be_written_as_people_say_it(typed, mm):
    assert parse_length_mm(typed) == mm


@pytest.mark.parametrize("typed", ["", "tall", "17 miles", "5'10'11", "-3", "NaN"])
def test_what_is_no_length_is_none(typed):
    assert parse_length_mm(typed) is None


@pytest.mark.parametrize(
    ("typed", "mass"),
    [
        ("85", kg(85)),
        ("85 kg", kg(85)),
        ("187,5 lbs", lb("187.5")),
        ("190 pounds", lb(190)),
        ("20kilos", kg(20)),
    ],
)
def test_a_mass_may_be_written_as_people_say_it(typed, mass):
    assert parse_mass(typed, Unit.KG) == mass


@pytest.mark.parametrize("typed", ["", "heavy", "85 stone", "-5", "1e3"])
def test_what_is_no_mass_is_none(typed):
    assert parse_mass(typed, Unit.KG) is None


def test_a_load_is_shown_without_trailing_zeros():
    assert [plain(Decimal(text)) for text in ("107.50", "100.000", "2E+1", "0.25")] == [
        "107.5",
        "100",
        "20",
        "0.25",
    ]
