from datetime import date, timedelta
from decimal import Decimal

import numpy as np
import pytest

from floorward.actions.decisions import choices, decide, proposal_for, ruled, says_of
from floorward.actions.episodes import close_episode
from floorward.actions.mornings import Answer, record_morning
from floorward.actions.sessions import open_session
from floorward.actions.standing import standing_of, standing_today
from floorward.actions.tolerances import log_of
from floorward.cli.step import answer
from floorward.core.rules import Change
from floorward.errors import Refused
from tests.conftest import at
from tests.training import searched, sore_back, trained

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


def test_a_hold_that_is_likely_to_be_too_much_is_eased_and_the_hold_stands_beside_it(lifter, coach):
    episode = sore_back(lifter, coach)
    evenings(episode, ("95", 4, 1))
    proposal = proposal_for(episode, "deadlift", NOON)
    assert (proposal.ruling.change, proposal.ruled.load) == (Change.HOLD, Decimal(95))
    assert proposal.change is Change.BACK
    assert Decimal(95) * Decimal("0.78") <= proposal.plan.load < Decimal(95)
    assert proposal.reasons[-1].code == "model-lighter"
    assert (ruled(proposal).change, ruled(proposal).load) == (Change.HOLD, Decimal(95))


def test_a_hold_that_can_be_borne_stays_a_hold(lifter, coach):
    episode = sore_back(lifter, coach, started="2026-11-16 18:10")
    evenings(episode, ("60", 0, 1), ("60", 0, 1), ("60", 0, None))
    proposal = proposal_for(episode, "deadlift", NOON)
    assert (proposal.change, proposal.plan.load) == (Change.HOLD, Decimal(60))
    assert ruled(proposal) is None


def test_a_plan_stands_no_heavier_than_a_hold_that_was_eased_and_is_not_decided_yet(lifter, coach):
    episode = sore_back(lifter, coach)
    evenings(episode, ("95", 4, 1))
    session = open_session(lifter, by=coach, now=at("2026-11-27 18:00"))
    eased = proposal_for(episode, "deadlift", NOON).plan.load
    assert standing_today(session).load == eased < 95


def test_easy_evenings_make_the_same_load_likelier_to_be_borne(lifter, coach):
    episode = sore_back(lifter, coach)
    trained(episode, "2026-11-26", "95", (1, 3, 1))
    before = int(says(episode).odds)
    for day in ("2026-11-23", "2026-11-24", "2026-11-25"):
        trained(episode, day, "110", (0, 0, 0))
    after = int(says(episode).odds)
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


def woke(episode, day: date, score: int) -> None:
    record_morning(episode, Answer(day=day, score=score), now=at(f"{day} 07:00"))


def evenings(episode, *rows, sets=1) -> None:
    """Evenings of the full lift three days apart, up to 26 November: load, pain in the sets, the next morning (before: 1)."""
    first = NOON.date() - timedelta(days=3 * len(rows) - 2)
    for number, (load, pain, morning) in enumerate(rows):
        day = first + timedelta(days=3 * number)
        trained(episode, day.isoformat(), load, (1, pain, min(pain, 2)), sets=sets)
        if morning is not None:
            woke(episode, day + timedelta(days=1), morning)


def test_a_step_that_is_likely_to_be_too_much_is_shortened_to_a_hold_and_says_so(lifter, coach):
    episode = sore_back(lifter, coach)
    evenings(episode, ("110", 2, 1))
    proposal = proposal_for(episode, "deadlift", NOON)
    assert (proposal.change, proposal.plan.load, proposal.ruled.load) == (
        Change.HOLD,
        Decimal(110),
        Decimal(115),
    )
    assert [row.code for row in proposal.reasons] == ["rule-R8", "model-holds"]


def test_a_step_may_be_shorter_than_the_rules_allow(lifter, coach, gym):
    gym.forward_percent = 10
    gym.save()
    episode = sore_back(lifter, coach)
    evenings(episode, ("95", 2, 1))
    proposal = proposal_for(episode, "deadlift", NOON)
    assert proposal.ruled.load == Decimal("102.5")
    assert Decimal(95) < proposal.plan.load < Decimal("102.5")
    assert [row.code for row in proposal.reasons] == ["rule-R8", "model-eases"]


def test_past_the_usual_step_it_goes_only_where_it_is_hardly_ever_too_much_and_never_past_the_cap(
    lifter, coach
):
    episode = sore_back(lifter, coach, started="2026-11-16 18:10")
    evenings(episode, ("90", 0, 1), ("90", 0, 1), ("90", 0, 1))
    proposal = proposal_for(episode, "deadlift", NOON)
    assert proposal.ruled.load == Decimal("92.5")
    assert proposal.ruled.load < proposal.plan.load <= Decimal(99)
    assert proposal.reasons[-1].code == "model-further"
    assert ruled(proposal).load == Decimal("92.5")


def test_the_rules_load_is_taken_without_another_reason_and_kept_as_an_override(lifter, coach):
    episode = sore_back(lifter, coach)
    evenings(episode, ("110", 2, 1))
    proposal = proposal_for(episode, "deadlift", NOON)
    session, further = proposal.trained.session, ruled(proposal)
    assert further.load not in {choice.load for choice in choices(proposal)}
    row = decide(session, "deadlift", seen=proposal.seen, choice=further, by=coach, now=NOON)
    assert (row.proposed_change, row.proposed_load, row.change, row.load) == (
        "hold",
        Decimal(110),
        "forward",
        Decimal(115),
    )


def test_where_the_proposal_is_the_rules_own_there_is_nothing_further_to_take(lifter, coach):
    episode = searched(sore_back(lifter, coach))
    evenings(episode, ("95", 2, 1))
    proposal = proposal_for(episode, "deadlift", NOON)
    assert ruled(proposal) is None
    hold = next(choice for choice in choices(proposal) if choice.key == "hold")
    with pytest.raises(Refused, match="reason-needed"):
        decide(proposal.trained.session, "deadlift", seen=proposal.seen, choice=hold, by=coach, now=NOON)


def test_a_lower_bar_that_is_likely_to_be_too_much_waits(lifter, coach):
    episode = sore_back(lifter, coach)
    for day in ("2026-11-23", "2026-11-26"):
        trained(episode, day, "110", (1, 2, 1), height_mm=325)
        woke(episode, at(f"{day} 12:00").date() + timedelta(days=1), 1)
    proposal = proposal_for(episode, "deadlift", NOON)
    assert proposal.ruled.height_mm < 325
    assert (proposal.plan.height_mm, proposal.plan.load, proposal.plan.sets) == (325, Decimal(110), 4)
    assert [row.code for row in proposal.reasons] == ["rule-R8", "model-bar", "more-sets"]


def test_a_set_more_is_taken_as_any_proposal_and_the_plan_has_it(lifter, coach):
    """20 kg: the next load is more than 10 % heavier."""
    episode = sore_back(lifter, coach)
    evenings(episode, ("20", 0, 1), sets=3)
    proposal = proposal_for(episode, "deadlift", NOON)
    session = proposal.trained.session
    assert (proposal.change, proposal.plan.load, proposal.plan.sets) == (Change.FORWARD, Decimal(20), 4)
    hold = next(choice for choice in choices(proposal) if choice.key == "hold")
    with pytest.raises(Refused, match="reason-needed"):
        decide(session, "deadlift", seen=proposal.seen, choice=hold, by=coach, now=NOON)
    row = decide(session, "deadlift", seen=proposal.seen, by=coach, now=NOON)
    assert (row.proposed_sets, row.sets, row.load) == (4, 4, Decimal(20))
    assert standing_of(episode, "deadlift").sets == 4


def asked_of_the_command(episode, proposal, profile="steady") -> dict:
    """The same history, asked as another program would ask it."""
    log, loads = log_of(episode), proposal.reach.loads
    kilograms = tuple(float(load) for load in loads)
    rows = []
    for session in episode.sessions.order_by("day"):
        done = session.done_sets.first()
        check = episode.mornings.filter(day=session.day + timedelta(days=1)).first()
        rows.append(
            {
                "day": (session.day - log.began).days,
                "load_kg": float(done.load),
                "sets": session.done_sets.count(),
                "reps": done.reps,
                "target_reps": done.target_reps,
                "rpe": float(done.rpe),
                "before": session.before,
                "pain": done.pain,
                "after": session.after,
                "morning": check.score if check else None,
                "acceptable": True,
            }
        )
    return answer(
        {
            "loads_kg": list(kilograms),
            "demand_nm": list(log.full.demands(kilograms)),
            "usual_kg": 200,
            "usual_demand_nm": log.priors.usual_demand,
            "provoking_pain": 7,
            "history": rows,
            "profile": profile,
            "today": rows[-1]["day"] + 1,
        }
    )


@pytest.mark.parametrize("profile", ["steady", "assertive"])
@pytest.mark.parametrize(
    "rows",
    [
        [("95", 2, 1)],
        [("60", 0, 2)],
        [("60", 1, 1), ("60", 1, 1), ("60", 3, 1)],
        [("80", 4, 1)],
        [("95", 4, 1), ("95", 4, 1)],
        [("120", 5, 2)],
        [("110", 2, 1), ("110", 2, 1)],
        [("20", 0, 1)],
        [("120", 7, 1)],
        [("60", 0, 3), ("60", 0, 1)],
        [("60", 0, 1)],
        [("60", 0, 1), ("65", 0, 1), ("70", 1, 1)],
        [("80", 1, 1), ("85", 2, 1)],
        [("100", 1, 1), ("105", 3, 1), ("105", 2, 1)],
        [("60", 1, None)],
        [("60", 1, 3)],
    ],
)
def test_the_page_and_the_command_say_the_same(lifter, coach, gym, rows, profile):
    """In a gym whose step is the rules' cap, as the command has it: forward, hold and back, in either profile."""
    gym.forward_percent, gym.profile = 10, profile
    gym.save()
    episode = sore_back(lifter, coach, started="2026-11-19 18:00")
    evenings(episode, *rows, sets=3)
    proposal = proposal_for(episode, "deadlift", NOON)
    told = asked_of_the_command(episode, proposal, profile)
    assert told["next_kg"] == float(proposal.plan.load)
    assert told["sets"] == (proposal.plan.sets or proposal.last.sets)
    if not proposal.plan.sets:
        assert told["change"] == proposal.change


def test_no_history_leads_over_the_cap_or_forward_without_a_morning_or_to_what_cannot_be_loaded(
    lifter, coach
):
    rng = np.random.default_rng(4)
    for number in range(12):
        episode = sore_back(lifter, coach, started="2026-11-18 18:00")
        load = float(rng.choice([20, 40, 60, 95, 140]))
        rows = [
            (str(load), int(rng.integers(0, 6)), [None, 0, 1, 1, 2, 3][int(rng.integers(0, 6))])
            for _ in range(int(rng.integers(1, 4)))
        ]
        evenings(episode, *rows)
        proposal = proposal_for(episode, "deadlift", NOON)
        found, last = proposal.plan.load, Decimal(str(load))
        assert found in proposal.reach.loads
        assert found <= max(last * Decimal("1.1"), last + Decimal("2.5")), number
        assert rows[-1][2] is not None or found <= last
        assert proposal.ruling.change is Change.FORWARD or found <= last
        assert found <= max(proposal.ruled.load, last * Decimal("1.1"))
        close_episode(episode, now=NOON)
