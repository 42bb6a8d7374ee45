"""The revised lifting equation: NIOSH publication 94-110 (revised 2021)."""

import pytest

from floorward.core.handling import recommended_weight_kg


def near(**changes):
    return recommended_weight_kg(**{"horizontal_cm": 25, "vertical_cm": 75, "distance_cm": 25, **changes})


def test_the_best_place_has_the_load_constant():
    assert near() == pytest.approx(23.0)


@pytest.mark.parametrize(("degrees", "share"), [(30, 0.90), (60, 0.81), (90, 0.71), (120, 0.62), (135, 0.57)])
def test_twisting_lowers_it_as_printed(degrees, share):
    assert near(asymmetry_deg=degrees) / 23.0 == pytest.approx(share, abs=0.005)


@pytest.mark.parametrize(("reach", "kilograms"), [(25, 17.6), (30, 14.7), (35, 12.6)])
def test_a_bar_on_the_floor_has_a_limit_that_no_lifter_keeps(reach, kilograms):
    """V 22.5 cm, D 50 cm: context only."""
    assert near(horizontal_cm=reach, vertical_cm=22.5, distance_cm=50) == pytest.approx(kilograms, abs=0.06)


@pytest.mark.parametrize(
    "beyond", [{"horizontal_cm": 64}, {"vertical_cm": 180}, {"distance_cm": 180}, {"asymmetry_deg": 140}]
)
def test_outside_its_range_it_allows_nothing(beyond):
    assert near(**beyond) == 0.0
