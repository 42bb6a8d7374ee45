"""A lifter's first page and progress: what comes next, what was decided, in a bounded number of queries."""

import re
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from floorward.actions import links
from floorward.actions.decisions import decide, proposal_for
from floorward.actions.lifters import add_best_set, withdraw_consent
from floorward.actions.mornings import Answer, record_morning
from floorward.storage.models import Lifter, MorningCheck, Screening
from tests.conftest import at
from tests.people import INES, a_lifter
from tests.training import searched, sore_back, trained

pytestmark = pytest.mark.django_db
NOON = at("2026-11-24 12:00")


@pytest.fixture
def page(signed_in, lifter, clock):
    """The lifter's page, or one under it, as words."""

    def words(under="", when="2026-11-24 12:00"):
        clock(when)
        response = signed_in.get(f"/lifters/{lifter.pk}{under}")
        assert response.status_code == 200
        main = response.content.decode().split("<main")[1].split("</main>")[0]
        return re.sub(r"\s+", " ", re.sub(r"<svg.*?</svg>|<[^>]+>", " ", main, flags=re.DOTALL))

    return words


@pytest.fixture
def episode(lifter, coach):
    row = sore_back(lifter, coach)
    Screening.objects.create(
        episode=row, at=at("2026-11-23 18:15"), asked_by=coach, answers={}, outcome="go-on", locks="none"
    )
    return row


def settled(episode, score=1):
    record_morning(episode, Answer(day=NOON.date(), score=score), now=at("2026-11-24 07:00"))


def test_without_pain_the_page_offers_to_begin(page):
    assert "Something hurts" in page()


def test_without_consent_it_asks_and_shows_no_region(page, lifter, episode, signed_in):
    withdraw_consent(lifter, now=NOON)
    assert "Ask whether answers may be kept" in page()
    assert "low back" not in signed_in.get(f"/lifters/{lifter.pk}").content.decode().lower()


def test_the_list_shows_no_region_without_consent(lifter, episode, signed_in, clock):
    assert b"low back" in signed_in.get("/lifters").content
    withdraw_consent(lifter, now=NOON)
    listed = signed_in.get("/lifters").content
    assert b"low back" not in listed
    assert b"training modified" in listed


def test_a_long_list_is_turned_over_and_keeps_the_name_asked_for(gym, signed_in):
    Lifter.objects.bulk_create(
        Lifter(
            gym=gym,
            name=f"Nora {n:03}",
            born_year=1990,
            sex="female",
            stature_m=1.7,
            mass_kg=70.0,
            added_at=NOON,
        )
        for n in range(130)
    )
    first, second, last = (
        signed_in.get("/lifters", {"q": "nora", "sheet": sheet}).content.decode() for sheet in (1, 2, 99)
    )
    assert re.findall(r">Nora (\d+)<", first + second + last) == [f"{n:03}" for n in range(130)]
    assert "61 to 120 of 130" in second
    assert "?q=nora&amp;sheet=3" in second
    assert 'rel="next"' not in last


def test_before_the_screen_the_page_asks_it(page, lifter, coach):
    sore_back(lifter, coach)
    assert "Ask the warning-sign questions" in page()


def test_after_the_screen_comes_the_search(page, episode):
    assert "Find the load that is acceptable today" in page()


def test_after_training_the_morning_is_waited_for_then_asked_then_decided(page, episode):
    trained(searched(episode), "2026-11-23", "95")
    assert "the morning is still to come" in page(when="2026-11-23 21:00")
    assert "No morning answer yet, so no step forward" in page()
    settled(episode)
    assert "Forward: 95 → 97.5 kg from the floor" in page()
    assert "Accept 97.5 kg" in page()


def test_a_score_before_training_is_shown_also_where_they_woke_with_less(page, episode):
    """Rules hold the next morning against waking; what was said before the warm-up stays in sight."""
    session = trained(searched(episode), "2026-11-23", "95", scores=(6, 3, 1))
    record_morning(episode, Answer(day=session.day, score=1), now=at("2026-11-23 07:00"))
    settled(episode)
    assert "before 6, worst 3, hour after 1, next morning 1, woke that day with 1" in page()
    assert "before 6 · worst 3" in page("/progress")
    assert "woke that day with 1" in page("/progress")


def test_after_the_decision_comes_the_plan(page, episode, coach):
    session = trained(searched(episode), "2026-11-23", "95")
    settled(episode)
    decide(session, "deadlift", seen=proposal_for(episode, "deadlift", NOON).seen, by=coach, now=NOON)
    assert "Forward: 97.5 kg next" in page()


def test_a_lock_shows_its_edge_and_what_to_do(page, episode, coach, signed_in, lifter):
    Screening.objects.create(
        episode=episode, at=NOON, asked_by=coach, answers={}, outcome="emergency", locks="person"
    )
    assert "All heavy work of Abel Norwood is locked" in page()
    assert 'class="hazard' in signed_in.get(f"/lifters/{lifter.pk}").content.decode()


def test_a_best_set_shows_the_heaviest_single_as_a_range(page, lifter):
    add_best_set(lifter, lift="deadlift", load=200, unit="kg", reps=3, rpe=8, day=date(2026, 11, 1))
    assert re.search(r"heaviest single likely 2\d\d–2\d\d kg", page())


def test_a_link_is_made_shown_and_taken_back(page, signed_in, lifter, settings, clock):
    settings.PUBLIC_ADDRESS = "https://gym.example"
    clock("2026-11-24 12:00")
    signed_in.post(f"/lifters/{lifter.pk}/links/new")
    shown = signed_in.get(f"/lifters/{lifter.pk}/link").content.decode()
    assert links.address_for(lifter, NOON) in shown
    signed_in.post(f"/lifters/{lifter.pk}/links/revoke")
    assert "has no link yet" in page("/link")


def test_without_a_public_address_the_page_says_why_phones_cannot_reach_it(
    page, signed_in, lifter, settings, clock
):
    settings.PUBLIC_ADDRESS = ""
    clock("2026-11-24 12:00")
    signed_in.post(f"/lifters/{lifter.pk}/links/new")
    assert "no public address is set" in page("/link")
    assert not re.search("send as a message", page("/link"), re.IGNORECASE)


def test_progress_tells_every_step_with_rule_numbers_and_protocol(page, episode, coach):
    session = trained(searched(episode), "2026-11-23", "95")
    settled(episode)
    hold = proposal_for(episode, "deadlift", NOON)
    from floorward.actions.decisions import choices

    choice = next(offer for offer in choices(hold) if offer.key == "hold")
    decide(session, "deadlift", seen=hold.seen, choice=choice, reason="Slept badly.", by=coach, now=NOON)
    text = page("/progress")
    assert "3 × 5 at 95 kg" in text
    assert "before 1 · worst 2 · hour after 1 · next morning 1" in text
    assert "Hold: 95 kg" in text
    assert "Proposed was forward, 97.5 kg. “Slept badly.”" in text
    assert "Rule R8 , protocol 1, Bram Okello" in text


def test_progress_marks_a_decision_on_scores_that_changed_and_a_morning_entered_by_a_coach(
    page, episode, coach
):
    session = trained(episode, "2026-11-23", "95")
    settled(episode)
    decide(session, "deadlift", seen=proposal_for(episode, "deadlift", NOON).seen, by=coach, now=NOON)
    record_morning(episode, Answer(day=NOON.date(), score=3), now=NOON, by=coach)
    text = page("/progress")
    assert "Scores or sets were changed after this decision." in text
    assert "entered by Bram Okello" in text


def test_progress_without_consent_shows_nothing(page, lifter, episode):
    trained(episode, "2026-11-23", "95")
    withdraw_consent(lifter, now=NOON)
    assert "Nothing is shown without consent" in page("/progress")
    assert "95 kg" not in page("/progress")


def test_older_training_is_one_press_away(page, lifter, coach, signed_in):
    spell = sore_back(lifter, coach, started="2026-06-01 18:00")
    trained(spell, "2026-06-02", "60")
    trained(spell, "2026-11-20", "95")
    newest = page("/progress")
    assert "3 × 5 at 60 kg" not in newest
    older = re.search(
        r'href="(\?episode=\d+&amp;before=2026-06-02)"',
        signed_in.get(f"/lifters/{lifter.pk}/progress").content.decode(),
    )
    assert "3 × 5 at 60 kg" in page("/progress" + older[1].replace("&amp;", "&"))


def test_an_episode_of_somebody_else_is_not_there(signed_in, lifter, gym, coach, clock):

    other = a_lifter(gym, coach, NOON, name="Ines Halloran", **INES)
    theirs = sore_back(other, coach)
    assert signed_in.get(f"/lifters/{lifter.pk}/progress?episode={theirs.pk}").status_code == 404


@pytest.mark.parametrize(
    "address", ["before=2026-13-45", "before=soon", "episode=x", "episode=99999999999999999999"]
)
def test_an_address_that_makes_no_sense_breaks_nothing(signed_in, lifter, episode, address, clock):
    assert signed_in.get(f"/lifters/{lifter.pk}/progress?{address}").status_code in {200, 404}


@pytest.mark.parametrize("under", ["", "/progress"])
def test_two_years_of_sessions_ask_no_more_queries_than_three(signed_in, lifter, coach, clock, under):
    spell = sore_back(lifter, coach, started="2024-11-20 18:00")

    def queries():
        clock("2026-11-24 12:00")
        with CaptureQueriesContext(connection) as captured:
            signed_in.get(f"/lifters/{lifter.pk}{under}")
        return len(captured)

    for back in (400, 40, 3):
        trained(spell, (date(2026, 11, 23) - timedelta(days=back)).isoformat(), "95")
    queries()
    few = queries()
    for week in range(1, 100, 2):
        day = date(2026, 11, 23) - timedelta(days=7 * week)
        trained(spell, day.isoformat(), "90")
        Screening.objects.create(
            episode=spell, at=at(f"{day} 18:00"), asked_by=coach, answers={}, outcome="go-on", locks="none"
        )
        MorningCheck.objects.create(episode=spell, day=day, score=1, at=at(f"{day} 07:00"))
    assert queries() <= few


def test_the_list_of_lifters_asks_no_more_queries_for_more(signed_in, gym, coach, clock):
    from tests.web.test_today import somebody

    def queries():
        with CaptureQueriesContext(connection) as captured:
            signed_in.get("/lifters")
        return len(captured)

    sore_back(somebody(gym, coach, "Lifter 00"), coach)
    queries()
    few = queries()
    for number in range(1, 9):
        sore_back(somebody(gym, coach, f"Lifter {number:02d}"), coach)
    queries()  # the first look of the day is written into the trail, in one go
    assert queries() <= few
