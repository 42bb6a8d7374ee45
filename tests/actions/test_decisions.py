"""From the log to the proposal, and from the proposal to the decision.

The worked evening: usual 200 kg hurt 7, 107.5 kg was accepted, 95 kg was trained with scores 1, 2, 1.
"""

from decimal import Decimal

import pytest

from floorward.actions.decisions import accept_all, choice_findings, choices, decide, own_load, proposals
from floorward.actions.done_sets import change_set, undo_set
from floorward.actions.lifters import withdraw_consent
from floorward.actions.mornings import Answer, record_morning
from floorward.actions.sessions import say_after
from floorward.core.rules import Change
from floorward.errors import Refused
from floorward.reports.wording import sentence
from floorward.storage.models import Clearance, Screening, Trace
from tests.conftest import at
from tests.training import searched, sore_back, trained

pytestmark = pytest.mark.django_db
MONDAY, TUESDAY = "2026-11-23", "2026-11-24"
NOON = at("2026-11-24 12:00")


@pytest.fixture
def episode(lifter, coach):
    return searched(sore_back(lifter, coach))


def morning(episode, score, day=TUESDAY, **said):
    moment = at(f"{day} 07:00")
    return record_morning(episode, Answer(day=moment.date(), score=score, **said), now=moment)


def evening(episode, day, load, scores=(1, 2, 1), next_morning=1, **done):
    """A session and the morning after it."""
    session = trained(episode, day, load, scores, **done)
    following = at(f"{day} 12:00").date().toordinal() + 1
    if next_morning is not None:
        morning(episode, next_morning, type(session.day).fromordinal(following).isoformat())
    return session


def only(episode, now=NOON):
    (proposal,) = proposals(episode, now)
    return proposal


def screen(episode, coach, moment, **outcome):
    row = {"outcome": "go-on", "locks": "none", **outcome}
    return Screening.objects.create(episode=episode, at=at(moment), asked_by=coach, answers={}, **row)


@pytest.mark.parametrize(
    ("score", "rule", "change", "load"),
    [
        (1, "R8", "forward", "97.5"),
        (None, "R5", "hold", "95"),
        (3, "R3", "back", "85"),
        (2, "R6", "hold", "95"),
    ],
)
def test_the_morning_after_the_worked_evening_decides(episode, score, rule, change, load):
    trained(episode, MONDAY, "95")
    if score is not None:
        morning(episode, score)
    proposal = only(episode)
    assert (proposal.ruling.code, proposal.change, proposal.plan.load) == (rule, change, Decimal(load))
    assert proposal.rig.loading.total.value == Decimal(load)
    assert all(sentence(reason) for reason in proposal.reasons)


def test_the_baseline_is_the_morning_of_the_day_when_there_is_one(episode):
    morning(episode, 3, MONDAY)
    trained(episode, MONDAY, "95")
    morning(episode, 3)
    assert only(episode).change is Change.FORWARD


def test_nothing_is_proposed_before_the_lift_was_trained_or_without_consent(episode, lifter):
    assert proposals(episode, NOON) == ()
    evening(episode, MONDAY, "95")
    withdraw_consent(lifter, now=NOON)
    assert proposals(episode, NOON) == ()


def test_undone_sets_warm_ups_and_unaffected_lifts_are_not_read(episode, coach):
    session = trained(episode, MONDAY, "95")
    trained(episode, MONDAY, "140", (1, 9, 1), lift="bench-press").done_sets.update(sore=False)
    bad = trained(episode, MONDAY, "120", (1, 8, 1), sets=1).done_sets.get()
    session.done_sets.create(
        lift="deadlift", kind="warm-up", sore=True, load=60, reps=5, pain=8, at=session.started_at
    )
    undo_set(bad, by=coach, now=NOON)
    morning(episode, 1)
    assert [(p.lift, p.plan.load) for p in proposals(episode, NOON)] == [("deadlift", Decimal("97.5"))]


def test_each_sore_lift_has_its_own_proposal_the_provoking_one_first(episode):
    evening(episode, MONDAY, "60", lift="romanian-deadlift", height_mm=0)
    evening(episode, MONDAY, "95")
    assert [proposal.lift for proposal in proposals(episode, NOON)] == ["deadlift", "romanian-deadlift"]


def test_pain_over_the_ceiling_goes_back_whatever_the_morning_says(episode):
    evening(episode, MONDAY, "95", (1, 6, 1))
    assert (only(episode).ruling.code, only(episode).ruled.load) == ("R2", Decimal(85))
    assert Decimal(64) <= only(episode).plan.load <= Decimal(85)


def test_the_gyms_own_ceiling_is_the_one_that_counts(episode, gym):
    evening(episode, MONDAY, "95", (1, 4, 1))
    assert only(episode).ruling.code == "R7"
    gym.ceiling_set = 3
    gym.save()
    episode.refresh_from_db()
    assert only(episode).ruling.code == "R2"


def test_bearable_pain_opens_the_smallest_step_the_second_time_and_the_model_waits(episode):
    evening(episode, "2026-11-20", "95", (1, 4, 1))
    evening(episode, MONDAY, "95", (1, 4, 1))
    proposal = only(episode)
    assert (proposal.ruling.code, proposal.ruled.load) == ("R7", Decimal("97.5"))
    assert (proposal.change, proposal.plan.load) == (Change.HOLD, Decimal(95))
    assert proposal.reasons[-1].code == "model-holds"


def test_bearable_pain_takes_the_smallest_step_the_second_time_where_no_model_knows_the_lift(lifter, coach):
    arm = sore_back(
        lifter, coach, region="shoulder", lift="bench-press", load=Decimal(100), usual_load=Decimal(100)
    )
    evening(arm, "2026-11-20", "60", (1, 4, 1), lift="bench-press", height_mm=0)
    evening(arm, MONDAY, "60", (1, 4, 1), lift="bench-press", height_mm=0)
    assert (only(arm).ruling.code, only(arm).plan.load, only(arm).odds) == ("R7", Decimal("62.5"), "")


def test_a_step_over_the_cap_waits_for_a_second_settled_session_and_a_set_more_is_the_nearer_step(episode):
    evening(episode, "2026-11-20", "20")
    first = only(episode, at("2026-11-21 12:00"))
    assert (first.change, first.plan.load, first.plan.sets) == (Change.FORWARD, Decimal(20), 4)
    assert [row.code for row in first.reasons][-2:] == ["step-waits", "more-sets"]
    evening(episode, MONDAY, "20")
    assert only(episode).plan.load == Decimal("22.5")


def test_two_settled_sessions_at_a_raised_start_bring_the_bar_down_at_equal_load(episode):
    evening(episode, "2026-11-20", "60", height_mm=325)
    first = only(episode, at("2026-11-21 12:00"))
    assert (first.change, first.reasons[-1].code) == (Change.HOLD, "bar-waits")
    evening(episode, MONDAY, "60", height_mm=325)
    second = only(episode)
    assert (second.change, second.plan.load, second.plan.height_mm) == (Change.FORWARD, Decimal(60), 315)
    assert sum(count * block.thickness_mm for block, count in second.rig.stand.blocks) == 90


def test_at_the_lightest_load_a_step_back_raises_the_bar(episode):
    evening(episode, MONDAY, "20", (1, 7, 1))
    proposal = only(episode)
    assert (proposal.change, proposal.plan.load) == (Change.BACK, Decimal(20))
    assert proposal.plan.height_mm > 225


def test_taking_the_proposal_keeps_rule_numbers_and_protocol(episode, coach, gym):
    session = evening(episode, MONDAY, "95")
    row = decide(session, "deadlift", seen=only(episode).seen, by=coach, now=NOON)
    assert (row.rule, row.change, row.load, row.unit, row.by) == (
        "R8",
        "forward",
        Decimal("97.5"),
        "kg",
        coach,
    )
    assert {name: row.numbers[name] for name in "BDAM"} == {"B": 1, "D": 2, "A": 1, "M": 1}
    assert row.protocol_version == gym.protocol_version
    assert proposals(episode, NOON) == ()


def test_another_choice_needs_a_reason(episode, coach):
    session = evening(episode, MONDAY, "95")
    proposal = only(episode)
    hold = next(choice for choice in choices(proposal) if choice.key == "hold")
    with pytest.raises(Refused, match="reason-needed"):
        decide(session, "deadlift", seen=proposal.seen, choice=hold, by=coach, now=NOON)
    row = decide(
        session, "deadlift", seen=proposal.seen, choice=hold, reason="Slept badly.", by=coach, now=NOON
    )
    assert (row.proposed_change, row.change, row.load, row.reason) == (
        "forward",
        "hold",
        Decimal(95),
        "Slept badly.",
    )


def codes(proposal, load):
    return [finding.code for finding in choice_findings(proposal, own_load(proposal, Decimal(load)))]


def test_a_step_forward_against_the_proposal_is_one_step_at_most(episode):
    evening(episode, MONDAY, "95", next_morning=2)
    proposal = only(episode)
    assert proposal.change is Change.HOLD
    assert codes(proposal, "97.5") == []
    assert codes(proposal, "100") == ["forward-one-step"]
    assert codes(proposal, "96") == ["not-loadable"]
    assert codes(proposal, "60") == []


def test_without_a_morning_answer_nobody_steps_forward(episode):
    evening(episode, MONDAY, "95", next_morning=None)
    proposal = only(episode)
    assert codes(proposal, "97.5") == ["forward-needs-morning"]
    assert "forward" not in {choice.key for choice in choices(proposal)}


def test_no_lower_bar_without_a_morning_answer_and_one_height_at_most(episode):
    evening(episode, MONDAY, "60", height_mm=325, next_morning=None)
    assert "lower" not in {choice.key for choice in choices(only(episode))}
    morning(episode, 2)
    proposal = only(episode)
    lower = next(choice for choice in choices(proposal) if choice.key == "lower")
    assert lower.height_mm == 315
    from dataclasses import replace

    assert [f.code for f in choice_findings(proposal, replace(lower, height_mm=225))] == ["lower-one-step"]
    assert [f.code for f in choice_findings(proposal, replace(lower, load=Decimal("57.5")))] == ["one-thing"]
    assert [f.code for f in choice_findings(proposal, replace(lower, height_mm=317))] == ["not-buildable"]


def test_an_open_screen_stops_and_nobody_chooses_otherwise(episode, coach):
    session = evening(episode, MONDAY, "95")
    lock = screen(episode, coach, "2026-11-24 11:00", outcome="same-day", locks="region")
    proposal = only(episode)
    assert (proposal.ruling.code, proposal.change, proposal.plan.load) == ("R0", Change.STOP, None)
    assert choices(proposal) == ()
    with pytest.raises(Refused, match="not-overridable"):
        decide(
            session,
            "deadlift",
            seen=proposal.seen,
            choice=own_load(proposal, Decimal(60)),
            reason="He feels fine.",
            by=coach,
            now=NOON,
        )
    Clearance.objects.create(
        screening=lock, day="2026-11-24", clinician_role="GP", clinician_name="Dr Ashe", entered_at=NOON
    )
    assert only(episode).ruling.code == "R8"


def test_a_whole_person_lock_of_another_episode_stops_this_lift_too(episode, lifter, coach):
    evening(episode, MONDAY, "95")
    knee = sore_back(lifter, coach, region="knee", lift="high-bar-squat")
    screen(knee, coach, "2026-11-24 11:00", outcome="emergency", locks="person")
    assert only(episode).ruling.code == "R0"


def test_a_region_lock_of_another_episode_does_not(episode, lifter, coach):
    evening(episode, MONDAY, "95")
    knee = sore_back(lifter, coach, region="knee", lift="high-bar-squat")
    screen(knee, coach, "2026-11-24 11:00", outcome="same-day", locks="region")
    assert only(episode).ruling.code == "R8"


def test_spreading_stops_until_the_screen_is_passed_and_then_goes_back(episode, coach):
    session = evening(episode, MONDAY, "95", spreading=True)
    proposal = only(episode)
    assert (proposal.ruling.code, proposal.change) == ("R1", Change.STOP)
    with pytest.raises(Refused, match="not-overridable"):
        decide(
            session,
            "deadlift",
            seen=proposal.seen,
            choice=own_load(proposal, Decimal(95)),
            reason="One day.",
            by=coach,
            now=NOON,
        )
    screen(episode, coach, "2026-11-24 11:00")
    after = only(episode)
    assert (after.ruling.code, after.change, after.ruled.load) == ("R1", Change.BACK, Decimal(85))
    assert codes(after, "95") == ["not-overridable"]
    assert codes(after, "70") == []


def test_new_symptoms_on_a_later_morning_stop_the_lift_too(episode, coach):
    evening(episode, MONDAY, "95")
    morning(episode, 1, "2026-11-26", new_symptoms="unsure")
    assert only(episode, at("2026-11-26 12:00")).ruling.code == "R1"


def test_a_page_opened_before_the_scores_changed_stores_nothing(episode, coach):
    session = evening(episode, MONDAY, "95")
    seen = only(episode).seen
    record_morning(episode, Answer(day=at(f"{TUESDAY} 07:00").date(), score=3), now=NOON)
    with pytest.raises(Refused, match="proposal-changed"):
        decide(session, "deadlift", seen=seen, by=coach, now=NOON)
    assert not episode.decisions.exists()


def test_a_colleagues_decision_meanwhile_is_not_overwritten(episode, coach, owner):
    session = evening(episode, MONDAY, "95")
    seen = only(episode).seen
    decide(session, "deadlift", seen=seen, by=owner, now=NOON)
    with pytest.raises(Refused, match="decided-meanwhile") as refusal:
        decide(session, "deadlift", seen=seen, by=coach, now=NOON)
    assert refusal.value.numbers == {"who": "Imke Torvald"}
    assert episode.decisions.get().by == owner


def test_only_the_newest_session_of_a_lift_is_decided_on(episode, coach):
    old = evening(episode, "2026-11-20", "92.5")
    evening(episode, MONDAY, "95")
    with pytest.raises(Refused, match="not-the-last"):
        decide(old, "deadlift", seen=only(episode).seen, by=coach, now=NOON)


@pytest.mark.parametrize("what", ["set", "after", "morning", "baseline", "undone"])
def test_a_score_changed_after_the_decision_marks_it_and_proposes_anew(episode, coach, what):
    session = evening(episode, MONDAY, "95")
    row = decide(session, "deadlift", seen=only(episode).seen, by=coach, now=NOON)
    first = session.done_sets.first()
    if what == "set":
        change_set(first, changes={"pain": 6}, by=coach, now=NOON)
    elif what == "undone":
        undo_set(first, by=coach, now=NOON)
    elif what == "after":
        say_after(session, 6, by=coach, now=NOON)
    else:
        morning(episode, 4, TUESDAY if what == "morning" else MONDAY)
    row.refresh_from_db()
    assert row.outdated
    again = only(episode)
    assert again.decision == row
    decide(session, "deadlift", seen=again.seen, by=coach, now=NOON)
    row.refresh_from_db()
    assert (row.outdated, row.rule) == (False, again.ruling.code)
    assert Trace.objects.get(what="decided-anew").before["rule"] == "R8"


def test_pounds_stay_pounds(lifter, coach):
    pounds = sore_back(lifter, coach, unit="lb", load=Decimal(405), usual_load=Decimal(405))
    evening(pounds, MONDAY, "205", (1, 1, 1), unit="lb")
    proposal = only(pounds)
    assert (proposal.unit, proposal.plan.load) == ("lb", Decimal(215))


def test_a_session_at_half_past_eleven_is_answered_for_by_the_next_morning(episode):
    session = trained(episode, MONDAY, "95", started=at("2026-11-23 23:30"))
    session.done_sets.update(at=at("2026-11-24 00:20"))
    morning(episode, 3)
    assert only(episode).ruling.code == "R3"


@pytest.mark.parametrize("night", ["2026-03-28", "2026-10-24"])
def test_the_nights_when_the_clocks_change_keep_their_morning(lifter, coach, night):
    from datetime import date, timedelta

    spell = sore_back(lifter, coach, started=f"{night} 17:00")
    trained(spell, night, "95", started=at(f"{night} 23:30"))
    following = date.fromisoformat(night) + timedelta(days=1)
    moment = at(f"{following} 06:30")
    record_morning(spell, Answer(day=following, score=3), now=moment)
    assert only(spell, moment).ruling.code == "R3"


def test_a_decision_remembers_what_iron_and_wood_did_to_the_step(episode, coach):
    from floorward.reports.reasons import reasons

    session = evening(episode, MONDAY, "20")
    row = decide(session, "deadlift", seen=only(episode).seen, by=coach, now=NOON)
    assert (row.change, row.sets, row.numbers["ruled"], row.numbers["next_sets"]) == (
        "forward",
        4,
        "forward",
        4,
    )
    told = [reason.code for reason in reasons(row.rule, row.numbers)]
    assert told == ["rule-R8", "step-waits", "more-sets"]


def test_all_that_is_proposed_can_be_taken_at_once_and_only_once(episode, coach):
    evening(episode, MONDAY, "95")
    (decision,) = accept_all(episode, by=coach, now=NOON)
    assert (decision.rule, decision.change, decision.load, decision.reason) == (
        "R8",
        "forward",
        Decimal("97.5"),
        "",
    )
    assert accept_all(episode, by=coach, now=NOON) == ()
