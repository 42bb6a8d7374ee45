"""The page of other pulls: what this gym and this contest let them do, and what goes into today's session."""

import re

import pytest

from floorward.storage.models import BarRow, BestSet, BlockRow, Lifter, Line, Screening
from tests.conftest import at
from tests.web.evening import accepted, begin, log, screened

pytestmark = pytest.mark.django_db


@pytest.fixture
def found(signed_in, lifter):
    """Abel with 107.5 kg accepted from the floor."""
    return accepted(signed_in, lifter)


def page(client, lifter) -> str:
    answer = client.get(f"/lifters/{lifter.pk}/variations")
    assert answer.status_code == 200
    return answer.content.decode().replace("\N{NO-BREAK SPACE}", " ")


def offered(text) -> list[str]:
    return re.findall(r'name="offer" value="([^"]+)"', text)


def plan(client, lifter, *offers):
    return client.post(f"/lifters/{lifter.pk}/variations", {"offer": offers}, follow=True).content.decode()


def test_first_loads_are_read_off_the_accepted_pull_and_called_a_model(signed_in, lifter, found):
    text = page(signed_in, lifter)
    assert "read off 107.5 kg" in text
    assert "A model, not yet validated" in text
    assert "work up to it, never start at it" in text
    assert offered(text)[:2] == ["deadlift:425", "deadlift:325"]
    assert {"trap-bar-high:345", "trap-bar-low:225", "sumo-deadlift:225", "romanian-deadlift:0"} <= set(
        offered(text)
    )


def test_a_locked_region_is_offered_nothing_and_nothing_can_be_planned(signed_in, lifter, found):
    episode = lifter.episodes.get()
    lock = Screening.objects.create(
        episode=episode, at=at("2026-11-23 19:00"), answers={}, outcome="same-day", locks="region"
    )
    text = page(signed_in, lifter)
    assert "Locked until a clinician has cleared it" in text
    assert "Lifts that do not load the region may go on" in text
    assert f'href="/screenings/{lock.pk}"' in text
    assert f'href="/episodes/{episode.pk}/clearance"' in text
    assert not offered(text)
    assert "107.5" not in text[text.index("<main") :]
    answer = signed_in.post(f"/lifters/{lifter.pk}/variations", {"offer": "deadlift:325"})
    assert answer["Location"] == f"/screenings/{lock.pk}"
    assert not Line.objects.filter(session__lifter=lifter, lift="deadlift", height_mm=325).exists()


def test_a_gym_without_a_trap_bar_offers_none(signed_in, lifter, found):
    BarRow.objects.get(name="Trap bar").delete()
    assert not [key for key in offered(page(signed_in, lifter)) if key.startswith("trap")]


def test_a_trap_bar_without_high_handles_has_no_high_pull(signed_in, lifter, found):
    BarRow.objects.filter(name="Trap bar").update(handle_high_mm=None)
    keys = offered(page(signed_in, lifter))
    assert "trap-bar-low:225" in keys
    assert not [key for key in keys if key.startswith("trap-bar-high")]


def test_heights_that_the_gym_cannot_build_are_not_offered(signed_in, lifter, found, gym):
    BlockRow.objects.all().delete()
    gym.pins.all().delete()
    assert not [key for key in offered(page(signed_in, lifter)) if key.startswith("deadlift")]


def test_squats_are_found_anew(signed_in, lifter, found):
    text = page(signed_in, lifter)
    assert not [key for key in offered(text) if "squat" in key]
    assert f'/episodes/{found.pk}/find?lift=high-bar-squat"' in text


def test_a_first_sumo_pull_warns_of_the_hips(signed_in, lifter, found):
    assert "A new wide stance loads hips" in page(signed_in, lifter)
    BestSet.objects.create(lifter=lifter, lift="sumo-deadlift", load=180, unit="kg", reps=3, day="2026-10-01")
    assert "A new wide stance loads hips" not in page(signed_in, lifter)


def test_a_contest_without_sumo_says_so_and_puts_it_after_what_they_may_do(signed_in, lifter, found):
    BestSet.objects.create(lifter=lifter, lift="sumo-deadlift", load=110, unit="kg", reps=3, day="2026-10-01")
    assert offered(page(signed_in, lifter))[0] == "sumo-deadlift:225"
    Lifter.objects.update(sumo_allowed=False)
    text = page(signed_in, lifter)
    assert "Not allowed in their next contest" in text
    assert offered(text)[0] != "sumo-deadlift:225"


def test_a_contest_that_wants_conventional_says_so_beside_sumo(signed_in, lifter, found):
    Lifter.objects.update(conventional_required=True)
    assert "Their contest pulls conventional only." in page(signed_in, lifter)


def test_one_lift_a_session_is_done_for_the_first_time(signed_in, lifter, found):
    text = plan(signed_in, lifter, "trap-bar-high:345", "sumo-deadlift:225", "deadlift:325")
    session = lifter.sessions.get()
    assert [line.lift for line in session.lines.all()] == ["deadlift", "deadlift", "trap-bar-high"]
    assert [line.first_time for line in session.lines.all()] == [False, False, True]
    assert "One new lift at a time" in text
    assert 'value="sumo-deadlift:225" disabled' in page(signed_in, lifter)


def test_a_first_time_is_easy_and_short(signed_in, lifter, found):
    plan(signed_in, lifter, "trap-bar-high:345")
    line = lifter.sessions.get().lines.get(lift="trap-bar-high")
    assert (line.sets, line.reps, line.target_rpe) == (2, 6, 6)
    assert line.load <= float(107.5 * 1.1)


def test_a_variation_over_its_first_load_is_asked_about(signed_in, lifter, found):
    plan(signed_in, lifter, "trap-bar-high:345")
    line = lifter.sessions.get().lines.get(lift="trap-bar-high")
    said = {
        "bar": line.bar_id,
        "load": "140",
        "sets": 2,
        "reps": 6,
        "height_mm": 345,
        "version": line.version,
    }
    answer = signed_in.post(f"/sessions/{line.session_id}/lines/{line.pk}", said)
    assert answer.status_code == 422
    assert "is more than the reckoning gives for a start" in answer.content.decode()
    answer = signed_in.post(
        f"/sessions/{line.session_id}/lines/{line.pk}", {**said, "confirmed": "over-first-load"}
    )
    assert answer.status_code == 302


def test_no_sentence_says_that_a_block_does_not_spare_the_back(signed_in, lifter, found):
    raised = page(signed_in, lifter).split('value="deadlift:325"')[1].split("</li>")[0]
    assert "opens the bend" in raised
    assert "How much it takes off the back has not been measured" in raised
    assert "about the same of the low back" not in raised


def test_beside_a_raised_start_no_deeper_pull_is_offered(signed_in, lifter):
    episode = screened(signed_in, lifter)
    search = begin(signed_in, episode, direction="up")
    for pain in ("5", "5"):
        log(signed_in, search, "20", pain, "no")
    shown = signed_in.get(f"/searches/{search.pk}").content.decode()
    height = int(re.search(r"hands at ([\d.]+) cm", shown).group(1).split(".")[0]) * 10
    log(signed_in, search, "20", "3", "yes")
    plan(signed_in, lifter)
    line = lifter.sessions.get().lines.get()
    assert line.height_mm >= height > 300
    assert (
        "stands in for the full range" in signed_in.get(f"/sessions/{line.session_id}/plan").content.decode()
    )
    assert not [key for key in offered(page(signed_in, lifter)) if key.endswith(":225")]


def test_without_an_accepted_pull_there_is_nothing_to_read_off(signed_in, lifter):
    screened(signed_in, lifter)
    text = page(signed_in, lifter)
    assert "No pull is accepted yet" in text
    assert offered(text) == []


def test_the_drawing_follows_the_choice(signed_in, lifter, found):
    text = signed_in.get(f"/lifters/{lifter.pk}/variations?draw=sumo-deadlift:225").content.decode()
    assert "Sumo deadlift" in text.split("</figure>")[0]


def test_without_an_episode_the_page_leads_back(signed_in, lifter):
    assert signed_in.get(f"/lifters/{lifter.pk}/variations").url == f"/lifters/{lifter.pk}"


def test_a_variation_stands_before_what_goes_as_usual(signed_in, lifter, found):
    BestSet.objects.create(lifter=lifter, lift="bench-press", load=120, unit="kg", reps=5, day="2026-10-30")
    plan(signed_in, lifter)
    session = lifter.sessions.get()
    signed_in.post(f"/sessions/{session.pk}/plan/usual", {"lift": "bench-press"})
    plan(signed_in, lifter, "trap-bar-high:345")
    assert [line.lift for line in session.lines.all()] == ["deadlift", "trap-bar-high", "bench-press"]
