import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.core.records import Plate
from floorward.reports.drawings.sleeve import plates_on_sleeve
from floorward.units import Unit, kg, lb
from tests.reports.drawing import outside, overlapping, parsed, spoken, texts, with_class


def plate(value, diameter_mm=450, thickness_mm=30, colour="", make=kg):
    return Plate(mass=make(value), pairs=2, diameter_mm=diameter_mm, thickness_mm=thickness_mm, colour=colour)


P25, P15, P10 = plate(25, 450, 58, "red"), plate(15, 400, 42), plate(10, 325, 34)
P5, P2, P1 = plate(5, 228, 26), plate("2.5", 190, 19), plate("1.25", 160, 14)
ANY = (P25, P15, P10, P5, P2, P1)


def faces(root, state):
    """The rectangles of plates: everything of that class but bar, stop and sleeve."""
    return [e for e in with_class(root, state) if e.get("rx") in {"3", "3.0"}]


def test_plates_are_to_scale_with_one_another():
    root = parsed(plates_on_sleeve([P25, P15]))
    large, small = faces(root, "f-iron")
    assert float(small.get("height")) / float(large.get("height")) == pytest.approx(400 / 450, abs=0.002)
    assert float(small.get("width")) / float(large.get("width")) == pytest.approx(42 / 58, abs=0.01)


def test_what_goes_on_is_hatched_and_has_a_plus():
    root = parsed(plates_on_sleeve([P25, P5], change_on=[P5]))
    assert len(with_class(root, "f-add")) == 1
    assert texts(root) == ["25", "+5"]


def test_of_two_equal_plates_the_outer_one_goes_on():
    assert texts(parsed(plates_on_sleeve([P10, P10], change_on=[P10]))) == ["10", "+10"]


def test_what_comes_off_is_dashed_beyond_the_collar_and_has_a_minus():
    root = parsed(plates_on_sleeve([P25], change_off=[P15, P5]))
    off = with_class(root, "f-off")
    collar = with_class(root, "f-ink")[0]
    assert [float(e.get("x")) > float(collar.get("x")) for e in off] == [True, True]
    assert texts(root) == ["25", "−15", "−5"]


def test_an_empty_bar_is_a_bar_with_a_collar():
    root = parsed(plates_on_sleeve([]))
    assert spoken(root) == "Empty bar"
    assert texts(root) == []


def test_the_label_for_ears_names_plates_changes_and_unit():
    drawing = plates_on_sleeve(
        [plate(45, make=lb), plate(10, make=lb)], Unit.LB, change_on=[plate(10, make=lb)]
    )
    assert spoken(parsed(drawing)) == "Each side: 45, 10 lb; put on 10 lb"


@given(st.lists(st.sampled_from(ANY), max_size=9), st.lists(st.sampled_from(ANY), max_size=4))
def test_numbers_never_touch_and_never_leave_the_drawing(per_side, off):
    root = parsed(plates_on_sleeve(per_side, change_on=per_side[-2:], change_off=off))
    assert overlapping(root) == []
    assert outside(root) == []


def test_a_gym_colour_is_a_band_under_an_unchanged_outline():
    root = parsed(plates_on_sleeve([P25]))
    bands = [e for e in root.iter("rect") if e.get("fill")]
    assert [band.get("fill") for band in bands] == ["#c8322b"]
    assert faces(root, "f-iron")


@pytest.mark.parametrize("colour", ['red"/><script>', "url(#x)", "no such colour", ""])
def test_a_colour_that_is_none_is_left_out(colour):
    root = parsed(plates_on_sleeve([plate(20, colour=colour)]))
    assert not [e for e in root.iter("rect") if e.get("fill")]
