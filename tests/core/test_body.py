"""A body from stature, mass and sex, and what a tape adds."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.core.body import SURVEYED, bodies_like, body_of, links_of, masses, tape_scores
from floorward.core.records import Person, Sex, Tape

MAN = Person(stature_m=1.756, mass_kg=85.5, sex=Sex.MALE)
people = st.builds(
    Person,
    stature_m=st.floats(1.4, 2.15),
    mass_kg=st.floats(40, 200),
    sex=st.sampled_from(Sex),
)


def link(person, name):
    return links_of(person).mean_m[SURVEYED.index(name)]


def spread(person, name):
    return links_of(person).spread_m[SURVEYED.index(name)]


@given(people)
def test_the_segments_weigh_what_the_lifter_weighs(person):
    body = body_of(person)
    parts = (
        body.foot_kg,
        body.shank_kg,
        body.thigh_kg,
        body.pelvis_kg,
        body.torso_kg,
        body.head_kg,
        body.arms_kg,
    )
    assert sum(parts)[0] == pytest.approx(person.mass_kg)
    assert all(part[0] > 0 for part in parts)


@given(people)
def test_every_link_of_every_body_is_a_length(person):
    body = bodies_like(person, 8)
    for length in (body.shank_m, body.thigh_m, body.trunk_m, body.arm_m, body.foot_m, body.lumbar_m):
        assert length.shape == (8,)
        assert (length > 0.04).all()


@pytest.mark.parametrize(
    ("tape", "name"),
    [
        ("span_m", "arm"),
        ("sleeve_m", "arm"),
        ("crotch_m", "thigh"),
        ("knee_height_m", "shank"),
        ("sitting_height_m", "trunk"),
    ],
)
def test_a_tape_measure_narrows_its_link(tape, name):
    length = {
        "span_m": 1.81,
        "sleeve_m": 0.59,
        "crotch_m": 0.85,
        "knee_height_m": 0.55,
        "sitting_height_m": 0.92,
    }[tape]
    measured = Person(stature_m=1.756, mass_kg=85.5, sex=Sex.MALE, tape=Tape(**{tape: length}))
    assert spread(measured, name) < spread(MAN, name)


def test_long_arms_on_the_tape_are_long_arms_in_the_body():
    long = Person(stature_m=1.756, mass_kg=85.5, sex=Sex.MALE, tape=Tape(span_m=1.95))
    assert link(long, "arm") > link(MAN, "arm") + 0.03


def test_an_undeclared_sex_lies_between_both():
    arms = [
        link(Person(stature_m=1.7, mass_kg=70, sex=sex), "arm")
        for sex in (Sex.MALE, Sex.UNDECLARED, Sex.FEMALE)
    ]
    assert arms[1] == pytest.approx((arms[0] + arms[2]) / 2)


def test_likely_bodies_spread_as_the_survey_does():
    bodies = bodies_like(MAN, 400)
    links = links_of(MAN)
    got = np.cov(bodies.thigh_m, bodies.trunk_m)
    thigh, trunk = SURVEYED.index("thigh"), SURVEYED.index("trunk")
    assert got[0, 0] == pytest.approx(links.covariance_m2[thigh, thigh], rel=0.1)
    assert got[0, 1] == pytest.approx(links.covariance_m2[thigh, trunk], rel=0.2)


def test_a_heavy_body_carries_more_of_its_mass_in_the_trunk():
    light = masses(Person(stature_m=1.75, mass_kg=80, sex=Sex.MALE))
    heavy = masses(Person(stature_m=1.75, mass_kg=140, sex=Sex.MALE))
    assert (heavy["torso"] + heavy["pelvis"]) / 140 > (light["torso"] + light["pelvis"]) / 80


def test_a_slip_of_the_tape_stands_out():
    slip = Person(stature_m=1.756, mass_kg=85.5, sex=Sex.MALE, tape=Tape(span_m=1.18, crotch_m=0.85))
    scores = tape_scores(slip)
    assert abs(scores["span"]) > 6
    assert abs(scores["crotch"]) < 1
