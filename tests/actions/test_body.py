"""A lifter's body as the page shows it."""

import pytest

from floorward.actions.body import body_view
from floorward.storage.models import BestSet
from floorward.units import kg

pytestmark = pytest.mark.django_db


def row(rows, code):
    return next(one for one in rows if one.code == code)


def test_from_height_alone_a_proportion_is_open_and_every_tape_has_its_gain(lifter):
    view = body_view(lifter)
    assert {one.word for one in view.ratios} == {"open"}
    assert {one.gain.tape for one in view.gains} == {
        "span",
        "crotch",
        "sitting_height",
        "knee_height",
        "sleeve",
    }
    assert view.known == ()
    assert view.gains[0].gain.most >= view.gains[-1].gain.most


def test_a_long_span_makes_long_arms(lifter):
    lifter.span_m = 1.95
    view = body_view(lifter)
    assert view.known == ("span",)
    assert row(view.lengths, "arm").word == "high"
    assert row(view.lengths, "arm").words == "arm-high"


def test_with_all_five_taken_nothing_is_left_to_gain(lifter):
    lifter.span_m, lifter.crotch_m, lifter.sitting_height_m = 1.82, 0.85, 0.92
    lifter.knee_height_m, lifter.sleeve_m = 0.56, 0.59
    view = body_view(lifter)
    assert view.gains == ()
    assert len(view.other_fields) == 5


def test_the_pull_is_reckoned_at_the_best_set_or_at_body_mass(lifter):
    assert body_view(lifter).load == kg(85)
    assert not body_view(lifter).from_best
    BestSet.objects.create(lifter=lifter, lift="deadlift", load=180, unit="kg", reps=3, day="2026-10-01")
    assert body_view(lifter).load == kg(180)
    assert body_view(lifter).from_best


def test_the_trunk_never_leans_below_the_level(lifter):
    lifter.stature_m = 2.1
    view = body_view(lifter)
    assert view.sure is None or view.sure.trunk_deg.p10 >= 0
