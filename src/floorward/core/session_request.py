"""What a coach asks of the builder: for whom, when, with what, within which limits, and which lines are settled already."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from floorward.core.exercises import Exercise
from floorward.core.records import Region
from floorward.core.repetitions import Curve
from floorward.core.usual_week import Yardstick
from floorward.core.worth import Aim
from floorward.errors import ContractError
from floorward.tables import value


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """A session to be planned: its day counts from any day on, `minutes` from door to door, `taken` those that are spoken for already."""

    day: int = 0
    minutes: float = float(value("builder", "time", "session"))
    taken: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """What a sore region may be asked, as moment times repetitions [N·m].

    Attributes:
        day: of one session.
        week: of all sessions that are planned together.
        last_hard_day: the last hard day of the region, on the count of `Day.day`; None when there was none.
    """

    day: float
    week: float
    last_hard_day: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Contest:
    """The next contest: weeks until then, and lifts that its rules do not allow."""

    weeks: float
    barred: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """A line that the coach has settled, whole or in part; what is None may be chosen.

    `day` None means on each day that is planned.
    """

    exercise: str
    day: int | None = None
    load: Decimal | None = None
    repetitions: int | None = None
    sets: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """All that a plan depends on.

    Attributes:
        exercises: what may become a line.
        yardsticks: the usual week, with what is done of it.
        days: one for a session, several for a week.
        sessions_left: this week's sessions from these days on; what is left of the week is shared among them.
        allowances: by sore region; none for a region that is not held back.
        confidence: chance that a planned set stays within the ceiling, at least.
        free: equipment that may be used; None for all.
        waits: minutes that a line waits for equipment that others use.
        bans: keys of exercises, or lifts, that the coach does not want.
        curve: the lifter's own repetitions at a share; the general chart else.
    """

    exercises: tuple[Exercise, ...]
    yardsticks: tuple[Yardstick, ...]
    aim: Aim = Aim.BOTH
    days: tuple[Day, ...] = (Day(),)
    sessions_left: int = 1
    allowances: Mapping[Region, Allowance] = field(default_factory=dict, hash=False)
    confidence: float = float(value("builder", "confidence"))
    free: frozenset[str] | None = None
    waits: Mapping[str, float] = field(default_factory=dict, hash=False)
    contest: Contest | None = None
    pins: tuple[Pin, ...] = ()
    bans: frozenset[str] = frozenset()
    curve: Curve | None = None

    def __post_init__(self) -> None:
        """Days go upward, exercises have names of their own, and pins name exercises."""
        days = [day.day for day in self.days]
        keys = [exercise.key for exercise in self.exercises]
        if not days or sorted(set(days)) != days:
            raise ContractError("a plan needs days, each later than the one before")
        if len(set(keys)) != len(keys):
            raise ContractError("two exercises with one key")
        if self.sessions_left < len(days) or not 0 < self.confidence <= 1:
            raise ContractError(
                "sessions left count those that are planned; confidence is above 0 and 1 at most"
            )

    @property
    def chance_most(self) -> float:
        """The chance of too much pain that a set may have."""
        return 1.0 - self.confidence

    def exercise(self, key: str) -> Exercise | None:
        """The exercise of that name."""
        return next((one for one in self.exercises if one.key == key), None)

    def wanted(self, yardstick: Yardstick) -> float:
        """What these days should bring toward the usual week: their share of what is left of it."""
        return max(yardstick.usual - yardstick.done, 0.0) * len(self.days) / self.sessions_left
