"""The session and week builder: how long a proof takes, against another solver, against greedy hands, and as requests grow.

Lifters are drawn: maxima, what hurts, what they usually do. Times are seconds of one core.
"""

import math
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from statistics import median
from time import process_time

import numpy as np

from floorward import tables
from floorward.core.alternatives import best_left_out
from floorward.core.builder import Plan, build
from floorward.core.choices import choices_of
from floorward.core.demand_allowance import first_allowance
from floorward.core.exercises import Exercise, Role, exercise_for, key_of, load_choices
from floorward.core.lifts import catalogue
from floorward.core.plates import loads
from floorward.core.reckoning import PlannedLine, reckon
from floorward.core.records import Bar, BarKind, Plate, PlateSet, Region, SetUp
from floorward.core.session_programme import programme_of
from floorward.core.session_request import Day, Request
from floorward.core.usual_week import TrainedSet, usual_week
from floorward.core.worth import Aim, Effort, trains_of
from floorward.maths.integer_programme import Status
from floorward.units import Unit, kg

LIFTERS = 15
SET_UPS = 42
BACK = Region.LOW_BACK
PAIRS = {"25": 4, "20": 2, "15": 2, "10": 2, "5": 2, "2.5": 2, "1.25": 2}
BAR = Bar(name="bar", kind=BarKind.STRAIGHT, mass=kg(20))
GRID = loads(
    PlateSet(bar=BAR, collar=kg("2.5"), plates=tuple(Plate(mass=kg(m), pairs=n) for m, n in PAIRS.items()))
)
SORE = ("pull", "squat", "single-leg", "hip-extension", "carry")
HEIGHTS = (325, 425)


def figures() -> list[tuple[str, float, str, str]]:
    sessions = [request(seed) for seed in range(LIFTERS)]
    plans, times = timed(build, sessions)
    twice, twice_times = timed(build, [request(seed, size=2) for seed in range(LIFTERS)])
    return [
        (
            "builder: set-ups of a request",
            float(median(len(one.exercises) for one in sessions)),
            "",
            "at least 40",
        ),
        (
            "builder: a one-hour session proven best",
            1000 * median(times),
            "ms",
            "aim: 300 at most; median of 15 lifters",
        ),
        ("builder: the slowest of them", 1000 * max(times), "ms", ""),
        (
            "builder: proven among them",
            sum(one.status is Status.PROVEN for one in plans) / len(plans),
            "",
            "aim: 1",
        ),
        *_other_solver(plans, times),
        *_greedy(plans),
        (
            "builder: twice the set-ups, that = 1",
            median(twice_times) / median(times),
            "×",
            f"{median(len(one.request.exercises) for one in twice):g} set-ups",
        ),
        *_explained(plans[:5], times),
        *_week(times),
    ]


def timed(work: Callable[[Request], Plan], requests: list[Request]) -> tuple[list[Plan], list[float]]:
    work(requests[0])
    found, taken = [], []
    for one in requests:
        start = process_time()
        found.append(work(one))
        taken.append(process_time() - start)
    return found, taken


def request(seed: int, size: int = 1, days: tuple[Day, ...] = (Day(minutes=60),)) -> Request:
    rng = np.random.default_rng(seed)
    strength, tolerance = float(rng.uniform(80, 220)), float(rng.uniform(300, 600))
    sore, *others = _exercises(rng, strength, tolerance, size)
    drawn = sorted(rng.choice(len(others), size * SET_UPS - 1, replace=False))
    exercises = (sore, *(others[place] for place in drawn))
    allowance = first_allowance(sore.loads[-1].asks_nm[BACK], len(days))
    return Request(
        exercises=exercises,
        yardsticks=usual_week(_usual(rng), 1, Aim.BOTH, ("deadlift",)),
        days=days,
        sessions_left=max(3, len(days)),
        allowances={BACK: allowance},
    )


def _exercises(rng: np.random.Generator, strength: float, tolerance: float, size: int) -> list[Exercise]:
    found = []
    for lift in catalogue().values():
        single, asks = strength * rng.uniform(0.4, 1.1), rng.uniform(0.8, 2.3)
        heights = (0, *HEIGHTS[: size - 1]) if lift.default_height_mm == 225 else (0,) * size
        for copy, height in enumerate(heights):
            setup = SetUp(lift=lift.key, height_mm=height)
            found.append(_exercise(setup, lift.family, single * (1 + copy / 10), asks, tolerance))
            found[-1] = replace(found[-1], key=f"{key_of(setup)} {copy}")
    for name in tables.load("other_lifts"):
        if name not in catalogue():
            single = strength * rng.uniform(0.2, 0.7)
            found.append(_as_usual(SetUp(lift=name), single, rng))
    first = found[0]
    accepted = tuple(one for one in first.loads if one.chance <= 0.2)
    return [replace(first, role=Role.FULL_RANGE, loads=accepted, sets=(1, 3)), *found[1:]]


def _exercise(setup: SetUp, family: str, single: float, asks: float, tolerance: float) -> Exercise:
    sore = family in SORE
    light = [Decimal(n) for n in range(5, 25, 5)]
    choices = load_choices(
        [*light, *(load for load in GRID if load <= max(single, 30))],
        Unit.KG,
        single,
        asks_nm=lambda load: {BACK: 120 + asks * load} if sore else {},
        chance=lambda moments: _chance(moments.get(BACK, 0.0), tolerance),
    )
    return exercise_for(setup, Role.VARIATION if sore else Role.USUAL, choices, family=str(family))


def _as_usual(setup: SetUp, single: float, rng: np.random.Generator) -> Exercise:
    choices = load_choices([Decimal(n) for n in range(5, int(single) + 10, 5)], Unit.KG, single)
    fitting = [one.load for one in choices if one.share <= 0.72] or [choices[0].load]
    found = exercise_for(setup, Role.USUAL, choices, family=setup.lift)
    return replace(found, planned_load=fitting[-1], repetitions=(int(rng.integers(6, 13)),), rpe=8.0)


def _chance(moment_nm: float, tolerance_nm: float) -> float:
    return 1 / (1 + math.exp(-9 * math.log(moment_nm / tolerance_nm))) if moment_nm > 0 else 0.0


def _usual(rng: np.random.Generator) -> list[TrainedSet]:
    week = (
        "deadlift",
        "high-bar-squat",
        "bench-press",
        "overhead-press",
        "barbell-row",
        "pull-up",
        "leg-curl",
        "biceps-curl",
    )
    return [
        TrainedSet(
            lift=lift,
            day=0,
            effort=Effort(share=float(rng.uniform(0.6, 0.85)), repetitions=6, left=2),
            trains=trains_of(SetUp(lift=lift)),
            rpe=8,
        )
        for lift in week
        for _ in range(int(rng.integers(3, 10)))
    ]


def _other_solver(plans: list[Plan], times: list[float]) -> list[tuple[str, float, str, str]]:
    from tests.second_solver import best_by_scip

    off, taken = [], []
    for plan in plans[:8]:
        programme = programme_of(plan.request, plan.choices, plan.given_up).programme
        start = process_time()
        _, goal = best_by_scip(programme)
        taken.append(process_time() - start)
        off.append(abs(goal - plan.reckoning.worth))
    return [
        (
            "builder: another solver (SCIP), that = 1",
            median(taken) / median(times[:8]),
            "×",
            "same programme, to the end",
        ),
        ("builder: worth against that solver", max(off), "hard sets off", "aim: 1e-6 at most"),
    ]


def _greedy(plans: list[Plan]) -> list[tuple[str, float, str, str]]:
    gained = [plan.reckoning.worth / greedy(plan).worth for plan in plans]
    return [
        (
            "builder: worth against greedy, that = 1",
            median(gained),
            "×",
            "most worth a minute first, a line or a set at a time",
        )
    ]


def greedy(plan: Plan):
    """The sore lift, then whatever adds most worth a minute while it fits."""
    request = plan.request
    sore = [one for one in choices_of(request)[0] if one.exercise.role is Role.FULL_RANGE]
    lines = [PlannedLine(day=request.days[0].day, choice=sore[0], sets=sore[0].sets[0])]
    while True:
        now = reckon(request, lines)
        steps = [step for step in _steps(plan, lines) if _fits(request, step)]
        better = [(_per_minute(request, now, step), step) for step in steps]
        best = max(better, key=lambda one: one[0], default=(0.0, lines))
        if best[0] <= 0:
            return now
        lines = best[1]


def _steps(plan: Plan, lines: list[PlannedLine]) -> list[list[PlannedLine]]:
    planned = {line.key for line in lines}
    more = [
        [*lines[:place], replace(line, sets=line.sets + 1), *lines[place + 1 :]]
        for place, line in enumerate(lines)
        if line.sets < line.choice.sets[1]
    ]
    new = [
        [*lines, PlannedLine(day=lines[0].day, choice=choice, sets=choice.sets[0])]
        for choice in plan.choices
        if choice.exercise.key not in planned
    ]
    return [*more, *new]


def _fits(request: Request, lines: list[PlannedLine]) -> bool:
    found = reckon(request, lines)
    families = [line.choice.exercise.family for line in lines]
    within = all(share <= 1 for share in found.asked[lines[0].day].values())
    fitting = found.minutes[lines[0].day] <= request.days[0].minutes
    return within and fitting and len(lines) <= 8 and max(map(families.count, families)) <= 3


def _per_minute(request: Request, now, lines: list[PlannedLine]) -> float:
    after, day = reckon(request, lines), request.days[0].day
    return (after.worth - now.worth) / (after.minutes[day] - now.minutes[day])


def _explained(plans: list[Plan], times: list[float]) -> list[tuple[str, float, str, str]]:
    start = process_time()
    for plan in plans:
        best_left_out(plan)
    share = (process_time() - start) / len(plans) / median(times)
    return [("builder: the best line left out, that of a plan = 1", share, "×", "solved once more")]


def _week(times: list[float]) -> list[tuple[str, float, str, str]]:
    four = tuple(Day(day=day, minutes=60) for day in (0, 2, 4, 5))
    plans, taken = timed(build, [request(seed, days=four) for seed in range(5)])
    return [
        (
            "builder: a week of four sessions",
            median(taken),
            "s",
            "aim: 2 at most; stops at 1 % or five seconds of the clock",
        ),
        (
            "builder: how far from the best such a week may be",
            100 * median(one.gap for one in plans),
            "%",
            "aim: 1 at most",
        ),
        ("builder: the widest of five", 100 * max(one.gap for one in plans), "%", ""),
        ("builder: a week, one of its sessions = 1", median(taken) / median(times), "×", ""),
    ]
