"""The height–load map as a page: regions from the lifter's own sets, a sheet for each lift, one spot chosen."""

import json
import re

import pytest

from floorward.actions import sessions
from floorward.actions.map_page import map_page
from floorward.reports.drawings.map_scale import HeightLoadMap
from floorward.reports.drawings.map_table import map_table
from floorward.storage.models import DoneSet
from tests.conftest import at
from tests.web.evening import accepted, no_to_all, report, screened
from tests.web.test_mechanics import get

pytestmark = pytest.mark.django_db


@pytest.fixture
def found(signed_in, lifter):
    """Abel with 107.5 kg accepted from the floor."""
    return accepted(signed_in, lifter)


def sheet(lifter, **asked):
    return map_page(lifter, at("2026-11-23 18:30"), **asked)


def moves(text):
    return json.loads(re.search(r'<script id="map-moves" type="application/json">(.*?)</script>', text)[1])


def test_the_page_chooses_where_the_lifter_stands(signed_in, lifter, found):
    chosen = sheet(lifter).chosen
    assert (chosen.load, chosen.row.built.setup.height_mm) == (107.5, 225)
    text = get(signed_in, f"/lifters/{lifter.pk}/map")
    assert 'class="map-choice"' in text
    assert "should be acceptable up to" in text


def test_regions_widen_with_the_load_from_sure_over_not_sure_to_too_much(lifter, found):
    for row in sheet(lifter).rows:
        assert 0 < row.sure < row.likely < row.unlikely


def test_a_light_set_is_sure_and_the_old_load_too_much_right_after_it_hurt(lifter, found):
    page = sheet(lifter)
    light, heavy = page.loads.index(60), page.loads.index(220)
    assert sheet(lifter, row=0, load=light).chosen.region == "sure"
    assert sheet(lifter, row=0, load=heavy).chosen.region == "too-much"
    assert sheet(lifter, row=0, load=heavy).chosen.one_in == 1


def test_each_lift_of_the_way_back_has_a_sheet_of_its_own(signed_in, lifter, found):
    assert sheet(lifter).sheets == ("deadlift", "trap-bar-low", "trap-bar-high")
    text = get(signed_in, f"/lifters/{lifter.pk}/map?lift=trap-bar-high")
    assert "Trap bar, high handles: what should be acceptable" in text
    assert moves(text)["rows"][0]["mm"] == 345


def test_the_script_is_told_what_the_page_says(signed_in, lifter, found):
    told = moves(get(signed_in, f"/lifters/{lifter.pk}/map"))
    page = sheet(lifter)
    assert [row["mm"] for row in told["rows"]] == [row.built.setup.height_mm for row in page.rows]
    assert told["rows"][0]["oneIn"] == list(page.rows[0].one_in)
    assert len(told["loads"]) == len(told["rows"][0]["oneIn"])


@pytest.mark.parametrize("asked", ["lift=moon-walk", "row=-1", "row=99999", "load=heavy", "load=99999"])
def test_an_address_that_makes_no_sense_shows_a_map_all_the_same(signed_in, lifter, found, asked):
    assert 'class="map-choice"' in get(signed_in, f"/lifters/{lifter.pk}/map?{asked}")


def test_nothing_is_shown_while_the_region_is_locked(signed_in, lifter):
    episode = report(signed_in, lifter)
    signed_in.post(f"/episodes/{episode.pk}/screen", no_to_all(LB1="yes"))
    text = get(signed_in, f"/lifters/{lifter.pk}/map")
    assert "Stopped: no map is shown while it is locked" in text
    assert "height-load" not in text


@pytest.fixture
def sore_squat(signed_in, lifter):
    """Abel's high-bar squat hurt at 120 kg."""
    return screened(signed_in, lifter, lift="high-bar-squat", load="120", usual_load="130")


@pytest.mark.parametrize(("lift", "shown"), [("high-bar-squat", True), ("overhead-press", False)])
def test_progress_leads_to_a_map_only_where_mechanics_know_the_lift(signed_in, lifter, lift, shown):
    screened(signed_in, lifter, lift=lift, load="60", usual_load="70")
    text = get(signed_in, f"/lifters/{lifter.pk}/progress")
    assert ("The map: what should be acceptable" in text) == shown
    assert ("The way back to the full lift" in text) == shown


def test_a_squat_has_a_sheet_by_the_holes_of_a_rack_and_one_by_boxes(signed_in, lifter, sore_squat):
    assert sheet(lifter).sheets == ("high-bar-squat", "box-squat")
    text = get(signed_in, f"/lifters/{lifter.pk}/map")
    assert "High-bar squat: what should be acceptable, by depth and load" in text
    boxes = get(signed_in, f"/lifters/{lifter.pk}/map?lift=box-squat")
    assert "by box and load" in boxes
    assert "40 cm box" in str(sheet(lifter, lift="box-squat").pictures.table)


def test_a_shorter_squat_stands_higher_on_the_map_and_the_full_one_on_its_floor(lifter, sore_squat):
    full, *shorter = sheet(lifter).rows
    assert full.built.is_whole
    depths = [row.built.setup.depth_deg for row in shorter]
    assert depths == sorted(depths)
    assert depths[0] > 0
    levels = [row.level_mm for row in (full, *shorter)]
    assert levels == sorted(levels)
    assert [row.level_mm % 50 for row in shorter] == [0] * len(shorter)  # on the holes
    heights = re.findall(r'<th scope="row">\+([\d.]+) cm</th>', str(sheet(lifter).pictures.table))
    assert len(heights) == len(shorter)
    assert all(re.fullmatch(r"\d+(\.\d)?", one) for one in heights)  # to a millimetre, as a tape has it


def test_a_set_of_a_shorter_squat_stands_at_its_depth_and_the_old_load_in_full(lifter, sore_squat, coach):
    shorter = sheet(lifter).rows[2]
    session = sessions.open_session(lifter, by=coach, now=at("2026-11-23 18:20"))
    DoneSet.objects.create(
        session=session,
        kind="work",
        sore=True,
        lift="high-bar-squat",
        bar=shorter.built.bar,
        depth_deg=shorter.built.setup.depth_deg,
        load=70,
        unit="kg",
        reps=5,
        pain=2,
        acceptable=True,
        at=at("2026-11-23 18:20"),
    )
    table = str(sheet(lifter).pictures.table)
    up_cm = (shorter.level_mm - sheet(lifter).rows[0].level_mm) / 10
    said = float(re.search(r"<td>70 kg</td><td>\+([\d.]+) cm</td>", table)[1])
    assert said == pytest.approx(up_cm, abs=0.6)  # a depth is kept in whole degrees


def test_a_squat_that_nothing_here_shortens_has_no_map_and_the_page_says_why(signed_in, lifter, sore_squat):
    lifter.gym.boxes.all().delete()
    lifter.gym.pins.all().delete()
    assert "Neither boxes nor a rack’s pins shorten this squat" in get(signed_in, f"/lifters/{lifter.pk}/map")


def test_a_lift_without_a_start_from_rest_has_no_map_and_the_page_says_why(signed_in, lifter):
    screened(signed_in, lifter, lift="romanian-deadlift", load="100", usual_load="120")
    assert "does not start from a height" in get(signed_in, f"/lifters/{lifter.pk}/map")


def test_a_height_at_which_nothing_is_sure_has_a_dash_in_the_table():
    chart = HeightLoadMap(sure=((0.0, 225),), likely=((30.0, 225),), unlikely=((60.0, 225),))
    assert "<td>–</td><td>30 kg</td><td>60 kg</td>" in map_table(chart)
