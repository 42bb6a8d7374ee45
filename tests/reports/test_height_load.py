from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floorward.reports.drawings.height_load import height_load_map, shown_sets
from floorward.reports.drawings.map_scale import HeightLoadMap, MapSet, scale_of
from floorward.reports.drawings.map_table import map_table
from floorward.units import Unit
from tests.reports.drawing import outside, overlapping, parsed, spoken, texts, with_class


def done(load, rise_cm, pain, day, *, acceptable=True, today=False):
    return MapSet(
        load=load,
        height_mm=225 + 10 * rise_cm,
        pain=pain,
        acceptable=acceptable,
        day=day,
        reps=5,
        today=today,
    )


def border(base, lean):
    return tuple((base * (1 + lean * (rise / 30) ** 1.6), 225 + 10 * rise) for rise in range(0, 31, 5))


WEEKS = HeightLoadMap(
    sets=(
        done(140, 0, 7, 0, acceptable=False),
        done(40, 20, 2, 2),
        done(77.5, 20, 3, 8),
        done(62.5, 10, 2, 11),
        done(95, 10, 2, 18),
        done(70, 0, 2, 21),
        done(97.5, 0, 6, 35, acceptable=False),
        done(110, 0, 2, 38, today=True),
    ),
    old_load=(180, 225),
    way_back=((127.5, 225), (145, 225), (162.5, 225)),
    sure=border(106, 0.5),
    likely=border(118, 0.5),
    unlikely=border(133, 0.52),
    same_demand=tuple((f"{load} kg", border(load, 0.28)) for load in (60, 100, 140, 180)),
    level_mm=325,
    most_load=210,
)
SIZES = pytest.mark.parametrize("wide", [True, False], ids=["wide", "phone"])


@SIZES
def test_words_never_touch_and_never_leave_the_map(wide):
    root = parsed(height_load_map(WEEKS, wide=wide))
    assert overlapping(root) == []
    assert outside(root) == []


@SIZES
def test_heights_and_loads_are_drawn_in_proportion(wide):
    scale = scale_of(WEEKS, wide=wide)
    assert scale.y(225) - scale.y(425) == pytest.approx(2 * (scale.y(225) - scale.y(325)))
    assert scale.x(120) - scale.x(60) == pytest.approx(scale.x(60) - scale.x(0))
    assert scale.y(325) < scale.y(225) < scale.floor_y


@SIZES
def test_a_set_stands_at_its_load_and_height_with_its_pain(wide):
    root = parsed(height_load_map(replace(WEEKS, sets=(done(80, 20, 3, 1),)), wide=wide))
    disc = with_class(root, "set-ok")[0]
    scale = scale_of(WEEKS, wide=wide)
    assert float(disc.get("cx")) == pytest.approx(scale.x(80), abs=0.06)
    assert float(disc.get("cy")) == pytest.approx(scale.y(425), abs=0.06)
    assert [e.text for e in with_class(root, "on-ink")] == ["3"]


@SIZES
def test_what_was_not_acceptable_is_a_square_with_its_pain(wide):
    root = parsed(height_load_map(WEEKS, wide=wide))
    squares = with_class(root, "set-no")
    assert [e.tag for e in squares] == ["rect", "rect"]
    assert {"7", "6"} <= set(texts(root))


@SIZES
def test_a_line_of_one_demand_that_leaves_the_map_at_its_side_is_not_drawn_without_its_load(wide):
    lines = with_class(parsed(height_load_map(WEEKS, wide=wide)), "d-dots")
    beyond = replace(WEEKS, same_demand=(("200 kg", border(200, 0.28)),))
    root = parsed(height_load_map(beyond, wide=wide))
    assert len(with_class(root, "d-dots")) < len(lines)
    assert "same demand as" not in texts(root)


@SIZES
def test_a_line_of_one_demand_goes_up_to_its_load_also_where_no_row_stands_at_the_top(wide):
    """Boxes of 35, 40 and 45 cm on a staff that ends with the next whole block."""
    boxes = tuple((60.0 + n, 350.0 + 50 * n) for n in range(3))
    chart = HeightLoadMap(floor_mm=350, most_load=120, level_mm=450, same_demand=(("60 kg", boxes),))
    root = parsed(height_load_map(chart, wide=wide))
    assert len(with_class(root, "d-dots")) == 1
    assert {"60 kg", "same demand as"} <= set(texts(root))


@SIZES
def test_the_last_set_and_every_unacceptable_one_are_always_shown(wide):
    crowd = (
        *(done(100 + i, 0, 2, i) for i in range(12)),
        done(111, 0, 6, 12, acceptable=False),
        done(112, 0, 1, 13),
    )
    shown = shown_sets(crowd, scale_of(replace(WEEKS, sets=crowd), wide=wide))
    assert {mark.done for mark in shown} >= {crowd[-2], crowd[-1]}


@settings(max_examples=40)
@given(
    st.lists(
        st.builds(
            done,
            st.integers(20, 200),
            st.integers(0, 30),
            st.integers(0, 10),
            st.integers(0, 80),
            acceptable=st.booleans(),
        ),
        max_size=25,
    )
)
def test_discs_never_cover_one_another(sets):
    scale = scale_of(replace(WEEKS, sets=tuple(sets)), wide=False)
    places = [mark.place for mark in shown_sets(sets, scale) if mark.done.acceptable]
    apart = [(a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 for i, a in enumerate(places) for b in places[i + 1 :]]
    assert all(square >= (2 * scale.radius) ** 2 for square in apart)


def test_a_map_without_a_model_has_no_regions_and_no_words_in_them():
    root = parsed(height_load_map(HeightLoadMap(sets=WEEKS.sets, old_load=(180, 225)), wide=True))
    assert not [name for name in ("f-wash", "f-hatch", "l-chalk") if with_class(root, name)]
    assert "not sure" not in texts(root)


def test_an_empty_map_is_a_floor_with_a_scale():
    root = parsed(height_load_map(HeightLoadMap(), wide=False))
    assert {"floor", "0 kg", "+10"} <= set(texts(root))


def test_the_next_test_is_an_open_ring_with_a_question_mark():
    root = parsed(height_load_map(replace(WEEKS, next_test=(120, 225), level_mm=None), wide=True))
    assert len(with_class(root, "set-next")) == 1
    assert "?" in texts(root)


def test_the_old_load_is_dashed_and_named():
    root = parsed(height_load_map(WEEKS, wide=True))
    assert with_class(root, "set-old")
    assert "old load 180 kg" in texts(root)


def test_the_map_says_what_it_shows():
    said = spoken(parsed(height_load_map(WEEKS, wide=True)))
    assert "8 sets" in said
    assert "up to 118 kg" in said
    assert "old load was 180 kg" in said


def test_pounds_are_named_on_the_scale():
    assert "0 lb" in texts(
        parsed(height_load_map(HeightLoadMap(old_load=(405, 225), unit=Unit.LB), wide=True))
    )


def test_the_table_has_every_set_and_every_border():
    root = parsed(f"<div>{map_table(WEEKS)}</div>")
    sets, borders = root.findall("table")
    assert len(sets.findall("tbody/tr")) == len(WEEKS.sets)
    assert [cell.text for cell in sets.findall("tbody/tr")[-1]] == ["38", "110 kg", "floor", "5", "2", "yes"]
    assert [cell.text for cell in borders.findall("tbody/tr")[0]] == ["floor", "106 kg", "118 kg", "133 kg"]


def test_a_table_of_nothing_is_nothing():
    assert map_table(HeightLoadMap()) == ""
