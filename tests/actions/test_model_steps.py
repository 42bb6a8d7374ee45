from decimal import Decimal

import pytest

from floorward.actions.decisions import proposal_for, says_of
from floorward.actions.tolerances import log_of
from tests.conftest import at
from tests.training import sore_back, trained

pytestmark = pytest.mark.django_db
NOON = at("2026-11-27 12:00")


def says(episode):
    return says_of(proposal_for(episode, "deadlift", NOON))


def test_every_scored_evening_is_a_report_with_what_it_asked(lifter, coach):
    episode = sore_back(lifter, coach)
    trained(episode, "2026-11-23", "60", (1, 1, 1))
    trained(episode, "2026-11-26", "90", (1, 2, 1))
    log = log_of(episode)
    assert [(row.day, row.pain, row.rest_pain, row.variation) for row in log.reports] == [
        (0, 1, 1, ""),
        (3, 2, 1, ""),
    ]
    assert log.reports[0].demand < log.reports[1].demand < log.priors.usual_demand


def test_a_raised_start_is_a_set_up_of_its_own(lifter, coach):
    episode = sore_back(lifter, coach)
    trained(episode, "2026-11-26", "90", (1, 2, 1), height_mm=325)
    log = log_of(episode)
    assert log.priors.variations == ("deadlift at 325",)
    assert log.reports[0].bend < 0


def test_a_morning_is_told_as_its_change(lifter, coach):
    episode = sore_back(lifter, coach)
    trained(episode, "2026-11-23", "90", (1, 2, 1))
    episode.mornings.create(day=at("2026-11-24 08:00").date(), score=3, at=at("2026-11-24 08:00"))
    assert log_of(episode).reports[0].morning_change == 2


def test_the_model_never_names_more_than_the_rules_lead_to(lifter, coach):
    episode = sore_back(lifter, coach)
    trained(episode, "2026-11-26", "95", (1, 2, 1))
    found = says(episode).step
    assert found.load <= found.ruled == Decimal(95)
    assert found.load >= Decimal(95) * Decimal("0.78")


def test_easy_evenings_make_the_same_load_likelier_to_be_borne(lifter, coach):
    episode = sore_back(lifter, coach)
    trained(episode, "2026-11-26", "95", (1, 3, 1))
    before = int(says(episode).step.ruled_odds)
    for day in ("2026-11-23", "2026-11-24", "2026-11-25"):
        trained(episode, day, "110", (0, 0, 0))
    after = int(says(episode).step.ruled_odds)
    assert after == 0 or after > before > 0


def test_the_sets_that_moved_it_most_are_named(lifter, coach):
    episode = sore_back(lifter, coach)
    trained(episode, "2026-11-23", "60", (1, 5, 1))
    trained(episode, "2026-11-26", "95", (1, 0, 0))
    facts = says(episode).facts
    assert {(fact.done.load, fact.raised) for fact in facts} == {(Decimal(60), False), (Decimal(95), True)}


def test_the_decision_page_tells_the_chance_and_why(signed_in, lifter, coach, clock):
    episode = sore_back(lifter, coach)
    session = trained(episode, "2026-11-26", "95", (1, 2, 1))
    clock("2026-11-27 12:00")
    page = signed_in.get(f"/decide/{session.pk}/deadlift").content.decode()
    assert "too much" in page
    assert "Why this?" in page
    assert "26 November, deadlift, 95 kg: pain 2" in page
