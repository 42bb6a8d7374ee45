"""Proportions against other people, and what another tape measure would buy."""

import pytest

from floorward.core.proportions import proportions_of, tape_gains
from floorward.core.records import Person, Sex, Tape

MAN = Person(stature_m=1.756, mass_kg=85, sex=Sex.MALE)


def test_a_man_known_by_stature_alone_is_in_the_middle():
    for proportion in proportions_of(MAN):
        assert proportion.below == pytest.approx(0.5, abs=0.05)
        assert proportion.p10 < proportion.likely < proportion.p90


def test_long_arms_stand_out():
    long = Person(stature_m=1.756, mass_kg=85, sex=Sex.MALE, tape=Tape(span_m=1.93))
    arm = next(row for row in proportions_of(long) if row.of == "arm")
    assert arm.below > 0.85


def test_the_spread_of_thigh_over_shank_is_the_surveys():
    """Gordon 2014: 5 and 95 per cent of men 0.885 and 1.075 around 0.978, landmark to landmark; a spread of 0.0575."""
    thigh = next(row for row in proportions_of(MAN) if (row.of, row.over) == ("thigh", "shank"))
    assert (thigh.p90 - thigh.p10) / 2.563 == pytest.approx(0.0575, rel=0.15)


def test_each_missing_measure_says_what_it_buys():
    gains = {gain.tape: gain for gain in tape_gains(MAN)}
    assert set(gains) == {"span", "crotch", "sitting_height", "knee_height", "sleeve"}
    assert gains["span"].link == "arm"
    assert gains["span"].now_mm == pytest.approx(19.2, abs=0.1)
    assert gains["span"].then_mm == pytest.approx(12.4, abs=0.1)


def test_a_measure_that_was_taken_is_not_offered_again():
    taped = Person(stature_m=1.756, mass_kg=85, sex=Sex.UNDECLARED, tape=Tape(span_m=1.8))
    assert "span" not in {gain.tape for gain in tape_gains(taped)}
