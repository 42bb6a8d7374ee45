"""Two starts moved by sliders: what the page and its script are given."""

import re

import pytest

from tests.web.evening import accepted, no_to_all, report
from tests.web.test_mechanics import get

pytestmark = pytest.mark.django_db


def track(client, lifter, lift, asked=""):
    answer = client.get(f"/lifters/{lifter.pk}/start/{lift}.json?{asked}")
    assert answer.status_code == 200
    return answer.json()


def bare(text):
    return " ".join(re.sub(r"<[^>]+>", " ", text).split())


def test_without_being_asked_the_pull_stands_beside_itself_on_blocks(signed_in, lifter):
    accepted(signed_in, lifter)
    text = get(signed_in, f"/lifters/{lifter.pk}/start")
    assert "Move the start: 107.5 kg for the low back" in text
    assert re.findall(r'type="range"[^>]* value="(\d+)"', text) == ["225", "325"]
    assert "hands at 32.5 cm" in text
    assert "Under each side: 10 cm block." in bare(text)


def test_a_load_in_a_head_is_not_parted_from_its_unit(signed_in, lifter):
    accepted(signed_in, lifter)
    for page in ("start", "compare", "variations"):
        head = re.search("<h1>(.*?)</h1>", signed_in.get(f"/lifters/{lifter.pk}/{page}").content.decode())
        assert "107.5\N{NO-BREAK SPACE}kg" in head[1]


def test_places_of_a_track_say_what_the_page_says_there(signed_in, lifter):
    accepted(signed_in, lifter)
    found = track(signed_in, lifter, "deadlift")
    place = next(one for one in found["places"] if one["at"] == 345)
    text = bare(get(signed_in, f"/lifters/{lifter.pk}/start?a=deadlift&a_at=345"))
    for part in ("words", "demand", "bend", "load"):
        assert bare(place[part]) in text


def test_the_set_up_that_loads_are_reckoned_from_is_said_to_be_that_one_and_has_no_range(signed_in, lifter):
    accepted(signed_in, lifter)
    text = bare(get(signed_in, f"/lifters/{lifter.pk}/start?a=deadlift&a_at=225&b=deadlift&b_at=345"))
    assert "the load that the others are reckoned from 107.5 kg" in text
    assert text.count("8 in 10:") == 1
    floor, raised = track(signed_in, lifter, "deadlift")["places"][:2]
    assert bare(floor["itself"]) == "the load that the others are reckoned from 107.5 kg"
    assert "itself" not in raised


def test_between_two_places_the_words_of_both_are_alike_so_that_numbers_can_be_drawn_between_them(
    signed_in, lifter
):
    accepted(signed_in, lifter)
    places = track(signed_in, lifter, "deadlift")["places"]
    assert len({re.sub(r"\d+(\.\d+)?", "#", place["load"]) for place in places}) == 1


def test_every_place_is_drawn_with_the_same_parts_so_that_a_script_can_move_them(signed_in, lifter):
    figures = [place["figure"] for place in track(signed_in, lifter, "deadlift")["places"]]
    assert len(figures) == 6
    assert len({re.sub(r"-?\d+(\.\d+)?", "#", figure) for figure in figures}) == 1


def test_a_track_knows_what_this_gym_can_put_under_the_plates_at_every_stop(signed_in, lifter, gym):
    gym.blocks.filter(thickness_mm=50).delete()
    found = track(signed_in, lifter, "deadlift")
    stops = dict(zip(range(225, 526, 10), (text.strip() for text in found["stands"]), strict=True))
    assert stops[225] == "No blocks."
    assert "10 cm block" in stops[325]
    assert stops[525] == "Nothing in this gym stands so high."


@pytest.mark.parametrize(
    ("lift", "axis", "first", "words"),
    [
        ("trap-bar-high", "height", 345, "hands at 34.5 cm"),
        ("high-bar-squat", "depth", 0, "thigh 0° above level"),
        ("deficit-deadlift", "height", 125, "hands at 12.5 cm"),
    ],
)
def test_each_lift_has_the_slider_that_its_start_is_fixed_by(signed_in, lifter, lift, axis, first, words):
    found = track(signed_in, lifter, lift)
    assert (found["axis"], found["places"][0]["at"]) == (axis, first)
    assert found["places"][0]["words"].strip() == words


def test_a_lift_that_this_gym_has_no_bar_for_is_not_there(signed_in, lifter):
    assert signed_in.get(f"/lifters/{lifter.pk}/start/moon-walk.json").status_code == 404


def test_nothing_is_read_off_while_the_region_is_locked(signed_in, lifter):
    episode = report(signed_in, lifter)
    signed_in.post(f"/episodes/{episode.pk}/screen", no_to_all(LB1="yes"))
    text = get(signed_in, f"/lifters/{lifter.pk}/start")
    assert "No loads are given here" in text
    assert "<h1>Move the start</h1>" in text
    assert "None while it is locked." in text


@pytest.mark.parametrize("asked", ["a=moon-walk", "a_at=high", "load=heavy", "region=elbow", "a_at=99999999"])
def test_an_address_that_makes_no_sense_shows_what_is_usual(signed_in, lifter, asked):
    text = get(signed_in, f"/lifters/{lifter.pk}/start?{asked}")
    assert text.count('class="mover"') == 2
