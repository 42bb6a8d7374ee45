"""A training log brought in: looked at, taken whole or not at all, undone whole, and read by what plans sessions."""

import io
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from floorward.actions import imports
from floorward.actions.import_survey import survey
from floorward.actions.own_week import Singles, past_work
from floorward.actions.rigging import stock_of
from floorward.actions.usual import unaffected_lifts
from floorward.core.past_sets import Matching
from floorward.errors import Refused
from floorward.reports.wording import sentence_for
from floorward.storage.models import BestSet, DoneSet, Import, PastSet, Session
from floorward.storage.sheets import WEB
from tests.conftest import at
from tests.people import INES, a_lifter

pytestmark = pytest.mark.django_db
NOW = at("2026-12-01 12:00")

LOG = """Date;Athlete;Exercise;Weight (kg);Reps;RPE
25.11.2026;Abel Norwood;deadlift;180;5;8
25.11.2026;Abel Norwood;deadlift;180;5;8
25.11.2026;Abel Norwood;bench press;92,5;5;7,5
26.11.2026;Ines Falk;Front squat;80;6;
"""


@pytest.fixture
def ines(gym, coach):
    return a_lifter(gym, coach, at("2026-11-01 09:30"), "Ines Falk", **INES)


def matching(gym, text, **said):
    seen = survey(gym, "sets", io.BytesIO(text.encode()), WEB)
    facts = {
        "columns": seen.columns,
        "unit": seen.unit or "kg",
        "day_first": seen.evidence.order,
        "decimal_comma": seen.evidence.decimal_comma,
        "people": {one.name: int(one.key) if one.key else None for one in seen.people},
        "lifts": {one.name: one.key for one in seen.lifts},
        "today": NOW.date(),
    }
    return Matching(**{**facts, **said})


def looked(gym, text, **said):
    return imports.look(gym, io.BytesIO(text.encode()), matching(gym, text, **said), WEB)


def taken(gym, text, **said):
    return imports.take(
        gym, io.BytesIO(text.encode()), matching(gym, text, **said), WEB, name="log.csv", by=None, now=NOW
    )


def rows(lifter):
    return [
        (row.day.isoformat(), row.lift, float(row.load), row.reps, row.sets)
        for row in PastSet.objects.filter(lifter=lifter).order_by("day", "lift")
    ]


def test_a_table_shows_its_columns_its_people_and_how_it_writes_things(gym, lifter, ines):
    seen = survey(gym, "sets", io.BytesIO(LOG.encode()), WEB)
    assert seen.columns == {"day": 0, "lifter": 1, "lift": 2, "load": 3, "reps": 4, "rpe": 5}
    assert (seen.unit, seen.lines, seen.missing) == ("kg", 4, ())
    assert (seen.evidence.order, seen.evidence.decimal_comma) == (True, True)
    assert [(one.name, one.lines, one.key, one.same) for one in seen.people] == [
        ("Abel Norwood", 3, str(lifter.pk), True),
        ("Ines Falk", 1, str(ines.pk), True),
    ]
    assert {one.name: one.key for one in seen.lifts}["Front squat"] == "front-squat"


def test_a_name_that_is_nearly_a_lifters_is_offered_and_not_taken_for_the_same(gym, lifter):
    seen = survey(gym, "sets", io.BytesIO(LOG.replace("Abel Norwood", "Abel Norwod").encode()), WEB)
    assert (seen.people[0].key, seen.people[0].same) == (str(lifter.pk), False)


def test_a_look_writes_nothing_and_says_what_taking_would_do(gym, lifter, ines):
    found = looked(gym, LOG)
    assert (found.lines, found.sets, found.known, found.wrong, found.left_out) == (4, 4, 0, 0, 0)
    assert [(one.name, one.sets, one.days) for one in found.people] == [
        ("Abel Norwood", 3, 1),
        ("Ines Falk", 1, 1),
    ]
    assert not PastSet.objects.exists()
    assert not Import.objects.exists()


def test_what_is_taken_is_what_the_table_says(gym, lifter, ines):
    made = taken(gym, LOG)
    assert rows(lifter) == [("2026-11-25", "bench-press", 92.5, 5, 1), ("2026-11-25", "deadlift", 180, 5, 2)]
    assert rows(ines) == [("2026-11-26", "front-squat", 80, 6, 1)]
    assert (made.count, made.state, made.kept) == (4, "taken", "")


def test_the_same_table_brings_nothing_the_second_time(gym, lifter, ines):
    taken(gym, LOG)
    found = looked(gym, LOG)
    assert (found.sets, found.known) == (0, 4)
    with pytest.raises(Refused) as refusal:
        taken(gym, LOG)
    assert refusal.value.code == "import-nothing"
    assert Import.objects.count() == 1
    longer = f"{LOG}25.11.2026;Abel Norwood;deadlift;180;5;8\n"
    assert looked(gym, longer).sets == 1


def test_sets_logged_here_are_not_brought_in_again(gym, lifter, ines):
    session = Session.objects.create(lifter=lifter, day=date(2026, 11, 25), started_at=NOW)
    DoneSet.objects.create(session=session, lift="deadlift", kind="work", load=180, reps=5, at=NOW)
    found = looked(gym, LOG)
    assert (found.sets, found.known) == (3, 1)


def test_a_set_that_is_numbered_twice_counts_once(gym, lifter):
    text = "day,lifter,lift,load,reps,set\n" + "2026-11-25,Abel Norwood,deadlift,180,5,1\n" * 2
    found = looked(gym, text + "2026-11-25,Abel Norwood,deadlift,180,5,2\n")
    assert (found.sets, found.again) == (2, 1)


def test_a_column_of_sets_counts(gym, lifter):
    taken(gym, "day,lifter,lift,load,reps,sets\n2026-11-25,Abel Norwood,deadlift,180,5,3\n")
    assert rows(lifter) == [("2026-11-25", "deadlift", 180, 5, 3)]


def test_wrong_lines_are_named_by_their_numbers_and_nothing_is_taken(gym, lifter, ines):
    wrong = (
        "31.02.2026;Abel Norwood;deadlift;100;5;", "25.11.2026;Abel Norwood;deadlift;heavy;5;",
        "25.11.2026;Abel Norwood;deadlift;=1+1;5;", "25.11.2026;Abel Norwood;deadlift;100;0;",
        "25.11.2027;Abel Norwood;deadlift;100;5;", "25.11.2026;;deadlift;100;5;",
        f"25.11.2026;Abel Norwood;deadlift;{'1' * 300};5;", "25.11.2026;Abel Norwood;deadlift;5000;5;",
        "25.11.2026;Abel Norwood;deadlift;100;5;11",
    )  # fmt: skip
    text = LOG + "\n".join(wrong)
    found = looked(gym, text)
    assert [problem.line for problem in found.problems] == list(range(6, 6 + len(wrong)))
    assert [problem.finding.code for problem in found.problems] == [
        "cell-no-day", "cell-no-number", "cell-no-number", "cell-out-of-range", "cell-day-ahead", "cell-empty",
        "cell-too-long", "cell-too-heavy", "cell-out-of-range",
    ]  # fmt: skip
    for problem in found.problems:
        assert sentence_for(problem.finding.code, problem.finding.numbers)
    with pytest.raises(Refused) as refusal:
        taken(gym, text)
    assert refusal.value.numbers == {"count": len(wrong)}
    assert not PastSet.objects.exists()
    assert not Import.objects.exists()


def test_names_that_nobody_matched_are_left_out_and_counted(gym, lifter):
    found = looked(gym, LOG)
    assert (found.sets, found.left_out) == (3, 1)


def test_an_import_is_undone_whole_and_once(gym, lifter, ines):
    made = taken(gym, LOG)
    kept = taken(gym, "day,lifter,lift,load,reps\n2026-11-27,Abel Norwood,deadlift,150,5\n")
    imports.undo(made, now=NOW)
    assert [(row.source_id, row.load) for row in PastSet.objects.all()] == [(kept.pk, Decimal(150))]
    assert not BestSet.objects.filter(source=made).exists()
    with pytest.raises(Refused):
        imports.undo(made, now=NOW)
    assert taken(gym, LOG).count == 4


def test_the_best_recent_set_becomes_a_best_set_and_goes_with_the_import(gym, lifter, ines):
    BestSet.objects.create(lifter=lifter, lift="bench-press", load=120, reps=1, day=date(2026, 11, 1))
    old = "20.11.2024;Abel Norwood;deadlift;250;5;9\n"
    made = taken(gym, LOG + old)
    assert [(row.lift, float(row.load), row.reps) for row in lifter.best_sets.filter(source=made)] == [
        ("deadlift", 180, 5)
    ]
    assert 190 < Singles(lifter, ()).of("deadlift") < 240
    imports.undo(made, now=NOW)
    assert [row.lift for row in lifter.best_sets.all()] == ["bench-press"]


def test_what_the_log_says_is_what_is_usual(gym, lifter, ines):
    taken(gym, LOG)
    session = Session.objects.create(lifter=lifter, day=NOW.date(), started_at=NOW)
    usual = {one.lift: one for one in unaffected_lifts(session, stock_of(gym))}
    assert (usual["deadlift"].load, usual["deadlift"].sets, usual["deadlift"].reps) == (180, 2, 5)
    assert usual["deadlift"].day == date(2026, 11, 25)
    trained = past_work(lifter, date(2026, 11, 20), NOW.date(), Singles(lifter, ()))
    assert [one.lift for one in trained] == ["deadlift", "deadlift", "bench-press"]


def test_pounds_stay_pounds(gym, lifter):
    text = "day,lifter,lift,load,reps\n2026-11-25,Abel Norwood,deadlift,405 lbs,5\n"
    taken(gym, text)
    row = PastSet.objects.get()
    assert (row.load, row.unit) == (405, "lb")


SETS = st.tuples(
    st.dates(date(2025, 1, 1), date(2026, 11, 30)),
    st.sampled_from(["deadlift", "bench press"]),
    st.decimals(20, 300, places=1),
    st.integers(1, 12),
)


@settings(max_examples=10, suppress_health_check=list(HealthCheck))
@given(log=st.lists(SETS, min_size=1, max_size=12), again=st.integers(0, 5))
def test_whatever_the_log_each_set_is_there_once_and_undoing_leaves_nothing(gym, lifter, log, again):
    lines = [f"{day},Abel Norwood,{lift},{load},{reps}" for day, lift, load, reps in log]
    text = "\n".join(("day,lifter,lift,load,reps", *lines, *lines[:again]))
    made = taken(gym, text, day_first=True, decimal_comma=False)
    assert made.count == len(lines) + len(lines[:again])
    assert looked(gym, text, day_first=True, decimal_comma=False).sets == 0
    imports.undo(made, now=NOW)
    assert not PastSet.objects.exists()
    assert not BestSet.objects.exists()
