import pytest

from floorward.actions import locks, screening
from floorward.actions.finding import accepted_of
from floorward.errors import Refused
from floorward.storage.models import Clearance, Episode, Screening, Session
from tests.conftest import at
from tests.web.evening import begin, log, no_to_all, report, screened

pytestmark = pytest.mark.django_db


def test_a_yes_that_says_same_day_locks_the_region_until_a_dated_clearance(signed_in, lifter, clock):
    lifter.unit = "lb"
    lifter.save()
    episode = report(signed_in, lifter, load="405", usual_load="405")
    assert episode.unit == "lb"
    answer = signed_in.post(f"/episodes/{episode.pk}/screen", no_to_all(LB6="yes"), follow=True)
    page = answer.content.decode()
    assert "Same day: a clinician or emergency department today" in page
    assert 'class="hazard"' in page
    assert "asked 23 November, 18:10 by Bram Okello" in page
    assert locks.lock_of(lifter).region == "low-back"
    assert (
        "Locked until a clinician has cleared it"
        in signed_in.get(f"/episodes/{episode.pk}/find").content.decode()
    )

    clock("2026-11-25 12:00")
    word = {"day": "2026-11-22", "clinician_role": "general practitioner", "clinician_name": "Dr Ansel Brook"}
    early = signed_in.post(f"/episodes/{episode.pk}/clearance", word)
    assert early.status_code == 422
    assert "The answers were given on 23 November 2026" in early.content.decode()
    assert not Clearance.objects.exists()
    assert locks.lock_of(lifter)

    ahead = signed_in.post(f"/episodes/{episode.pk}/clearance", {**word, "day": "2026-11-26"})
    assert "This day has not come yet." in ahead.content.decode()
    assert (
        signed_in.post(f"/episodes/{episode.pk}/clearance", {**word, "day": "2026-11-24"}).status_code == 302
    )
    assert locks.lock_of(lifter) is None
    assert accepted_of(episode, "deadlift") is None
    assert Clearance.objects.get().entered_by.name == "Bram Okello"
    assert "how does it feel now" in signed_in.get(f"/episodes/{episode.pk}/find").content.decode()


def test_an_emergency_locks_the_whole_person_and_shows_the_number(signed_in, lifter):
    episode = report(signed_in, lifter)
    answer = signed_in.post(f"/episodes/{episode.pk}/screen", no_to_all(LB1="unsure"), follow=True)
    page = answer.content.decode()
    assert 'href="tel:999"' in page
    assert "Emergency: get help now" in page
    assert "where a saddle would touch" in page
    assert locks.lock_of(lifter).whole_person


def test_the_answers_are_kept_with_their_time_and_asker(signed_in, lifter, coach):
    episode = screened(signed_in, lifter)
    kept = Screening.objects.get(episode=episode)
    assert kept.asked_by == coach
    assert kept.at == at("2026-11-23 18:10")
    assert (kept.outcome, kept.locks, kept.answers["LB1"]) == ("go-on", "none", "no")
    assert "LB7a" not in kept.answers


def test_every_question_wants_an_answer(signed_in, lifter):
    episode = report(signed_in, lifter)
    typed = no_to_all(LB13="yes")
    del typed["LB2"], typed["LB13a"]
    answer = signed_in.post(f"/episodes/{episode.pk}/screen", typed)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert page.count("Still without an answer.") == 2
    assert 'name="LB13" value="yes" id="id_LB13_0" checked' in page
    assert not Screening.objects.exists()


def test_the_less_urgent_may_be_a_no_together_but_not_the_urgent(signed_in, lifter):
    episode = report(signed_in, lifter)
    urgent = {"limb": "no", "LB1": "no", "LB2": "no", "LB3": "no", "LB4": "no", "rest_no": "on"}
    short = signed_in.post(f"/episodes/{episode.pk}/screen", urgent)
    assert short.content.decode().count("Still without an answer.") == 2
    whole = signed_in.post(f"/episodes/{episode.pk}/screen", {**urgent, "LB5": "no", "LB14": "no"})
    assert whole.status_code == 302
    assert Screening.objects.get().answers["LB9"] == "no"


def test_a_common_no_does_not_answer_what_a_yes_opened(signed_in, lifter):
    episode = report(signed_in, lifter)
    typed = {
        "limb": "no",
        "rest_no": "on",
        "LB9": "yes",
        **dict.fromkeys(("LB1", "LB2", "LB3", "LB4", "LB5", "LB14"), "no"),
    }
    answer = signed_in.post(f"/episodes/{episode.pk}/screen", typed)
    assert answer.content.decode().count("Still without an answer.") == 2


def test_a_leg_that_hurts_brings_the_leg_questions_to_the_knee(signed_in, lifter):
    episode = report(signed_in, lifter, region="knee")
    assert (
        "where a saddle would touch" not in signed_in.get(f"/episodes/{episode.pk}/screen").content.decode()
    )
    knee_only = {
        key: value
        for key, value in no_to_all(limb="yes").items()
        if not key.startswith("LB") or key == "LB14"
    }
    answer = signed_in.post(f"/episodes/{episode.pk}/screen", knee_only)
    assert answer.status_code == 422
    assert "where a saddle would touch" in answer.content.decode()
    signed_in.post(f"/episodes/{episode.pk}/screen", no_to_all(limb="yes"))
    episode.refresh_from_db()
    assert episode.limb_symptoms


def test_without_consent_the_outcome_is_shown_and_nothing_is_stored(signed_in, lifter):
    lifter.consents.update(withdrawn_at=at("2026-11-22 09:00"))
    asked = signed_in.get(f"/lifters/{lifter.pk}/screen?region=low-back").content.decode()
    assert "where a saddle would touch" in asked
    answer = signed_in.post(f"/lifters/{lifter.pk}/screen", {"region": "low-back", **no_to_all(LB3="yes")})
    page = answer.content.decode()
    assert "Emergency: get help now" in page
    assert "Nothing of this was stored." in page
    assert not Screening.objects.exists()
    assert not Episode.objects.exists()
    assert locks.lock_of(lifter) is None


def test_a_consent_taken_back_keeps_further_answers_out(signed_in, lifter):
    episode = report(signed_in, lifter)
    lifter.consents.update(withdrawn_at=at("2026-11-23 18:12"))
    page = signed_in.post(f"/episodes/{episode.pk}/screen", no_to_all(LB6="yes")).content.decode()
    assert "Nothing of this was stored." in page
    assert not Screening.objects.exists()


def test_routine_goes_on_and_says_what_to_book(signed_in, lifter):
    episode = report(signed_in, lifter)
    answer = signed_in.post(f"/episodes/{episode.pk}/screen", no_to_all(LB13="yes"), follow=True)
    page = answer.content.decode()
    assert "Routine: book a clinician" in page
    assert f"/episodes/{episode.pk}/find" in page


def test_a_second_go_on_does_not_lift_an_earlier_lock(signed_in, lifter, clock):
    episode = report(signed_in, lifter)
    signed_in.post(f"/episodes/{episode.pk}/screen", no_to_all(LB6="yes"))
    clock("2026-11-24 18:10")
    answer = signed_in.post(f"/episodes/{episode.pk}/screen", no_to_all(whole="1"), follow=True)
    assert "An earlier answer still locks this" in answer.content.decode()
    assert locks.lock_of(lifter)


@pytest.mark.parametrize(
    ("leg", "later", "due"),
    [("no", "2026-11-29 18:00", False), ("no", "2026-11-30 18:00", True), ("yes", "2026-11-24 18:00", True)],
)
def test_the_leg_questions_come_back_weekly_or_every_day_with_limb_symptoms(
    signed_in, lifter, clock, leg, later, due
):
    episode = report(signed_in, lifter)
    signed_in.post(f"/episodes/{episode.pk}/screen", no_to_all(limb=leg))
    assert not screening.screen_due(episode, at("2026-11-23 19:00"))
    episode.refresh_from_db()
    assert screening.screen_due(episode, at(later)) is due
    if due:
        clock(later)
        page = signed_in.get(f"/episodes/{episode.pk}/screen").content.decode()
        assert "ask these again" in page
        assert "passing urine" in page
        assert "cancer" not in page


def test_a_hip_without_limb_symptoms_has_nothing_that_comes_back(signed_in, lifter):
    episode = screened(signed_in, lifter, region="hip")
    assert not screening.screen_due(episode, at("2026-12-23 18:00"))


def test_nothing_is_searched_before_the_questions(signed_in, lifter):
    episode = report(signed_in, lifter)
    page = signed_in.get(f"/episodes/{episode.pk}/find").content.decode()
    assert "Ask the questions first" in page
    assert not Session.objects.exists()


def test_spreading_asks_everything_again(signed_in, lifter, clock):
    episode = screened(signed_in, lifter)
    search = begin(signed_in, episode)
    clock("2026-11-23 18:20")
    answer = log(signed_in, search, "180", "4", "no", spreading="yes")
    assert answer["Location"] == f"/episodes/{episode.pk}/screen"
    page = signed_in.get(f"/episodes/{episode.pk}/screen").content.decode()
    assert "Stopped: symptoms spread or are new" in page
    assert "cancer" in page
    assert screening.screen_due(episode, at("2026-11-23 18:21"))


def test_a_clearance_needs_a_lock_and_a_role(signed_in, lifter, coach):
    episode = screened(signed_in, lifter)
    assert "Nothing is locked here" in signed_in.get(f"/episodes/{episode.pk}/clearance").content.decode()
    with pytest.raises(Refused, match="nothing-locked"):
        screening.record_clearance(
            episode,
            day=at("2026-11-23 12:00").date(),
            role="doctor",
            name="Dr Ansel Brook",
            note="",
            by=coach,
            now=at("2026-11-23 18:30"),
        )


def test_rows_without_a_checked_source_say_that_they_await_approval(signed_in, lifter):
    episode = report(signed_in, lifter)
    page = signed_in.get(f"/episodes/{episode.pk}/screen").content.decode()
    assert "awaits a clinician's approval" in page.replace("&#x27;", "'")
