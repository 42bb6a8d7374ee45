import re
from dataclasses import replace
from math import cos, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.reports.drawings.figure import StandingFigure, start_figure, two_figures
from floorward.reports.drawings.silhouette import capsule, elbow_of
from tests.reports.drawing import outside, overlapping, parsed, spoken, texts, with_class


def figure(shank_deg=70, thigh_deg=23, trunk_deg=32, hand=(0.12, 0.225), **more):
    """A 1.76 m man's links at these angles; the bar in the hands unless told otherwise."""
    ankle = (0.0, 0.073)
    knee = (0.417 * cos(radians(shank_deg)), 0.073 + 0.417 * sin(radians(shank_deg)))
    hip = (knee[0] - 0.426 * cos(radians(thigh_deg)), knee[1] + 0.426 * sin(radians(thigh_deg)))
    along = (cos(radians(trunk_deg)), sin(radians(trunk_deg)))
    shoulder = (hip[0] + 0.48 * along[0], hip[1] + 0.48 * along[1])
    l5s1 = (hip[0] + 0.096 * along[0], hip[1] + 0.096 * along[1])
    joints = {
        "ankle": ankle,
        "knee": knee,
        "hip": hip,
        "l5s1": l5s1,
        "shoulder": shoulder,
        "hand": hand or shoulder,
    }
    bar = {"bar_x_m": joints["hand"][0], "bar_y_m": joints["hand"][1]} | more
    return StandingFigure(joints=joints, **bar)


FLOOR = figure(label="Floor, 110 kg")
RAISED = figure(72, 30, 38, (0.12, 0.325), blocks_mm=100, label="On 10 cm of blocks")
TRAP = figure(69, 27, 45, (0.065, 0.345), bar_y_m=0.225, handle_mm=120, label="Trap bar, high")
SQUAT = figure(63, -5, 62, None, on_back=True, label="High-bar squat, 90 kg")


def number(element, key):
    return float(element.get(key))


def plate(root):
    return with_class(root, "f-through")[0]


def floor_y(root):
    return number(with_class(root, "f-ticks")[0], "y") - 4


@pytest.mark.parametrize("px_per_m", [148.0, 250.0])
def test_plate_block_and_staff_share_one_scale(px_per_m):
    root = parsed(start_figure(RAISED, px_per_m=px_per_m))
    assert number(plate(root), "r") == pytest.approx(0.225 * px_per_m, abs=0.1)
    assert number(with_class(root, "f-wood")[0], "height") == pytest.approx(0.1 * px_per_m, abs=0.1)
    blocks = [e for e in with_class(root, "f-ink") if e.tag == "rect"]
    assert number(blocks[0], "height") == pytest.approx(0.05 * px_per_m, abs=0.1)


@pytest.mark.parametrize("shown", [FLOOR, RAISED])
def test_the_plate_stands_on_the_floor_or_on_its_block(shown):
    root = parsed(start_figure(shown))
    under = floor_y(root) - shown.blocks_mm / 1000 * 250
    assert number(plate(root), "cy") + number(plate(root), "r") == pytest.approx(under, abs=0.2)


def test_the_level_arm_is_the_distance_from_l5s1_to_the_plumb_line():
    root = parsed(start_figure(FLOOR))
    joint = with_class(root, "joint-main")[0]
    drawn = (number(plate(root), "cx") - number(joint, "cx")) / 250
    assert drawn == pytest.approx(FLOOR.arm_m, abs=0.001)
    assert f"{round(FLOOR.arm_m * 100)} cm" in texts(root)


def test_two_figures_stand_on_one_floor_at_one_scale():
    root = parsed(two_figures(FLOOR, RAISED))
    first, second = with_class(root, "f-through")
    assert number(first, "r") == number(second, "r")
    assert number(first, "cy") - number(second, "cy") == pytest.approx(25, abs=0.1)
    assert len(with_class(root, "l-floor")) == 1


def test_the_chalk_line_of_a_trap_bar_marks_the_handles():
    root = parsed(start_figure(TRAP))
    y = float(re.match(r"M\S+ (\S+)H", with_class(root, "l-level")[0].get("d"))[1])
    assert floor_y(root) - y == pytest.approx(0.345 * 250, abs=0.1)
    assert with_class(root, "f-frame")


def test_the_chalk_line_of_a_map_arrives_at_its_own_height_and_bends():
    root = parsed(start_figure(RAISED, size=(400, 452), map_level_px=120))
    assert with_class(root, "l-level")[0].get("d").startswith(f"M0 {floor_y(root) - 120:.1f}L")


@pytest.mark.parametrize("most_px", [358, 480])
def test_a_pair_for_a_phone_keeps_its_width_and_its_words(most_px):
    root = parsed(two_figures(FLOOR, SQUAT, most_px=most_px))
    assert float(root.get("width")) <= most_px
    assert overlapping(root) == []
    assert "29 cm" in texts(root)
    assert any(text.startswith("High-bar squat") for text in texts(root))


@pytest.mark.parametrize("shown", [FLOOR, RAISED, TRAP, SQUAT])
def test_words_of_one_figure_never_touch_or_leave_it(shown):
    root = parsed(start_figure(shown))
    assert overlapping(root) == []
    assert outside(root) == []


def test_the_spoken_label_has_the_height_the_arm_and_the_doubt():
    said = spoken(parsed(start_figure(RAISED)))
    assert (
        said
        == "On 10 cm of blocks: bar at 32.5 cm, on 10 cm of blocks, 28 cm in front of the low back. One posture of several."
    )


def test_a_hostile_label_is_plain_text():
    root = parsed(start_figure(replace(FLOOR, label='"><script>alert(1)</script>\x00')))
    assert '"><script>alert(1)</script>\ufffd' in "".join(texts(root))


def test_a_lift_without_plates_has_none():
    assert not with_class(parsed(start_figure(replace(FLOOR, plate_diameter_mm=0))), "f-through")


def test_a_straight_arm_has_its_elbow_on_the_line_and_a_bent_one_below_it():
    assert elbow_of((0.0, 0.0), (0.0, 100.0), 100.0) == (0.0, 50.0)
    assert elbow_of((0.0, 0.0), (10.0, 0.0), 100.0)[1] > 0


@given(st.floats(0.1, 50), st.floats(0.1, 50), st.floats(-90, 90), st.floats(-90, 90))
def test_every_capsule_is_a_path_of_plain_numbers(start_r, end_r, x, y):
    d = capsule((0.0, 0.0), (x, y), start_r, end_r)
    assert d.startswith("M")
    assert d.endswith("Z")
    assert "n" not in d
