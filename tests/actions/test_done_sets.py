"""Done sets: what is kept of one, and what is kept of a change to one."""

from decimal import Decimal

import pytest

from floorward.actions import audit, done_sets, episodes, lifters, sessions
from floorward.actions.done_sets import SetReport
from floorward.errors import Refused
from floorward.storage.models import BarRow, DoneSet, Line, Screening, Trace
from tests.conftest import at
from tests.people import INES, a_gym, a_lifter

pytestmark = pytest.mark.django_db

NOW = at("2026-11-23 18:20")
LATER = at("2026-11-23 18:25")


@pytest.fixture
def episode(lifter, coach):
    about = {
        "region": "low-back", "since": "2026-11-20", "lift": "deadlift", "load": 200, "usual_load": 200, "unit": "kg",
        "reps": 1, "pain": 7,
    }  # fmt: skip
    return episodes.start_episode(lifter, by=coach, now=at("2026-11-23 18:00"), about=about)


@pytest.fixture
def line(lifter, coach, episode):
    session = sessions.open_session(lifter, by=coach, now=at("2026-11-23 18:10"))
    return Line.objects.create(
        session=session, order=1, role="full-range", lift="deadlift", height_mm=225, belt=True,
        bar=BarRow.objects.get(name="Bar 1"), load=95, unit="kg", sets=3, reps=5,
    )  # fmt: skip


def report(**said) -> SetReport:
    return SetReport(**{"kind": "work", "load": Decimal(95), "unit": "kg", "reps": 5, "pain": 2, **said})


def log(line, coach, **said) -> DoneSet:
    return done_sets.log_set(line, report(**said), by=coach, now=NOW).row


def decided(line):
    return line.session.decisions.create(
        episode=line.session.episode, lift="deadlift", rule="R8", proposed_change="forward", change="forward",
        load=Decimal("97.5"), unit="kg", protocol_version=1, at=at("2026-11-24 09:00"),
    )  # fmt: skip


def test_a_set_keeps_the_set_up_of_its_line(line, coach):
    row = log(line, coach)
    assert (row.lift, row.height_mm, row.belt, row.bar, row.target_reps) == (
        "deadlift",
        225,
        True,
        line.bar,
        5,
    )


def test_what_nobody_asked_is_acceptable_up_to_the_gyms_limit(line, coach, gym):
    assert log(line, coach, pain=5).acceptable is True
    assert log(line, coach, pain=6).acceptable is False
    gym.ceiling_set = 4
    gym.save()
    line = Line.objects.select_related("session__lifter__gym").get(pk=line.pk)
    assert log(line, coach, pain=5).acceptable is False


def test_spreading_is_never_acceptable_unless_said_so(line, coach):
    assert log(line, coach, pain=1, spreading=True).acceptable is False


def test_one_press_is_one_set_whoever_sends_it_again(line, coach):
    first = done_sets.log_set(line, report(client_id="a-press"), by=coach, now=NOW)
    again = done_sets.log_set(line, report(client_id="a-press", pain=4), by=coach, now=LATER)
    assert (first.fresh, again.fresh, again.row.pk, again.row.pain) == (True, False, first.row.pk, 2)
    assert DoneSet.objects.count() == 1


def test_an_undone_set_stays_with_a_trace_and_is_undone_once(line, coach):
    row = log(line, coach)
    done_sets.undo_set(row, by=coach, now=LATER)
    done_sets.undo_set(row, by=coach, now=at("2026-11-23 18:40"))
    assert DoneSet.objects.get().undone_at == LATER
    trace = Trace.objects.get()
    assert (trace.what, trace.by, trace.before["load"], trace.before["pain"]) == (
        "set-undone",
        coach,
        "95",
        2,
    )


def test_a_mended_score_leaves_a_trace_and_marks_the_decision(line, coach):
    row = log(line, coach)
    decision = decided(line)
    done_sets.change_set(row, changes={"pain": 4}, by=coach, now=at("2026-11-24 10:00"))
    decision.refresh_from_db()
    assert DoneSet.objects.get().pain == 4
    assert Trace.objects.get(what="set-changed").before["pain"] == 2
    assert decision.outdated is True


def test_saving_a_set_as_it_was_leaves_the_decision_alone(line, coach):
    row = log(line, coach)
    decision = decided(line)
    done_sets.change_set(row, changes={"pain": 2}, by=coach, now=at("2026-11-24 10:00"))
    decision.refresh_from_db()
    assert decision.outdated is False
    assert not Trace.objects.exists()


@pytest.mark.parametrize("change", ["undo", "log", "move"])
def test_whatever_changes_the_days_sets_marks_its_decision(change, line, coach):
    row = log(line, coach)
    other = Line.objects.create(
        session=line.session, order=2, role="usual", lift="dip", load=20, unit="kg", sets=3, reps=8
    )
    decision = decided(line)
    {
        "undo": lambda: done_sets.undo_set(row, by=coach, now=LATER),
        "log": lambda: log(line, coach),
        "move": lambda: done_sets.move_set(row, other, by=coach, now=LATER),
    }[change]()
    decision.refresh_from_db()
    assert decision.outdated is True


def test_a_score_before_or_after_that_changes_marks_the_decision_too(line, coach):
    sessions.say_after(line.session, 1, by=coach, now=NOW)
    decision = decided(line)
    sessions.say_after(line.session, 1, by=coach, now=LATER)
    decision.refresh_from_db()
    assert decision.outdated is False
    sessions.say_after(line.session, 4, by=coach, now=LATER)
    decision.refresh_from_db()
    assert decision.outdated is True
    assert Trace.objects.get(what="after-changed").before == {"after": 1}


def test_a_moved_set_takes_the_lift_of_its_new_line_and_keeps_its_load(line, coach):
    row = log(line, coach)
    other = Line.objects.create(
        session=line.session, order=2, role="usual", lift="dip", load=20, unit="kg", sets=3, reps=8
    )
    moved = done_sets.move_set(row, other, by=coach, now=LATER)
    assert (moved.lift, moved.load, moved.reps, moved.sore, moved.target_reps, moved.height_mm) == (
        "dip",
        95,
        5,
        False,
        8,
        0,
    )
    assert Trace.objects.get(what="set-moved").before["line"] == line.pk


@pytest.fixture
def ines_line(gym, coach):
    """A lift of Ines's, who trains at the next platform."""
    ines = a_lifter(gym, coach, NOW, name="Ines Halloran", **INES)
    theirs = sessions.open_session(ines, by=coach, now=NOW)
    return Line.objects.create(
        session=theirs, order=1, role="usual", lift="dip", load=20, unit="kg", sets=3, reps=8
    )


def test_a_set_moved_to_another_lifter_leaves_a_line_on_her_trail(line, ines_line, coach):
    moved = done_sets.move_set(log(line, coach), ines_line, by=coach, now=LATER)
    assert moved.pain == 2
    (seen,) = audit.trail_of(coach.gym, ines_line.session.lifter)
    assert (seen.who, seen.kind, seen.changed) == ("Bram Okello", "session", True)


def test_a_score_kept_before_its_consent_was_withdrawn_does_not_come_out_at_another_lifter(
    line, ines_line, coach, lifter
):
    row = log(line, coach, spreading=True)
    lifters.withdraw_consent(lifter, now=LATER)
    moved = done_sets.move_set(row, ines_line, by=coach, now=LATER)
    assert (moved.pain, moved.acceptable, moved.spreading) == (None, None, False)


def test_a_set_is_not_moved_into_another_gym(line, coach, owner):
    elsewhere = a_gym("Quayside Barbell", NOW)
    stranger = lifters.add_lifter(
        elsewhere,
        coach=None,
        now=NOW,
        name="Odd Lund",
        born_year=1990,
        sex="male",
        stature_m=1.8,
        mass_kg=90.0,
        unit="kg",
    )
    theirs = sessions.open_session(stranger, by=None, now=NOW)
    there = Line.objects.create(
        session=theirs, order=1, role="usual", lift="dip", load=20, unit="kg", sets=3, reps=8
    )
    with pytest.raises(Refused, match="other-gym"):
        done_sets.move_set(log(line, coach), there, by=coach, now=LATER)


def test_a_lock_refuses_the_sore_lift_and_an_emergency_every_lift(line, coach, episode):
    usual = Line.objects.create(
        session=line.session, order=2, role="usual", lift="dip", load=20, unit="kg", sets=3, reps=8
    )
    lock = Screening.objects.create(
        episode=episode, at=NOW, answers={}, outcome="soon", locks="region", reasons=[]
    )
    with pytest.raises(Refused, match="locked-region"):
        log(line, coach)
    assert log(usual, coach, pain=None).pk
    lock.locks = "person"
    lock.save()
    with pytest.raises(Refused, match="locked-person"):
        log(usual, coach, pain=None)


def test_undo_takes_the_newest_set_of_the_plan_not_a_test(line, coach):
    search = line.session.searches.create(
        lift="deadlift",
        direction="down",
        hurt_load=200,
        usual_load=200,
        ceiling=3,
        rung_percent=10,
        started_at=NOW,
    )
    row = log(line, coach)
    DoneSet.objects.create(
        session=line.session,
        search=search,
        kind="test",
        lift="deadlift",
        load=100,
        unit="kg",
        reps=3,
        at=LATER,
    )
    assert done_sets.last_set(line.session) == row


def test_sets_that_are_over_are_written_down_together_as_one_by_one(line, coach):
    decision = decided(line)
    first, second = done_sets.log_sets(line, {NOW: report(), LATER: report(pain=3)}, by=coach)
    assert [(row.at, row.pain, row.load, row.belt) for row in (first, second)] == [
        (NOW, 2, Decimal(95), True),
        (LATER, 3, Decimal(95), True),
    ]
    decision.refresh_from_db()
    assert decision.outdated


def test_sets_together_are_refused_under_a_lock_and_kept_without_scores_where_nobody_agreed(
    line, coach, lifter, episode
):
    lifter.consents.all().delete()
    (row,) = done_sets.log_sets(line, {NOW: report()}, by=coach)
    assert row.pain is None
    Screening.objects.create(episode=episode, at=NOW, answers={}, outcome="send", locks="person")
    with pytest.raises(Refused, match="locked-person"):
        done_sets.log_sets(line, {LATER: report()}, by=coach)
    assert DoneSet.objects.count() == 1
