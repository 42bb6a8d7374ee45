"""One way to plan an exercise today, and all that a set of it brings: credit, minutes, what it asks, how near to failure it is."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from floorward.core.exercises import Exercise, LoadChoice
from floorward.core.records import Region
from floorward.core.repetitions import repetitions_at
from floorward.core.rests import rest_after_s
from floorward.core.session_request import Request
from floorward.core.warm_up import warm_ups
from floorward.core.worth import Effort, credits_of, is_shortened, is_training
from floorward.tables import value


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One way to plan an exercise, and all that a set of it brings.

    Attributes:
        left: repetitions that would still go.
        sets: fewest and most.
        credits: of one set, by yardstick; none for a load too light to train.
        line_minutes: however many sets: setting up, warm-ups, waiting.
        set_minutes: of one set with its rest.
        asks: of one set by sore region, moment times repetitions [N·m].
        pinned: whether the coach settled it.
    """

    exercise: Exercise
    load: LoadChoice
    repetitions: int
    left: float
    sets: tuple[int, int]
    credits: Mapping[str, float] = field(hash=False)
    line_minutes: float
    set_minutes: float
    asks: Mapping[Region, float] = field(hash=False)
    pinned: bool = False

    @property
    def rpe(self) -> float:
        """As the lifter should feel it at the end of a set, in half points."""
        return max(round(2 * (10 - self.left)) / 2, 1.0)


def choice_at(exercise: Exercise, load: LoadChoice, repetitions: int, request: Request) -> Choice:
    """The choice of a load and repetitions, with as many sets as exercise and newness allow."""
    left = _left(exercise, load, repetitions, request)
    ramp = ramp_of(exercise)
    fewest, most = exercise.sets
    most = min(most, ramp[0]) if ramp else most
    return Choice(
        exercise=exercise,
        load=load,
        repetitions=repetitions,
        left=left,
        sets=(min(fewest, most), most),
        credits=_credits(exercise, load, repetitions, left, request),
        line_minutes=_line_minutes(exercise, load, request),
        set_minutes=set_minutes(exercise, load, repetitions),
        asks={region: moment * repetitions for region, moment in load.asks_nm.items()},
    )


def _left(exercise: Exercise, load: LoadChoice, repetitions: int, request: Request) -> float:
    if exercise.rpe is not None:
        return 10 - exercise.rpe
    if exercise.earns:
        return 10.0 - float(value("builder", "effort", "hard_enough"))
    return max(possible_repetitions(load, request) - repetitions, 0.0)


def _credits(
    exercise: Exercise, load: LoadChoice, repetitions: int, left: float, request: Request
) -> dict[str, float]:
    if exercise.earns:
        return dict(exercise.earns)
    if not is_training(load.share):
        return {}
    effort = Effort(
        share=load.share, repetitions=repetitions, left=left, shortened=is_shortened(exercise.setup)
    )
    return credits_of(effort, exercise.trains, request.aim)


def set_minutes(exercise: Exercise, load: LoadChoice, repetitions: int) -> float:
    """A set and the rest after it."""
    if exercise.minutes_a_set:
        return exercise.minutes_a_set
    under_bar = repetitions * value("builder", "time", "repetition")
    return float((under_bar + rest_seconds(exercise, load)) / 60)


def rest_seconds(exercise: Exercise, load: LoadChoice) -> float:
    """The rest after a set: longer for big lifts and heavy loads."""
    return rest_after_s(exercise.trains.direct, load.share)


def _line_minutes(exercise: Exercise, load: LoadChoice, request: Request) -> float:
    time = value("builder", "time", "line") + sum(request.waits.get(one, 0.0) for one in exercise.equipment)
    if exercise.first_time:
        time += value("builder", "time", "first_time")
    if exercise.warm_up:
        lighter = warm_ups([one.load for one in exercise.loads], load.load)
        time += len(lighter) * value("builder", "time", "warm_up_set")
    return float(time)


def ramp_of(exercise: Exercise) -> tuple[int, float, int] | None:
    """Sets, RPE and repetitions at most while a pattern is new."""
    steps = value("builder", "new")
    if exercise.exposures >= len(steps):
        return None
    sets, rpe, repetitions = steps[exercise.exposures]
    return int(sets), float(rpe), int(repetitions)


def possible_repetitions(load: LoadChoice, request: Request) -> float:
    """Repetitions to failure, by the lifter's own curve or the chart."""
    return repetitions_at(min(load.share, 1.0), request.curve).middle
