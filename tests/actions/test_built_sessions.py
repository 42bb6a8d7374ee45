"""Three lifters with a sore back get three sessions, each for a reason that a coach would give."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from floorward.actions.build_request import material_of
from floorward.actions.building import build
from floorward.actions.sessions import open_session
from floorward.actions.unreckoned import key_of_line
from floorward.core.builder import build as best_plan
from floorward.core.exercises import Role
from floorward.core.plan_reasons import plan_reasons
from floorward.core.records import Region
from floorward.storage.models import BestSet, Build, MorningCheck
from tests.conftest import at
from tests.people import a_lifter
from tests.training import sore_back, trained

pytestmark = pytest.mark.django_db


def session_of(gym, coach, bests, accepted, *, usual, wishes, **about):
    """The built session of a lifter who trained twice since the pain began, and both settled."""
    lifter = a_lifter(gym, coach, at("2026-11-01 09:00"), born_year=1990, unit="kg", **about)
    for lift, load, reps in bests:
        BestSet.objects.create(
            lifter=lifter, lift=lift, load=Decimal(load), unit="kg", reps=reps, day=date(2026, 10, 1)
        )
    load = Decimal(usual)
    episode = sore_back(lifter, coach, started="2026-11-10 18:00", load=load, usual_load=load)
    for day in ("2026-11-13", "2026-11-17"):
        trained(episode, day, accepted, (1, 1, 1))
    session = open_session(lifter, by=coach, now=at("2026-11-23 18:00"))
    build(session, wishes, seen_version=0)
    return session


def lifts(session) -> set[str]:
    return {line.lift for line in session.lines.all()}


@pytest.fixture
def powerlifter(gym, coach):
    return session_of(
        gym, coach,
        (("deadlift", 220, 2), ("bench-press", 120, 3), ("chest-supported-row", 80, 6), ("leg-curl", 60, 8)),
        "120", usual=200, wishes={"minutes": 90, "sessions_left": 2},
        name="Runa Tveit", sex="female", stature_m=1.70, mass_kg=83.0,
        contest="Winter open", contest_day=date(2027, 1, 18),
    )  # fmt: skip


@pytest.fixture
def strongman(gym, coach):
    return session_of(
        gym, coach,
        (("deadlift", 270, 3), ("trap-bar-high", 300, 3), ("pull-up", 100, 5), ("grip-hold", 100, 8)),
        "150", usual=250, wishes={"minutes": 60, "sessions_left": 2},
        name="Osk Harrow", sex="male", stature_m=1.90, mass_kg=125.0,
        contest="Harbour day", contest_day=date(2027, 1, 18), sumo_allowed=False,
    )  # fmt: skip


@pytest.fixture
def office_worker(gym, coach):
    return session_of(
        gym, coach,
        (("deadlift", 90, 5), ("dumbbell-press", 24, 10), ("lat-pulldown", 55, 10)),
        "50", usual=80, wishes={"minutes": 40, "sessions_left": 1},
        name="Lene Aske", sex="female", stature_m=1.66, mass_kg=70.0,
    )  # fmt: skip


def test_everybody_begins_with_the_sore_lift_where_it_stands(powerlifter, strongman, office_worker):
    first = [session.lines.first() for session in (powerlifter, strongman, office_worker)]
    assert [line.lift for line in first] == ["deadlift"] * 3
    assert all(line.role == Role.FULL_RANGE for line in first)
    # the back decides the load, not the best set: never more than was trained and settled
    assert [line.load <= most for line, most in zip(first, (120, 150, 50), strict=True)] == [True] * 3


def test_the_powerlifter_keeps_the_press_heavy(powerlifter):
    # the bench press is a contest lift and the back leaves it alone; its work sets stay heavy, few repetitions
    bench = powerlifter.lines.get(lift="bench-press")
    assert bench.load > 100
    assert bench.reps <= 5


def test_the_strongman_is_never_offered_what_his_contest_bars(strongman):
    # sumo does not count there, and eight weeks are too few to train it for its own sake
    assert "sumo-deadlift" not in lifts(strongman)
    assert {"pull-up", "grip-hold"} & lifts(strongman)  # pulling and grip go on without the back


def test_the_office_worker_trains_the_upper_body_by_repetitions_within_the_lunch_hour(office_worker):
    # no contest: strength and size alike, so sets of ten; one session left, so the whole rest of the week is wanted
    upper = office_worker.lines.filter(lift__in=("dumbbell-press", "lat-pulldown"))
    assert upper.count() == 2
    assert all(line.reps == 10 for line in upper)


def test_no_two_of_them_get_the_same_session(powerlifter, strongman, office_worker):
    plans = [
        [(key_of_line(line), line.load, line.sets, line.reps) for line in session.lines.all()]
        for session in (powerlifter, strongman, office_worker)
    ]
    assert all(a != b for place, a in enumerate(plans) for b in plans[place + 1 :])
    others = [{key for key, *_ in plan} - {"deadlift at 225"} for plan in plans]
    assert not others[0] & others[2]
    assert not others[1] & others[2]


def sore(gym, coach, region, lift, usual, accepted, bests, *, settled="2026-11-19"):
    """A lifter whose `region` went in `lift` and who trained it twice since, the last time on `settled`."""
    lifter = a_lifter(
        gym, coach, at("2026-11-01 09:00"), name="Una Brack", sex="female",
        born_year=1990, stature_m=1.68, mass_kg=70.0, unit="kg",
    )  # fmt: skip
    for name, load, reps in bests:
        BestSet.objects.create(
            lifter=lifter, lift=name, load=Decimal(load), unit="kg", reps=reps, day=date(2026, 10, 1)
        )
    load = Decimal(usual)
    about = {"region": region, "lift": lift, "load": load, "usual_load": load}
    episode = sore_back(lifter, coach, started="2026-11-10 18:00", **about)
    height_mm = 225 if lift == "deadlift" else 0
    for day in ("2026-11-16", settled):
        trained(episode, day, accepted, (1, 1, 1), lift=lift, height_mm=height_mm)
        morning = date.fromisoformat(day) + timedelta(days=1)
        MorningCheck.objects.create(episode=episode, day=morning, score=1, at=at(f"{morning} 07:00"))
    return open_session(lifter, by=coach, now=at("2026-11-23 18:00"))


@pytest.mark.parametrize("region", ["knee", "hip", "low-back"])
def test_a_sore_squat_is_trained_around_by_other_squats_wherever_it_hurts(gym, coach, region):
    session = sore(
        gym, coach, region, "high-bar-squat", 100, "60", (("high-bar-squat", 105, 5), ("pull-up", 70, 8))
    )
    plan = build(session, {"minutes": 60, "sessions_left": 1}, seen_version=0)
    first, *rest = plan.lines
    assert first.choice.exercise.setup.lift == "high-bar-squat"
    assert first.choice.exercise.role is Role.FULL_RANGE
    beside = [line for line in rest if line.choice.exercise.role is Role.VARIATION]
    # another squat, new to her and so few easy sets of it, no likelier to hurt than is allowed
    assert any("squat" in line.key and line.choice.credits for line in beside)
    assert all(line.choice.load.chance <= plan.request.chance_most for line in beside)
    assert "pull-up" in lifts(session)


def test_a_hard_day_some_days_ago_does_not_make_today_easy(gym, coach):
    bests = (("deadlift", 150, 5),)
    long_ago = material_of(sore(gym, coach, "low-back", "deadlift", 140, "90", bests), Build(minutes=60))
    assert long_ago.request.allowances[Region.LOW_BACK].last_hard_day == -4
    assert not any(one.code == "plan-easy-day" for one in plan_reasons(best_plan(long_ago.request)))


def test_the_day_after_a_hard_day_stays_easy_and_says_so(gym, coach):
    bests = (("deadlift", 150, 5), ("bench-press", 70, 5))
    session = sore(gym, coach, "low-back", "deadlift", 140, "90", bests, settled="2026-11-22")
    plan = build(session, {"minutes": 60}, seen_version=0)
    assert plan.reckoning.asked[0][Region.LOW_BACK] <= 0.6
    assert any(one.code == "plan-easy-day" for one in plan_reasons(plan))


def test_where_even_the_lightest_load_of_the_sore_lift_is_too_much_a_higher_start_stands_in(gym, coach):
    lifter = a_lifter(
        gym,
        coach,
        at("2026-11-01 09:00"),
        name="Una Brack",
        sex="female",
        born_year=1990,
        stature_m=1.68,
        mass_kg=70.0,
        unit="kg",
    )
    episode = sore_back(lifter, coach, started="2026-11-10 18:00", load=Decimal(90), usual_load=Decimal(90))
    trained(episode, "2026-11-16", "20", (1, 2, 1), height_mm=265)
    trained(episode, "2026-11-20", "20", (1, 5, 1), height_mm=265)
    session = open_session(lifter, by=coach, now=at("2026-11-23 18:00"))
    plan = build(session, {"minutes": 60}, seen_version=0)
    (line,) = [one for one in plan.lines if one.choice.exercise.role is Role.FULL_RANGE]
    assert line.choice.exercise.setup.height_mm > 265
    assert line.choice.load.chance <= plan.request.chance_most
    assert plan.stands_in
    assert any(one.code == "too-sore" for one in plan.left_out)
