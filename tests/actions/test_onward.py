"""A lifter whose deadlift is borne from 20 cm blocks only, in a gym that owns no others."""

import re
from decimal import Decimal

import pytest

from floorward.actions.decisions import accept_all, choices, decide, proposal_for, ruled, says_of
from floorward.actions.mornings import Answer, record_morning
from floorward.actions.planning import blank_line
from floorward.actions.sessions import plan_today, standing_notes
from floorward.core.plan_change import Changed
from floorward.core.rules import Change
from floorward.errors import Refused
from floorward.storage.models import BarRow, DoneSet
from tests.conftest import at
from tests.training import sore_back, trained

pytestmark = pytest.mark.django_db
NOON = at("2026-11-27 12:00")
EVENING = at("2026-11-30 18:00")


@pytest.fixture
def episode(lifter, coach, gym):
    gym.blocks.all().delete()
    gym.pins.all().delete()
    return sore_back(lifter, coach)


def evenings(episode, *days, **about):
    """Quiet evenings from the blocks, each with a morning as before it."""
    for day in days:
        trained(episode, f"2026-11-{day}", "100", (1, 1, 1), **{"height_mm": 425, "sets": 4, **about})
        record_morning(
            episode,
            Answer(day=at(f"2026-11-{day + 1} 08:00").date(), score=1),
            now=at(f"2026-11-{day + 1} 07:00"),
        )


def text_of(client, address: str) -> str:
    page = client.get(address).content.decode()
    return " ".join(re.sub(r"<[^>]+>", "", page).split())


def proposal(episode):
    return proposal_for(episode, "deadlift", NOON)


def test_where_the_next_height_is_a_leap_the_handles_between_come_in_and_the_blocks_stay(episode):
    evenings(episode, 23, 26)
    found = proposal(episode)
    assert (found.ruled.changed, found.ruled.height_mm) == (Changed.HEIGHT, 225)
    assert (found.change, found.plan.changed) == (Change.FORWARD, Changed.VARIATION)
    assert (found.plan.load, found.plan.height_mm) == (Decimal(100), 425)
    assert found.onward.built.setup.lift == "trap-bar-high"
    assert found.onward.load <= 100
    assert found.onward.turn.size < 1
    assert found.onward.turn.chance <= 0.15
    assert found.reasons[-1].code == "other-setup-leap"
    assert found.rig.loading is not None


def test_it_waits_for_a_second_settled_evening_and_for_the_morning(episode, lifter, coach):
    evenings(episode, 26)
    assert proposal(episode).onward is None
    evenings(episode, 23)
    assert proposal(episode).onward is not None
    trained(episode, "2026-11-27", "100", (1, 1, 1), height_mm=425, sets=4, started=at("2026-11-27 09:00"))
    assert proposal(episode).onward is None


def test_where_the_full_lift_was_borne_nothing_else_is_needed_on_the_way_to_it(episode):
    trained(episode, "2026-11-22", "60", (1, 1, 1))
    evenings(episode, 23, 26)
    assert proposal(episode).onward is None


def test_without_a_bar_of_that_kind_the_height_stays_the_step(episode):
    BarRow.objects.filter(kind="trap").delete()
    evenings(episode, 23, 26)
    assert proposal(episode).plan.changed is Changed.HEIGHT


def test_a_height_that_is_no_leap_comes_before_another_lift(episode, gym):
    for thickness in (20, 50, 100):
        gym.blocks.create(name="block", thickness_mm=thickness, pairs=2)
    evenings(episode, 23, 26)
    assert proposal(episode).plan.changed is Changed.HEIGHT


def test_what_was_decided_is_said_in_the_next_session_until_it_is_done(episode, lifter, coach):
    evenings(episode, 23, 26)
    accept_all(episode, by=coach, now=NOON)
    session = plan_today(lifter, by=coach, now=EVENING)
    line = session.lines.get()
    assert (line.lift, line.load, line.height_mm) == ("deadlift", 100, 425)
    planned = blank_line(session, "trap-bar-high")
    assert (planned.load, planned.unit, planned.height_mm) == (Decimal("97.5"), "kg", 345)
    note = next(each for each in standing_notes(session) if each.code == "turn-decided")
    assert note.numbers["lift"] == "trap-bar-high"
    built = proposal(episode).onward.built.setup
    DoneSet.objects.create(
        session=session,
        lift=built.lift,
        height_mm=built.height_mm,
        bar=BarRow.objects.get(kind="trap"),
        kind="work",
        sore=True,
        load=Decimal(80),
        unit="kg",
        reps=5,
        pain=1,
        acceptable=True,
        at=EVENING,
    )
    assert "turn-decided" not in [each.code for each in standing_notes(session)]


def test_a_coach_may_hold_with_a_reason_or_take_what_the_rules_lead_to_without_one(episode, coach):
    evenings(episode, 23, 26)
    found = proposal(episode)
    hold = next(choice for choice in choices(found) if choice.key == "hold")
    with pytest.raises(Refused, match="reason-needed"):
        decide(found.trained.session, "deadlift", seen=found.seen, choice=hold, by=coach, now=NOON)
    taken = decide(
        found.trained.session, "deadlift", seen=found.seen, choice=ruled(found), by=coach, now=NOON
    )
    assert (taken.height_mm, taken.numbers["onward"]) == (225, False)


def test_why_is_said_of_the_other_set_up(episode):
    evenings(episode, 23, 26)
    told = says_of(proposal(episode))
    assert told.odds == proposal(episode).onward.odds
    assert told.low < told.high
    assert told.facts


def test_the_pages_say_it_in_words(signed_in, episode, clock):
    evenings(episode, 23, 26)
    clock("2026-11-27 12:00")
    session = proposal(episode).trained.session
    page = " ".join(signed_in.get(f"/decide/{session.pk}/deadlift").content.decode().split())
    assert "Forward: add trap bar, high handles, 97.5 kg" in page
    assert "So one thing is added: trap bar, high handles with 97.5 kg, nearer the full lift." in page
    assert "Accept: 97.5 kg there" in page


def test_what_was_decided_stands_on_progress_and_on_the_plan(signed_in, episode, lifter, coach, clock):
    evenings(episode, 23, 26)
    accept_all(episode, by=coach, now=NOON)
    clock("2026-11-28 18:00")
    added = "forward: add trap bar, high handles, 97.5 kg"
    for address in (f"/lifters/{lifter.pk}/progress", f"/lifters/{lifter.pk}", "/today"):
        assert added in text_of(signed_in, address).lower(), address
    clock("2026-11-30 18:00")
    session = plan_today(lifter, by=coach, now=EVENING)
    assert "add trap bar, high handles today, 97.5 kg" in text_of(signed_in, f"/sessions/{session.pk}/plan")
