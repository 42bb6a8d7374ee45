import pytest

from floorward.reports.drawings.bands import band, kept_bar, rest_strip, set_sign
from floorward.reports.drawings.course import LoadCourse, load_course
from floorward.reports.drawings.map_scale import MapSet
from floorward.reports.wording import sentence_for
from tests.reports.drawing import outside, overlapping, parsed, spoken, texts, with_class


def done(day, load, pain, *, acceptable=True):
    return MapSet(load=load, height_mm=225, pain=pain, acceptable=acceptable, day=day)


COURSE = LoadCourse(
    past=tuple((day, 30 + 2 * day, 38 + 2 * day, 52 + 2 * day) for day in range(0, 39, 2)),
    ahead=tuple(
        (day, 106 + (day - 38) / 3, 118 + (day - 38) / 2, 132 + (day - 38) / 1.4) for day in range(38, 127, 8)
    ),
    sets=(done(1, 20, 5, acceptable=False), done(8, 50, 2), done(20, 80, 3), done(38, 110, 2)),
    today=38,
    old_load=180,
    goal_load=162,
    goal_days=(61, 90, 122),
    goal_words="162 kg: 3 Dec – 2 Feb",
    reviews=((10, True), (28, True), (42, False), (84, False)),
    away=((10, 14),),
)
SIZES = pytest.mark.parametrize("wide", [True, False], ids=["wide", "phone"])


@SIZES
def test_words_never_touch_and_never_leave_the_course(wide):
    root = parsed(load_course(COURSE, wide=wide))
    assert overlapping(root) == []
    assert outside(root) == []


@SIZES
def test_what_was_done_is_ink_and_what_is_expected_is_chalk(wide):
    root = parsed(load_course(COURSE, wide=wide))
    assert with_class(root, "set-ok")
    assert len(with_class(root, "l-chalk")) == 5
    assert with_class(root, "set-next")
    assert [e.text for e in with_class(root, "tc")] == ["162 kg: 3 Dec – 2 Feb"]


def test_reviews_done_have_ticks_and_those_to_come_open_boxes():
    root = parsed(load_course(COURSE, wide=True))
    boxes = [e for e in with_class(root, "set-no") if e.get("y") == "5"]
    ticks = [e for e in with_class(root, "l-mean") if "l4 5l7 -9" in e.get("d", "")]
    assert (len(boxes), len(ticks)) == (2, 2)


def test_a_heavier_set_stands_higher_and_a_later_one_further_right():
    root = parsed(load_course(COURSE, wide=True))
    places = sorted((float(e.get("cx")), float(e.get("cy"))) for e in with_class(root, "set-ok"))
    assert [y for _, y in places] == sorted((y for _, y in places), reverse=True)


def test_a_goal_that_is_not_expected_has_no_range():
    unsure = LoadCourse(past=COURSE.past, today=38, goal_load=162, goal_days=None)
    assert not with_class(parsed(load_course(unsure, wide=True)), "set-next")


def test_an_empty_course_is_a_floor_with_weeks():
    assert "week 0" in texts(parsed(load_course(LoadCourse(), wide=False)))


def test_the_course_says_where_it_began_and_where_it_is():
    said = spoken(parsed(load_course(COURSE, wide=True)))
    assert "Most likely 38 kg on the first day, now between 106 and 128 kg." in said
    assert "162 kg: 3 Dec – 2 Feb." in said


def test_a_band_is_cut_at_its_scale_and_keeps_its_order():
    root = parsed(band(40, 71, 200, inner=(65, 77), scale=(60, 130), reference=100))
    hatch, half = with_class(root, "f-hatch")[0], with_class(root, "f-chalk")[0]
    assert (float(hatch.get("x")), float(hatch.get("width"))) == (0, 150)
    assert 0 < float(half.get("x")) < float(half.get("x")) + float(half.get("width")) < 150


@pytest.mark.parametrize(("does", "helps", "end"), [(0.5, 0.25, 150), (1, 0, 200), (1.5, 1, 240), (0, 0, 0)])
def test_training_kept_is_drawn_against_one_usual_amount(does, helps, end):
    root = parsed(kept_bar(does, helps))
    assert sum(float(e.get("width")) for e in root.iter("rect")) == pytest.approx(end)
    assert with_class(root, "l-draw")[0].get("d") == "M200 0V24"


@pytest.mark.parametrize(("gone", "x"), [(0, 0), (90, 179), (180, 358), (999, 358)])
def test_the_rest_runs_to_its_end_and_stays_there(gone, x):
    assert float(with_class(parsed(rest_strip(gone, 180)), "f-bar")[0].get("width")) == x


@pytest.mark.parametrize(
    ("state", "class_", "said"),
    [("ok", "set-ok", ["2"]), ("not", "set-no", ["2"]), ("now", "set-now", []), ("next", "d-plate", [])],
)
def test_each_set_of_a_strip_has_its_own_sign(state, class_, said):
    root = parsed(set_sign(state, 2))
    assert with_class(root, class_)
    assert texts(root) == said


@pytest.mark.parametrize("code", ["drawn-pain-key", "drawn-course-key"])
def test_captions_explain_the_signs(code):
    assert "Round: " in sentence_for(code, {})
