"""Work that a lifter wants beside the lifts, so much a week: conditioning in minutes, a grip hold in sets.

Each has a yardstick of its own, which nothing else earns: a deadlift trains the grip too, but is no grip work that was asked for.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

from floorward.core.exercises import WELL_KNOWN, Exercise, LoadChoice, Role
from floorward.core.records import SetUp
from floorward.core.usual_week import Yardstick
from floorward.core.worth import trains_of
from floorward.storage.models import DoneSet, Lifter, Session
from floorward.tables import value
from floorward.units import Unit

CONDITIONING, GRIP = "conditioning", "grip-hold"
GRIP_WORK = "grip work"


def wanted_yardsticks(session: Session) -> Iterator[Yardstick]:
    """What is wanted a week and what of it is done, in blocks of conditioning and sets of the hold."""
    lifter, weight = session.lifter, float(value("builder", "wanted", "weight"))
    block = int(value("builder", "wanted", "block_minutes"))
    if lifter.conditioning_minutes:
        done = sum(row.reps for row in _done_this_week(session, CONDITIONING)) / block
        usual = lifter.conditioning_minutes / block
        yield Yardstick(name=CONDITIONING, usual=usual, done=done, weight=weight)
    if lifter.grip_sets:
        done = len(_done_this_week(session, GRIP))
        yield Yardstick(name=GRIP_WORK, usual=lifter.grip_sets, done=done, weight=weight)


def wanted_exercises(lifter: Lifter, hold: Exercise | None) -> Iterator[Exercise]:
    """Conditioning in blocks, and the hold: `hold` is the lifter's usual one, None where no load of theirs is known."""
    if lifter.conditioning_minutes:
        block = int(value("builder", "wanted", "block_minutes"))
        most = int(value("builder", "wanted", "most_blocks"))
        yield replace(
            _plain(CONDITIONING, Unit(lifter.unit)),
            repetitions=(block,),
            sets=(1, most),
            earns={CONDITIONING: 1.0},
            minutes_a_set=float(block),
        )
    if lifter.grip_sets:
        own = hold or _plain(GRIP, Unit(lifter.unit))
        loads = own.loads if hold is None else _up_to_planned(hold)
        sets = tuple(int(n) for n in value("builder", "wanted", "hold_sets"))
        yield replace(
            own,
            loads=loads,
            repetitions=own.repetitions or (1,),
            sets=(sets[0], sets[1]),
            warm_up=False,
            earns={"grip": 1.0, GRIP_WORK: 1.0},
            minutes_a_set=float(value("builder", "wanted", "hold_minutes")),
        )


def _plain(lift: str, unit: Unit) -> Exercise:
    """Of no load that anybody wrote down."""
    return Exercise(
        key=lift,
        setup=SetUp(lift=lift),
        role=Role.USUAL,
        family=lift,
        pattern=lift,
        unit=unit,
        loads=(LoadChoice(load=Decimal(0), share=0.0),),
        trains=trains_of(SetUp(lift=lift)),
        exposures=WELL_KNOWN,
        warm_up=False,
    )


def _up_to_planned(hold: Exercise) -> tuple[LoadChoice, ...]:
    most = hold.planned_load
    return tuple(one for one in hold.loads if most is None or one.load <= most) or hold.loads[:1]


def _done_this_week(session: Session, lift: str) -> list[DoneSet]:
    monday = session.day - timedelta(days=session.day.weekday())
    rows = DoneSet.objects.filter(
        session__lifter=session.lifter,
        session__day__gte=monday,
        session__day__lte=session.day,
        lift=lift,
        kind=DoneSet.Kind.WORK,
        undone_at=None,
    )
    return list(rows.exclude(session=session))
