"""Three invented lifters with a sore low back, all they might do today, and their usual weeks.

What a pull asks of the back is put down as a straight line (newton metres at no load, and for each kilogram), of about the size that the
mechanics give; how likely pain is rises with it. So the plans below depend on nothing but the builder.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache

from floorward.core.builder import Plan
from floorward.core.demand_allowance import first_allowance
from floorward.core.exercises import Exercise, LoadChoice, Role, exercise_for, key_of, load_choices
from floorward.core.loadable import at_or_under
from floorward.core.plates import loads
from floorward.core.records import Region, SetUp
from floorward.core.session_request import Allowance, Contest, Day, Request
from floorward.core.usual_week import TrainedSet, Yardstick, usual_week
from floorward.core.worth import Aim, Effort, trains_of
from floorward.units import Unit, plain
from tests.core.iron import KG_GYM

BACK = Region.LOW_BACK
GRID = loads(KG_GYM)
DUMBBELLS = tuple(Decimal(kg) for kg in range(6, 42, 2))

# newton metres with nothing in the hands, and for each kilogram
ASKS = {
    "deadlift": (170, 2.25),
    "deadlift at 325": (165, 2.2),
    "deadlift at 425": (150, 2.0),
    "axle-deadlift": (170, 2.3),
    "eighteen-inch-deadlift": (145, 1.9),
    "trap-bar-low": (165, 1.95),
    "trap-bar-high": (140, 1.6),
    "frame-deadlift": (140, 1.6),
    "sumo-deadlift": (165, 2.0),
    "romanian-deadlift": (160, 2.0),
    "good-morning": (150, 3.4),
    "high-bar-squat": (110, 1.7),
    "front-squat": (95, 1.4),
    "safety-bar-squat": (105, 1.6),
    "box-squat": (110, 1.6),
    "goblet-squat": (80, 1.5),
    "belt-squat": (40, 0.2),
    "split-squat": (70, 0.9),
    "hip-thrust": (30, 0.5),
    "farmers-carry": (80, 1.0),
    "back-extension": (140, 2.0),
    "overhead-press": (60, 0.8),
    "barbell-row": (150, 1.9),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Trainee:
    """Who asks. `tolerance_nm`: where a set is as likely as not to hurt more than the ceiling; `offered_kg`: the most that the log or
    a first load allows on a set-up so far.
    """

    name: str
    maxima: dict[str, float]
    offered_kg: dict[str, float]
    tolerance_nm: float
    week: tuple[
        tuple[str, float, int, int, int], ...
    ]  # lift, share, repetitions, sets, RPE: of one usual week
    aim: Aim
    contest_lifts: tuple[str, ...] = ()


def chance_of(tolerance_nm: float, asked_nm: float) -> float:
    """Pain over the ceiling: one half at the tolerance, less below it."""
    return 1 / (1 + (tolerance_nm / asked_nm) ** 9) if asked_nm > 0 else 0.0


def family_of(lift: str) -> str:
    kinds = {
        "pull": ("deadlift", "trap", "good-morning"),
        "squat": ("squat",),
        "press": ("press", "dip"),
        "row": ("row", "pull-up", "pulldown"),
    }
    return next((kind for kind, words in kinds.items() if any(word in lift for word in words)), "other")


def loads_for(who: Trainee, setup: SetUp, grid: Iterable[Decimal] = GRID) -> tuple[LoadChoice, ...]:
    """Every load up to what is offered, else up to a tenth over the heaviest single."""
    key = key_of(setup)
    heaviest = who.maxima[key]
    base, per_kg = ASKS.get(key, (0, 0))
    fitting = [load for load in grid if load <= who.offered_kg.get(key, 1.1 * heaviest)]
    return load_choices(
        fitting,
        Unit.KG,
        heaviest,
        asks_nm=lambda kg: {BACK: base + per_kg * kg} if base else {},
        chance=lambda asks: chance_of(who.tolerance_nm, asks.get(BACK, 0.0)),
    )


def sore_lift(who: Trainee) -> Exercise:
    setup = SetUp(lift="deadlift")
    found = exercise_for(setup, Role.FULL_RANGE, loads_for(who, setup), family="pull")
    return replace(found, sets=(1, 3), repetitions=(5,), equipment=("straight bar", "plates"))


def around(
    who: Trainee, lift: str, *, height_mm: int = 0, grid: Iterable[Decimal] = GRID, **more: object
) -> Exercise:
    setup = SetUp(lift=lift, height_mm=height_mm)
    found = exercise_for(setup, Role.VARIATION, loads_for(who, setup, grid), family=family_of(lift))
    return replace(found, **more)


def as_usual(who: Trainee, lift: str, grid: Iterable[Decimal] = GRID, **more: object) -> Exercise:
    """At what the usual week says, or a middling load."""
    setup = SetUp(lift=lift)
    rows = {row[0]: row for row in who.week}
    _, share, repetitions, sets, rpe = rows.get(lift, (lift, 0.65, 10, 3, 8))
    planned = at_or_under(tuple(grid), Decimal(str(share * who.maxima[lift])))
    found = exercise_for(setup, Role.USUAL, loads_for(who, setup, grid), family=family_of(lift))
    return replace(
        found,
        planned_load=planned,
        repetitions=(repetitions,),
        sets=(2, min(max(sets, 2), 5)),
        rpe=float(rpe),
        **more,
    )


def usual_sets(who: Trainee) -> list[TrainedSet]:
    return [
        TrainedSet(
            lift=lift,
            day=0,
            effort=Effort(share=share, repetitions=repetitions, left=10 - rpe),
            trains=trains_of(SetUp(lift=lift)),
            rpe=rpe,
        )
        for lift, share, repetitions, sets, rpe in who.week
        for _ in range(sets)
    ]


def request_of(who: Trainee, others: tuple[Exercise, ...], **more: object) -> Request:
    sore = sore_lift(who)
    first = first_allowance(sore.loads[-1].asks_nm[BACK])
    grown = replace(first, day=1.2 * first.day, week=1.2 * first.week)  # after some days that settled
    settings: dict[str, object] = {
        "exercises": (sore, *others),
        "yardsticks": usual_week(usual_sets(who), 1, who.aim, who.contest_lifts),
        "aim": who.aim,
        "allowances": {BACK: grown},
    }
    return Request(**{**settings, **more})


RUNA = Trainee(
    name="Runa, powerlifter, eight weeks before a contest",
    maxima={
        "deadlift": 220,
        "deadlift at 325": 225,
        "deadlift at 425": 245,
        "trap-bar-low": 235,
        "trap-bar-high": 250,
        "romanian-deadlift": 170,
        "good-morning": 110,
        "sumo-deadlift": 200,
        "high-bar-squat": 180,
        "front-squat": 145,
        "safety-bar-squat": 160,
        "box-squat": 170,
        "belt-squat": 190,
        "hip-thrust": 240,
        "bench-press": 120,
        "overhead-press": 75,
        "chest-supported-row": 100,
        "pull-up": 105,
        "lat-pulldown": 95,
        "dip": 120,
        "triceps-extension": 55,
        "biceps-curl": 50,
        "leg-curl": 70,
        "leg-extension": 100,
        "calf-raise": 160,
        "grip-hold": 90,
    },
    offered_kg={
        "deadlift": 120,
        "deadlift at 325": 130,
        "deadlift at 425": 155,
        "trap-bar-low": 150,
        "trap-bar-high": 180,
        "romanian-deadlift": 85,
        "good-morning": 60,
        "sumo-deadlift": 120,
        "high-bar-squat": 130,
        "front-squat": 110,
        "safety-bar-squat": 120,
        "box-squat": 130,
    },
    tolerance_nm=520,
    week=(
        ("high-bar-squat", 0.78, 5, 9, 8),
        ("deadlift", 0.80, 4, 6, 8),
        ("bench-press", 0.78, 5, 12, 8),
        ("overhead-press", 0.72, 8, 3, 8),
        ("chest-supported-row", 0.70, 10, 6, 8),
        ("pull-up", 0.75, 8, 4, 8),
        ("leg-curl", 0.65, 12, 3, 8),
        ("triceps-extension", 0.65, 12, 3, 8),
    ),
    aim=Aim.STRENGTH,
    contest_lifts=("high-bar-squat", "bench-press", "deadlift"),
)

ODIN = Trainee(
    name="Odin, strongman, ten weeks before a contest",
    maxima={
        "deadlift": 290,
        "deadlift at 325": 300,
        "axle-deadlift": 265,
        "eighteen-inch-deadlift": 330,
        "trap-bar-high": 320,
        "frame-deadlift": 330,
        "sumo-deadlift": 260,
        "front-squat": 190,
        "safety-bar-squat": 225,
        "belt-squat": 240,
        "farmers-carry": 280,
        "bench-press": 150,
        "overhead-press": 120,
        "chest-supported-row": 120,
        "lat-pulldown": 120,
        "grip-hold": 120,
        "biceps-curl": 60,
        "triceps-extension": 70,
    },
    offered_kg={
        "deadlift": 180,
        "deadlift at 325": 200,
        "axle-deadlift": 160,
        "eighteen-inch-deadlift": 230,
        "trap-bar-high": 210,
        "frame-deadlift": 250,
        "sumo-deadlift": 180,
        "front-squat": 150,
        "safety-bar-squat": 170,
        "farmers-carry": 200,
    },
    tolerance_nm=700,
    week=(
        ("deadlift", 0.80, 4, 5, 8),
        ("axle-deadlift", 0.75, 5, 2, 8),
        ("front-squat", 0.78, 5, 6, 8),
        ("overhead-press", 0.78, 4, 10, 8),
        ("farmers-carry", 0.75, 5, 5, 8),
        ("chest-supported-row", 0.70, 10, 6, 8),
        ("lat-pulldown", 0.70, 10, 3, 8),
        ("grip-hold", 0.75, 5, 3, 9),
    ),
    aim=Aim.STRENGTH,
    contest_lifts=("deadlift", "axle-deadlift", "overhead-press", "farmers-carry"),
)

MINA = Trainee(
    name="Mina, office worker, twice a week",
    maxima={
        "deadlift": 95,
        "deadlift at 325": 98,
        "trap-bar-high": 105,
        "romanian-deadlift": 75,
        "goblet-squat": 40,
        "split-squat": 45,
        "belt-squat": 80,
        "hip-thrust": 110,
        "back-extension": 40,
        "dumbbell-press": 34,
        "overhead-press": 40,
        "chest-supported-row": 45,
        "lat-pulldown": 50,
        "leg-curl": 35,
        "biceps-curl": 22,
        "triceps-extension": 24,
        "calf-raise": 90,
    },
    offered_kg={
        "deadlift": 45,
        "deadlift at 325": 55,
        "trap-bar-high": 50,
        "romanian-deadlift": 40,
        "goblet-squat": 28,
        "split-squat": 24,
    },
    tolerance_nm=310,
    week=(
        ("deadlift", 0.70, 8, 6, 7),
        ("goblet-squat", 0.65, 10, 6, 7),
        ("dumbbell-press", 0.65, 10, 6, 7),
        ("chest-supported-row", 0.65, 10, 6, 7),
        ("lat-pulldown", 0.65, 10, 3, 7),
        ("biceps-curl", 0.60, 12, 2, 7),
    ),
    aim=Aim.BOTH,
)


@cache
def runa_could_do() -> tuple[Exercise, ...]:
    usual = (
        "bench-press",
        "chest-supported-row",
        "pull-up",
        "lat-pulldown",
        "dip",
        "triceps-extension",
        "biceps-curl",
        "leg-curl",
        "leg-extension",
        "calf-raise",
        "grip-hold",
    )
    return (
        around(RUNA, "deadlift", height_mm=325, short_of_full_mm=100),
        around(RUNA, "deadlift", height_mm=425, short_of_full_mm=200),
        around(RUNA, "trap-bar-low", equipment=("trap bar",)),
        around(RUNA, "trap-bar-high", equipment=("trap bar",)),
        around(RUNA, "romanian-deadlift"),
        around(RUNA, "good-morning", equipment=("rack",)),
        around(RUNA, "sumo-deadlift", exposures=0),
        around(RUNA, "high-bar-squat", equipment=("rack",)),
        around(RUNA, "front-squat", equipment=("rack",)),
        around(RUNA, "safety-bar-squat", equipment=("rack",)),
        around(RUNA, "box-squat", equipment=("rack", "box"), disliked=True),
        around(RUNA, "belt-squat", exposures=1),
        around(RUNA, "hip-thrust", equipment=("bench",)),
        around(RUNA, "overhead-press"),
        *(as_usual(RUNA, lift) for lift in usual),
    )


@cache
def odin_could_do() -> tuple[Exercise, ...]:
    usual = (
        "bench-press",
        "chest-supported-row",
        "lat-pulldown",
        "grip-hold",
        "biceps-curl",
        "triceps-extension",
    )
    conditioning = Exercise(
        key="sled",
        setup=SetUp(lift="sled"),
        role=Role.USUAL,
        family="conditioning",
        pattern="sled",
        loads=(LoadChoice(load=Decimal(60), share=0.5),),
        trains=trains_of(SetUp(lift="sled")),
        sets=(1, 3),
        warm_up=False,
        earns={"conditioning": 1.0},
        minutes_a_set=4.0,
    )
    return (
        around(ODIN, "deadlift", height_mm=325, short_of_full_mm=100),
        around(ODIN, "axle-deadlift"),
        around(ODIN, "eighteen-inch-deadlift"),
        around(ODIN, "trap-bar-high", equipment=("trap bar",)),
        around(ODIN, "frame-deadlift", equipment=("frame",)),
        around(ODIN, "sumo-deadlift"),
        around(ODIN, "front-squat", equipment=("rack",)),
        around(ODIN, "safety-bar-squat", equipment=("rack",)),
        around(ODIN, "belt-squat"),
        around(ODIN, "farmers-carry", equipment=("handles",)),
        around(ODIN, "overhead-press"),
        *(as_usual(ODIN, lift) for lift in usual),
        conditioning,
    )


@cache
def mina_could_do() -> tuple[Exercise, ...]:
    machine = tuple(Decimal(kg) for kg in range(5, 100, 5))
    usual = (
        "chest-supported-row",
        "lat-pulldown",
        "leg-curl",
        "biceps-curl",
        "triceps-extension",
        "calf-raise",
    )
    return (
        around(MINA, "deadlift", height_mm=325, short_of_full_mm=100),
        around(MINA, "trap-bar-high", equipment=("trap bar",), exposures=0),
        around(MINA, "romanian-deadlift"),
        around(MINA, "goblet-squat", grid=DUMBBELLS),
        around(MINA, "split-squat", grid=DUMBBELLS, exposures=2),
        around(MINA, "belt-squat", exposures=0),
        around(MINA, "hip-thrust", equipment=("bench",)),
        around(MINA, "back-extension", grid=DUMBBELLS),
        around(MINA, "overhead-press"),
        as_usual(MINA, "dumbbell-press", DUMBBELLS),
        *(as_usual(MINA, lift, machine) for lift in usual),
    )


CONDITIONING = Yardstick(name="conditioning", usual=4.0, weight=0.5)


def runa(**more: object) -> Request:
    settings = {"sessions_left": 4, "days": (Day(minutes=75),), "contest": Contest(weeks=8)}
    return request_of(RUNA, runa_could_do(), **{**settings, **more})


def odin(**more: object) -> Request:
    settings = {
        "sessions_left": 3,
        "days": (Day(minutes=90),),
        "contest": Contest(weeks=10, barred=("sumo-deadlift",)),
    }
    request = request_of(ODIN, odin_could_do(), **{**settings, **more})
    return replace(request, yardsticks=(*request.yardsticks, CONDITIONING))


def mina(**more: object) -> Request:
    settings = {"sessions_left": 2, "days": (Day(minutes=45),)}
    return request_of(MINA, mina_could_do(), **{**settings, **more})


def four_days(minutes: float = 75) -> tuple[Day, ...]:
    return tuple(Day(day=day, minutes=minutes) for day in (0, 2, 4, 5))


def a_week_of(allowance: Allowance, times: float) -> dict[Region, Allowance]:
    return {BACK: replace(allowance, week=times * allowance.day)}


def on_paper(plan: Plan) -> list[str]:
    """A plan as a coach writes it."""
    return [
        f"{line.key} {line.sets}x{line.choice.repetitions} @ {plain(line.choice.load.load)} kg RPE {line.choice.rpe:g}"
        for line in plan.lines
    ]
