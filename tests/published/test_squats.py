"""Squats against published studies; the source stands in each test."""

from itertools import pairwise

from tests.published import lifting


def test_a_belt_squat_spares_the_back():
    """Layer 2018, 26 people, isometric with the thigh at 45°: low-back moment well below the back squat's."""
    assert lifting.belt_over_back_squat("l5s1") < 0.8


def test_a_belt_squat_at_body_weight_lowers_the_back_by_a_third_to_four_fifths():
    """Joseph 2020, ten people: erector activity 45 to 52 % lower; activity is not moment, hence the wide range."""
    assert 0.30 <= lifting.belt_reduction_at_body_weight() <= 0.80


def test_the_more_the_trunk_leans_the_more_the_back_must_hold():
    """Russell and Phillips 1989, eight lifters: the trunk's inclination, not the squat's name, drives the back's moment."""
    assert all(more > less for less, more in pairwise(lifting.moment_by_trunk()))
