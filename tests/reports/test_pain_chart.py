from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floorward.reports.drawings.pain_chart import PainCourse, PainDay, pain_chart, pain_table
from floorward.reports.drawings.svg import text_width_px
from tests.reports.drawing import outside, overlapping, parsed, spoken, texts, with_class

TRAINED = {0: (5, 7, 6), 2: (2, 4, 3), 5: (2, 2, 2), 8: (2, 3, 2), 12: (1, 6, 4), 14: (1, 0, 0)}
WEEKS = PainCourse(
    days=tuple(
        PainDay(
            day=day,
            morning=None if day in {3, 9} else 2,
            before=TRAINED[day][0] if day in TRAINED else None,
            worst=TRAINED[day][1] if day in TRAINED else None,
            after=TRAINED[day][2] if day in TRAINED else None,
            acceptable=day not in {0, 12},
        )
        for day in range(15)
    ),
    today=14,
    general=((0, 4.5, 6.5), (7, 3.0, 5.0), (14, 2.0, 4.0)),
    general_who="people who saw a clinician, not lifters",
)
SIZES = pytest.mark.parametrize("wide", [True, False], ids=["wide", "phone"])
scores = st.none() | st.integers(0, 10)


def discs(root):
    return [e for e in with_class(root, "set-ok") if e.get("r") == "11"]


@SIZES
def test_words_never_touch_and_never_leave_the_chart(wide):
    root = parsed(pain_chart(WEEKS, wide=wide))
    assert overlapping(root) == []
    assert outside(root) == []


def test_the_worst_of_a_day_is_a_disc_or_a_square_with_its_number():
    root = parsed(pain_chart(WEEKS, wide=True))
    assert sorted(e.text for e in with_class(root, "on-ink")) == ["0", "2", "3", "4"]
    assert {e.tag for e in with_class(root, "set-no")} == {"rect"}
    assert {"7", "6"} <= set(texts(root))


def test_more_pain_stands_higher_in_equal_steps_and_later_stands_right():
    root = parsed(
        pain_chart(PainCourse(days=tuple(PainDay(day=3 * n, worst=n) for n in range(4)), today=9), wide=True)
    )
    places = sorted((float(e.get("cx")), float(e.get("cy"))) for e in discs(root))
    steps = [before[1] - after[1] for before, after in pairwise(places)]
    assert steps[0] > 0
    assert steps == pytest.approx([steps[0]] * 3, abs=0.11)


@pytest.mark.parametrize("wide", [True, False])
def test_what_is_at_the_ceiling_is_under_its_line_and_what_is_over_is_above(wide):
    course = PainCourse(days=(PainDay(day=2, worst=3), PainDay(day=9, worst=4)), today=13, ceiling=3)
    root = parsed(pain_chart(course, wide=wide))
    ceiling = float(with_class(root, "l-mean")[0].get("d").split("H")[0].split()[1])
    under, over = sorted(float(e.get("cy")) for e in discs(root))[::-1]
    assert under - 11 > ceiling > over + 11 - 1.5


def until(today, wide):
    """The weeks drawn up to a day, and where the line of that day stands."""
    root = parsed(pain_chart(replace(WEEKS, days=WEEKS.days[: today + 1], today=today), wide=wide))
    line = next(e for e in with_class(root, "w-2") if "V" in e.get("d"))
    return root, float(line.get("d")[1:].split()[0])


@SIZES
@pytest.mark.parametrize("today", [3, 9, 14, 37])
def test_whose_course_the_band_is_stands_beside_the_line_of_today_and_not_across_it(wide, today):
    root, x = until(today, wide)
    named = [e for e in with_class(root, "t2") if e.text and e.text in WEEKS.general_who and len(e.text) > 3]
    assert " ".join(e.text for e in sorted(named, key=lambda e: float(e.get("y")))) == WEEKS.general_who
    for part in named:
        right = float(part.get("x"))
        assert right < x or right - text_width_px(part.text, 12) > x
    assert overlapping(root) == []
    assert outside(root) == []


@SIZES
@pytest.mark.parametrize("today", [5, 6, 8, 13])
def test_what_a_disc_and_a_dash_are_is_not_written_across_the_line_of_today(wide, today):
    root, x = until(today, wide)
    named = [e for e in root.iter() if e.text in {"worst in a set", "morning"}]
    assert len(named) == 2
    for one in named:
        width = text_width_px(one.text, 12)
        left = float(one.get("x")) - {"end": width, "middle": width / 2}.get(one.get("text-anchor"), 0.0)
        assert not left < x < left + width


def test_a_missing_morning_breaks_the_line():
    root = parsed(
        pain_chart(
            PainCourse(days=tuple(PainDay(day=d, morning=2) for d in (0, 1, 3, 4)), today=4), wide=True
        )
    )
    joined = [e for e in with_class(root, "l-dim") if "L" in e.get("d")]
    assert len(joined) == 2


def test_a_day_without_before_and_after_is_a_disc_without_a_hill():
    root = parsed(pain_chart(PainCourse(days=(PainDay(day=4, worst=2),), today=4), wide=True))
    assert len(discs(root)) == 1
    assert not [e for e in with_class(root, "l-draw") if "w-2" not in e.get("class")]


def test_a_long_course_on_a_phone_keeps_every_unacceptable_day():
    days = tuple(
        PainDay(day=d, morning=1, worst=2 if d % 2 else None, acceptable=d % 35 != 15) for d in range(180)
    )
    root = parsed(pain_chart(PainCourse(days=days, today=179), wide=False))
    assert len(with_class(root, "set-no")) == sum(not day.acceptable for day in days if day.worst is not None)
    assert overlapping(root) == []


def test_the_course_of_other_people_is_a_grey_band_with_their_name():
    root = parsed(pain_chart(WEEKS, wide=True))
    assert len(with_class(root, "f-course")) == 1
    assert "people who saw a clinician, not lifters" in texts(root)


def test_an_empty_chart_has_its_scale_its_ceiling_and_no_names():
    root = parsed(pain_chart(PainCourse(), wide=False))
    assert {"0", "10", "ceiling 3", "limit 5"} <= set(texts(root))
    assert "morning" not in texts(root)


def test_the_chart_says_what_it_shows():
    said = spoken(parsed(pain_chart(WEEKS, wide=True)))
    assert "6 training days" in said
    assert "13 mornings" in said
    assert "day 14, worst 0" in said


@settings(max_examples=40)
@given(
    st.lists(st.builds(PainDay, day=st.integers(0, 120), morning=scores, before=scores, worst=scores, after=scores, acceptable=st.booleans()), max_size=40),
    st.booleans(),
)  # fmt: skip
def test_numbers_never_touch_whatever_was_answered(days, wide):
    course = PainCourse(
        days=tuple(sorted({day.day: day for day in days}.values(), key=lambda day: day.day)), today=120
    )
    root = parsed(pain_chart(course, wide=wide))
    assert overlapping(root) == []


def test_the_table_has_a_row_for_each_day_and_a_dash_for_no_answer():
    root = parsed(f"<div>{pain_table(WEEKS)}</div>")
    rows = [[cell.text for cell in row] for row in root.findall("table/tbody/tr")]
    assert len(rows) == 15
    assert rows[0] == ["0", "2", "5", "7", "6", "no"]
    assert rows[3] == ["3", "–", "–", "–", "–", "–"]


def test_a_table_of_no_days_is_nothing():
    assert pain_table(PainCourse()) == ""
