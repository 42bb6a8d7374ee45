from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from floorward.reports.drawings.sets_line import WIDTH, Mark, sets_line
from floorward.units import Unit
from tests.reports.drawing import overlapping, parsed, spoken, texts, with_class


def mark(load, pain, *, good=True, label=""):
    return Mark(load=Decimal(load), pain=pain, acceptable=good, label=label)


EVENING = (mark(200, 7, good=False, label="at first"), mark(180, 6, good=False), mark(20, 0), mark(45, 1))


def drawn(marks, next_load=None, lightest=20):
    return parsed(sets_line(marks, lightest=Decimal(lightest), next_load=next_load))


def test_round_is_acceptable_and_square_is_not():
    root = drawn(EVENING, Decimal(70))
    assert len(with_class(root, "set-ok")) == 2
    assert len(with_class(root, "set-no")) == 2
    assert "?" in texts(root)


def test_heavier_sets_stand_further_right():
    light, heavy = with_class(drawn((mark(20, 0), mark(45, 1))), "set-ok")
    assert float(light.get("cx")) < float(heavy.get("cx"))


def test_the_line_stays_as_it_is_while_the_search_goes_on():
    before, after = drawn(EVENING[:1], Decimal(180)), drawn(EVENING, Decimal(70))
    ticks = [[word for word in texts(root) if len(word) > 1 and word.isdigit()] for root in (before, after)]
    assert ticks[0] == ticks[1]


def test_sets_at_one_load_stand_on_one_another():
    lower, upper = with_class(drawn((mark(20, 5), mark(20, 4), mark(100, 7, good=False))), "set-ok")
    assert lower.get("cx") == upper.get("cx")
    assert float(upper.get("cy")) < float(lower.get("cy"))


def test_it_is_spoken_in_the_gyms_unit():
    root = parsed(sets_line((mark(95, 1),), lightest=Decimal(45), next_load=Decimal(145), unit=Unit.LB))
    assert spoken(root) == "95 lb pain 1, acceptable; next test 145 lb"


@given(
    loads=st.lists(st.integers(8, 160).map(lambda n: Decimal(n) * Decimal("2.5")), min_size=1, max_size=12),
    lightest=st.sampled_from((10, 15, 20)),
)
def test_no_mark_leaves_the_drawing_or_hides_another(loads, lightest):
    marks = [mark(load, 3, good=False) for load in loads]
    root = drawn(marks, None, lightest)
    squares = [(float(e.get("x")), float(e.get("y"))) for e in with_class(root, "set-no")]
    assert all(0 <= x <= WIDTH - 22 and y >= 0 for x, y in squares)
    assert not [
        (a, b)
        for i, a in enumerate(squares)
        for b in squares[i + 1 :]
        if abs(a[0] - b[0]) < 22 and abs(a[1] - b[1]) < 22
    ]
    assert not overlapping(root)
