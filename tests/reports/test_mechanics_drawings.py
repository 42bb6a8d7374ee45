"""The row of figures, the line of ten and the stairs: what they promise to the eye and to ears."""

import pytest

from floorward.reports.drawings.figure_row import figure_row, most_px_per_m
from floorward.reports.drawings.line_of_ten import line_of_ten
from floorward.reports.drawings.stairs import Tread, staircase
from tests.reports.drawing import outside, overlapping, parsed, spoken, texts, with_class
from tests.reports.test_figure import FLOOR, RAISED, SQUAT, TRAP, floor_y, number

FOUR = (FLOOR, RAISED, TRAP, SQUAT)
PEOPLE = tuple(0.40 + 0.01 * n for n in range(10))
WAY = (
    Tread(name="Trap bar, high handles, +10 cm", step=0.0),
    Tread(name="Trap bar, low handles", step=1.2),
    Tread(name="Deadlift, from the floor", step=0.6),
)


@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_all_figures_stand_on_one_floor_at_one_scale_with_one_staff(count):
    root = parsed(figure_row(FOUR[:count], most_px=1180))
    assert len(with_class(root, "l-floor")) == 1
    plates = with_class(root, "f-through")
    assert len({number(plate, "r") for plate in plates}) == 1
    assert len([e for e in with_class(root, "l-draw") if e.tag == "rect"]) == 1


def test_the_figures_stand_from_left_to_right_in_equal_parts_of_a_wide_row():
    root = parsed(figure_row(FOUR, most_px=1180))
    assert number(root, "width") == pytest.approx(1180, abs=0.2)
    plumbs = [number(plate, "cx") for plate in with_class(root, "f-through")]
    assert plumbs == sorted(plumbs)


def test_the_chalk_line_runs_at_the_first_grip_across_the_whole_row():
    root = parsed(figure_row((FLOOR, RAISED), px_per_m=200, most_px=1180))
    (level,) = with_class(root, "l-level")
    y = float(level.get("d").split()[1].split("H")[0])
    assert floor_y(root) - y == pytest.approx(0.225 * 200, abs=0.2)
    assert float(level.get("d").split("H")[1]) == pytest.approx(number(root, "width"), abs=0.2)


def test_a_second_row_keeps_the_chalk_line_of_the_first():
    root = parsed(figure_row((RAISED, TRAP), px_per_m=140, most_px=358, level_m=FLOOR.level_m))
    y = float(with_class(root, "l-level")[0].get("d").split()[1].split("H")[0])
    assert floor_y(root) - y == pytest.approx(0.225 * 140, abs=0.3)


@pytest.mark.parametrize("pair", [(FLOOR, RAISED), (TRAP, SQUAT)])
def test_a_pair_fits_a_phone_and_no_words_touch(pair):
    root = parsed(figure_row(pair, most_px=358))
    assert number(root, "width") <= 358.1
    assert overlapping(root) == []
    assert outside(root) == []


def test_the_scale_of_a_row_is_the_greatest_that_still_fits():
    scale = most_px_per_m((FLOOR, RAISED), 358)
    plates = with_class(parsed(figure_row((FLOOR, RAISED), most_px=358)), "f-through")
    assert number(plates[0], "r") == pytest.approx(0.225 * scale, abs=0.1)


def test_a_row_says_every_figure_in_turn():
    said = spoken(parsed(figure_row((FLOOR, RAISED))))
    assert said.index("Floor, 110 kg") < said.index("On 10 cm of blocks")


def test_ten_stand_in_the_line_and_one_is_solid():
    root = parsed(line_of_ten(PEOPLE, 7, (4, 9)))
    assert len(with_class(root, "f-chalk")) == 1
    assert len(with_class(root, "f-course")) == 9
    assert len(with_class(root, "f-hatch")) == 5


def test_the_line_rises_from_the_first_to_the_last():
    bodies = list(parsed(line_of_ten(PEOPLE, 1, (1, 1))).iter("rect"))
    heights = [number(body, "height") for body in bodies]
    assert heights == sorted(heights)
    assert heights[0] < heights[-1]


def test_a_line_of_equals_is_drawn_too():
    assert parsed(line_of_ten((0.4,) * 10, 5, (1, 10))) is not None


@pytest.mark.parametrize("wide", [True, False])
def test_the_stairs_go_down_to_the_floor_by_the_size_of_each_step(wide):
    root = parsed(staircase(WAY, wide=wide))
    woods = with_class(root, "f-wood")
    assert len(woods) == 2
    first, second = (number(wood, "height") for wood in woods)
    assert first - second == pytest.approx(2 * second, abs=0.5)
    assert number(with_class(root, "set-old")[0], "cy") > number(with_class(root, "set-ok")[0], "cy")


@pytest.mark.parametrize("wide", [True, False])
@pytest.mark.parametrize("count", [1, 2, 5, 9, 14])
def test_every_tread_has_its_number_and_no_words_touch(wide, count):
    treads = [Tread(name="Trap bar, high handles, +10 cm", step=float(n > 0)) for n in range(count)]
    root = parsed(staircase(treads, wide=wide))
    assert {str(n + 1) for n in range(count)} <= set(texts(root))
    assert overlapping(root) == []
    assert outside(root) == []


def test_names_that_do_not_fit_are_left_to_the_table_but_not_to_ears():
    treads = [Tread(name="Trap bar, high handles, +10 cm", step=1.0)] * 20
    root = parsed(staircase(treads, wide=True))
    assert not [text for text in texts(root) if "handles" in text]
    assert "high handles" in spoken(root)


def test_the_names_on_a_wide_page_stand_over_their_treads():
    assert {"Trap bar", "low handles", "from the floor"} <= set(texts(parsed(staircase(WAY, wide=True))))
