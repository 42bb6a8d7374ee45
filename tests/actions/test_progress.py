"""The progress page: when the old load should be back, and the tracks side by side."""

import re
from datetime import timedelta
from decimal import Decimal

import pytest

from floorward.actions.mornings import Answer, record_morning
from floorward.actions.progress import progress_view
from floorward.language import speaking
from tests.conftest import at
from tests.reports.drawing import parsed, with_class
from tests.training import searched, sore_back, trained

pytestmark = pytest.mark.django_db
NOON = at("2026-11-27 12:00")


@pytest.fixture
def episode(lifter, coach):
    """Abel after four evenings in two weeks, each a little heavier."""
    row = searched(sore_back(lifter, coach, started="2026-11-12 18:10"))
    for day, load in (
        ("2026-11-16", "95"),
        ("2026-11-19", "97.5"),
        ("2026-11-23", "100"),
        ("2026-11-26", "105"),
    ):
        trained(row, day, load, (1, 1, 1), sets=1)
        woke = at(f"{day} 07:00") + timedelta(days=1)
        record_morning(row, Answer(day=woke.date(), score=1), now=woke)
    return row


def test_the_old_load_is_forecast_with_a_share_that_may_not_get_there(lifter, episode):
    ahead = progress_view(lifter, NOON).outlook
    assert ahead.kind in {"range", "from"}
    assert ahead.goal == Decimal("180.0")
    assert 1 <= ahead.first <= ahead.middle <= 26
    assert 2 <= int(ahead.share) <= 30
    assert ahead == progress_view(lifter, NOON).outlook


def test_close_to_the_old_load_the_forecast_is_a_range(lifter, episode):
    for day in ("2026-11-24", "2026-11-25", "2026-11-26"):
        trained(episode, day, "170", (1, 0, 0), sets=1)
    ahead = progress_view(lifter, NOON).outlook
    assert ahead.kind == "range"
    assert 1 <= ahead.first <= ahead.last <= 8


def test_who_is_back_is_told_the_day(lifter, episode):
    trained(episode, "2026-11-26", "180", (1, 2, 1), sets=1)
    ahead = progress_view(lifter, NOON).outlook
    assert (ahead.kind, ahead.reached) == ("reached", at("2026-11-26 12:00").date())


def test_symptoms_that_spread_leave_no_date(lifter, episode):
    trained(episode, "2026-11-27", "105", (1, 2, 1), sets=1, spreading=True)
    assert progress_view(lifter, NOON).outlook.kind == "stopped"


def test_a_bar_that_never_stood_at_full_height_has_no_forecast(lifter, coach):
    raised = sore_back(lifter, coach)
    trained(raised, "2026-11-26", "60", (1, 1, 1), height_mm=325)
    assert progress_view(lifter, NOON).outlook is None


def test_each_set_up_is_a_track_with_its_best_and_its_share_of_the_old_load(lifter, episode):
    trained(episode, "2026-11-26", "110", (1, 2, 1), height_mm=325)
    trained(episode, "2026-11-26", "60", (1, 4, 1), lift="romanian-deadlift", height_mm=0)
    first, *others = progress_view(lifter, NOON).tracks
    assert (first.full, first.newest.load, first.best.load, first.percent) == (
        True,
        Decimal(105),
        Decimal("107.5"),
        54,
    )
    found = {(track.lift, track.rise_mm): track for track in others}
    assert found["deadlift", 100].percent == 55
    assert found["romanian-deadlift", 0].best is None


def test_the_map_shows_the_sets_of_all_tracks(lifter, episode):
    trained(episode, "2026-11-26", "110", (1, 2, 1), lift="sumo-deadlift", height_mm=225)
    table = progress_view(lifter, NOON).height_load.table
    assert "sumo deadlift, floor" in re.sub("<[^>]+>", " ", table)
    assert "set-beside" in progress_view(lifter, NOON).height_load.wide


def test_the_general_course_is_of_the_low_back_only(lifter, coach, episode):
    assert "people who saw a clinician, not lifters" in progress_view(lifter, NOON).pain.wide
    knee = sore_back(lifter, coach, region="knee", lift="high-bar-squat", started="2026-11-20 18:00")
    trained(knee, "2026-11-26", "60", (1, 1, 1), lift="high-bar-squat", height_mm=0)
    view = progress_view(lifter, NOON, episode_id=knee.pk)
    assert "people who saw a clinician" not in view.pain.wide


def test_the_page_says_it_in_words(signed_in, lifter, episode, clock):
    clock("2026-11-27 12:00")
    page = signed_in.get(f"/lifters/{lifter.pk}/progress").content.decode()
    text = re.sub(r"\s+", " ", re.sub("<[^>]+>", " ", page))
    said = r"90 % of the old load \(180 kg\): (not likely before \d+ weeks?|most likely between \d+ and \d+ weeks) from today"
    assert re.search(said, text)
    assert "may not get there within half a year of the first day" in text
    assert "Every set-up so far" in text
    assert "/help/science/forecast" in page


@pytest.mark.parametrize("unit", ["kg", "lb"])
@pytest.mark.parametrize("height_mm", [225, 325, 400])
def test_the_staff_of_the_map_reaches_its_top_in_centimetres_and_in_inches(lifter, episode, unit, height_mm):
    trained(episode, "2026-11-26", "60", (1, 1, 1), height_mm=height_mm)
    with speaking("en", unit):
        map_of_all = parsed(progress_view(lifter, NOON).height_load.wide)
    lines = [float(e.get("d")[1:].split("H")[0].split()[1]) for e in with_class(map_of_all, "l-hair")]
    blocks = [float(e.get("y")) for e in with_class(map_of_all, "f-ink") if e.get("width") == "10"]
    assert min(lines) == pytest.approx(45, abs=0.1)
    assert min(lines) <= min(blocks)
