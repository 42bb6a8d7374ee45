"""A plan never stands above what the rules propose, decided or not."""

from decimal import Decimal

import pytest

from floorward.actions.decisions import decide, proposals
from floorward.actions.mornings import Answer, record_morning
from floorward.actions.sessions import plan_today, standing_notes
from tests.conftest import at
from tests.training import searched, sore_back, trained

pytestmark = pytest.mark.django_db
THURSDAY = at("2026-11-26 18:00")


@pytest.fixture
def episode(lifter, coach):
    """Abel trained 95 kg on Monday with scores 1, 2, 1."""
    row = searched(sore_back(lifter, coach))
    trained(row, "2026-11-23", "95", (1, 2, 1))
    return row


def woke(episode, score):
    moment = at("2026-11-24 07:00")
    record_morning(episode, Answer(day=moment.date(), score=score), now=moment)


def planned(episode, coach):
    session = plan_today(episode.lifter, by=coach, now=THURSDAY)
    line = session.lines.filter(role="full-range").first()
    return line and line.load, [note.code for note in standing_notes(session)]


def test_a_step_back_that_nobody_decided_is_planned_all_the_same(episode, coach):
    woke(episode, 3)
    assert planned(episode, coach) == (Decimal(85), ["undecided-eases"])


def test_a_step_forward_that_nobody_decided_is_not(episode, coach):
    woke(episode, 1)
    assert planned(episode, coach) == (Decimal(95), ["undecided-holds"])


def test_a_decision_stands_once_it_is_made(episode, coach):
    woke(episode, 1)
    (proposal,) = proposals(episode, at("2026-11-24 12:00"))
    decide(proposal.trained.session, "deadlift", seen=proposal.seen, by=coach, now=at("2026-11-24 12:00"))
    assert planned(episode, coach) == (Decimal("97.5"), [])


def test_symptoms_that_spread_plan_nothing_of_the_sore_lift(lifter, coach):
    episode = sore_back(lifter, coach)
    trained(episode, "2026-11-23", "95", (1, 2, 1), spreading=True)
    load, notes = planned(episode, coach)
    assert load is None
    assert notes == ["lift-stopped"]


def test_a_decision_on_scores_that_changed_holds_no_step_back_off(episode, coach):
    woke(episode, 1)
    (proposal,) = proposals(episode, at("2026-11-24 12:00"))
    decide(proposal.trained.session, "deadlift", seen=proposal.seen, by=coach, now=at("2026-11-24 12:00"))
    woke(episode, 3)
    assert planned(episode, coach) == (Decimal(85), ["undecided-eases"])


def test_training_after_the_decision_waits_for_its_own(episode, coach):
    woke(episode, 1)
    (proposal,) = proposals(episode, at("2026-11-24 12:00"))
    decide(proposal.trained.session, "deadlift", seen=proposal.seen, by=coach, now=at("2026-11-24 12:00"))
    trained(episode, "2026-11-25", "97.5", (1, 5, 4))
    record_morning(episode, Answer(day=THURSDAY.date(), score=5), now=at("2026-11-26 07:00"))
    load, notes = planned(episode, coach)
    assert load < Decimal("97.5")
    assert notes == ["undecided-eases"]
