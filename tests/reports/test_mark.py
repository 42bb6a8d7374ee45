import pytest

from floorward.reports.drawings.mark import mark, sign
from tests.reports.drawing import parsed, spoken, with_class


def plate(drawing):
    return with_class(parsed(drawing), "f-ink")[0]


def test_more_load_stands_further_right_and_a_raised_bar_higher():
    low, more, raised = (plate(mark(f, h)) for f, h in ((0.3, 225), (0.6, 225), (0.3, 325)))
    assert float(low.get("cx")) < float(more.get("cx"))
    assert float(raised.get("cy")) < float(low.get("cy"))
    assert low.get("cy") == more.get("cy")


def test_ten_and_twenty_centimetres_are_drawn_one_to_two():
    blocks = [with_class(parsed(mark(0.5, h, wide=True)), "f-oak")[0] for h in (325, 425)]
    ten, twenty = (float(block.get("height")) for block in blocks)
    assert twenty == pytest.approx(2 * ten, abs=0.11)


def test_the_whole_old_load_lies_on_the_dashed_plate():
    root = parsed(mark(1.0, 225))
    assert with_class(root, "d-plate")[0].get("cx") == with_class(root, "f-ink")[0].get("cx")


def test_a_lifter_without_an_accepted_load_has_the_old_plate_and_no_disc():
    root = parsed(mark(None))
    assert with_class(root, "d-plate")
    assert not with_class(root, "f-ink")
    assert spoken(root) == "no accepted load yet"


def test_a_lift_that_fixes_its_own_height_stands_on_the_floor():
    assert not with_class(parsed(mark(0.4, 0)), "f-oak")


def test_the_mark_says_in_words_what_it_shows():
    assert spoken(parsed(mark(0.58, 325))) == "58 per cent of the old load, bar raised 10 cm"


@pytest.mark.parametrize(("wide", "size"), [(False, ("74", "40")), (True, ("92", "46"))])
@pytest.mark.parametrize(("fraction", "height"), [(0, 225), (1.6, 225), (0.5, 900)])
def test_nothing_leaves_the_mark_however_odd_the_numbers(wide, size, fraction, height):
    root = parsed(mark(fraction, height, wide=wide))
    assert (root.get("width"), root.get("height")) == size
    disc = with_class(root, "f-ink")[0]
    x, y, r = (float(disc.get(key)) for key in ("cx", "cy", "r"))
    assert r <= x <= float(size[0]) - r
    assert y >= r - 0.1


@pytest.mark.parametrize("change", ["forward", "hold", "back", "send"])
def test_a_sign_is_hidden_from_ears_because_words_stand_beside_it(change):
    root = parsed(sign(change))
    assert root.get("aria-hidden") == "true"
    assert root.get("role") is None


def test_forward_and_back_point_opposite_ways():
    def run(drawing):
        d = with_class(parsed(drawing), "l-sign")[0].get("d")
        start, end = d[1:].split("M")[0].split("L")
        return [float(b) - float(a) for a, b in zip(start.split(), end.split(), strict=True)]

    assert all(step > 0 for step in run(sign("forward")))
    assert all(step < 0 for step in run(sign("back")))


def test_an_unknown_sign_is_our_mistake():
    with pytest.raises(KeyError):
        sign("sideways")


def test_a_drawing_goes_into_a_template_as_it_is():
    drawing = mark(0.5, 225)
    assert drawing.__html__() == drawing
    assert parsed(drawing).tag == "svg"
