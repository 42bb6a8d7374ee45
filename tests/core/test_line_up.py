"""A lifter in a line of ten: places, and how much of them is open."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.core.line_up import line_ups
from floorward.core.records import Person, Sex, Tape

MAN = Person(stature_m=1.756, mass_kg=85, sex=Sex.MALE)


def row(person, of, over=""):
    return next(one for one in line_ups(person) if (one.of, one.over) == (of, over))


def test_a_man_of_middle_height_stands_in_the_middle_of_every_line():
    for one in line_ups(MAN):
        assert one.rank in {5, 6}
        assert one.p10 < one.likely < one.p90


def test_stature_alone_leaves_a_proportion_wide_open():
    first, last = row(MAN, "thigh", "trunk").ranks
    assert first <= 2
    assert last >= 9


def test_a_span_moves_the_arms_along_the_line_and_makes_their_place_surer():
    long = Person(stature_m=1.756, mass_kg=85, sex=Sex.MALE, tape=Tape(span_m=1.93))
    before, after = row(MAN, "arm"), row(long, "arm")
    assert after.rank > before.rank
    assert after.place_p90 - after.place_p10 < before.place_p90 - before.place_p10


def test_the_ten_stand_in_order_spread_as_a_normal_length_is():
    people = row(MAN, "thigh").people
    assert len(people) == 10
    assert list(people) == sorted(people)
    assert people[9] - people[0] == pytest.approx(1.645 / 0.674 * (people[7] - people[2]), rel=0.06)


def test_women_stand_in_a_line_of_women():
    woman = Person(stature_m=1.63, mass_kg=65, sex=Sex.FEMALE)
    assert row(woman, "thigh").rank in {5, 6}
    assert row(Person(stature_m=1.63, mass_kg=65, sex=Sex.MALE), "thigh").rank <= 2


@given(st.floats(1.4, 2.15), st.sampled_from(list(Sex)))
def test_a_place_is_always_in_the_line_and_inside_its_range(stature_m, sex):
    for one in line_ups(Person(stature_m=stature_m, mass_kg=80, sex=sex)):
        first, last = one.ranks
        assert 1 <= first <= one.rank <= last <= 10
