"""What a plan comes to, line by line and in sum: credit, minutes, what it asks of sore regions, and its worth.

Here nothing is chosen: the same plan gives the same numbers whoever put it together. So a coach's edit is weighed at once, and what
the builder claims can be recomputed.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import TypeVar

from floorward.core.line_choice import Choice
from floorward.core.records import Region
from floorward.core.session_request import Request
from floorward.core.usual_week import Yardstick
from floorward.tables import value

Name = TypeVar("Name")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedLine:
    """Sets of one choice on one day."""

    day: int
    choice: Choice
    sets: int

    @property
    def key(self) -> str:
        """The exercise's name."""
        return self.choice.exercise.key

    @property
    def minutes(self) -> float:
        """All of it."""
        return self.choice.line_minutes + self.sets * self.choice.set_minutes

    @property
    def credits(self) -> dict[str, float]:
        """Of all its sets, by yardstick."""
        return {name: self.sets * amount for name, amount in self.choice.credits.items()}

    @property
    def asks(self) -> dict[Region, float]:
        """Of all its sets, by sore region [N·m]."""
        return {region: self.sets * amount for region, amount in self.choice.asks.items()}

    @property
    def charge(self) -> float:
        """What it costs in hard sets' worth: a line more, minutes, the chance of pain, and being disliked."""
        rates = {
            name: float(value("builder", "charge", name)) for name in ("line", "pain", "dislike", "minute")
        }
        disliked = rates["dislike"] if self.choice.exercise.disliked else 0.0
        hurting = rates["pain"] * self.choice.load.chance * self.sets
        return rates["line"] + disliked + hurting + rates["minute"] * self.minutes


@dataclass(frozen=True, slots=True, kw_only=True)
class Reckoning:
    """A plan in numbers.

    Attributes:
        worth: hard sets toward the usual week, less the charges.
        credits: by yardstick, all lines together.
        kept: what the week will have kept, by yardstick: 1 is the usual week.
        minutes: by day, the general warm-up and what is spoken for included.
        asked: by day and region, as a share of the day's allowance.
        asked_of_week: by region, as a share of the week's.
    """

    worth: float
    credits: Mapping[str, float] = field(hash=False)
    kept: Mapping[str, float] = field(hash=False)
    minutes: Mapping[int, float] = field(hash=False)
    asked: Mapping[int, Mapping[Region, float]] = field(hash=False)
    asked_of_week: Mapping[Region, float] = field(hash=False)


def reckon(request: Request, lines: Iterable[PlannedLine]) -> Reckoning:
    """What `lines` come to."""
    lines = tuple(lines)
    earned = summed(line.credits for line in lines)
    toward = sum(worth_of(request, one, earned.get(one.name, 0.0)) for one in request.yardsticks)
    by_day = {day.day: tuple(line for line in lines if line.day == day.day) for day in request.days}
    whole = summed(line.asks for line in lines)
    return Reckoning(
        worth=toward - sum(line.charge for line in lines),
        credits=earned,
        kept={
            one.name: replace(one, done=one.done + earned.get(one.name, 0.0)).kept
            for one in request.yardsticks
        },
        minutes={day.day: day.taken + minutes_of(by_day[day.day]) for day in request.days},
        asked={
            day: {
                region: summed(line.asks for line in of_day).get(region, 0.0) / max(allowed.day, 1e-9)
                for region, allowed in request.allowances.items()
            }
            for day, of_day in by_day.items()
        },
        asked_of_week={
            region: whole.get(region, 0.0) / max(allowed.week, 1e-9)
            for region, allowed in request.allowances.items()
        },
    )


def worth_of(request: Request, yardstick: Yardstick, credit: float) -> float:
    """What `credit` counts toward one yardstick: much at first, little beyond the usual."""
    counted = sum(
        slope * min(max(credit - begin, 0.0), length) for begin, length, slope in steps(request, yardstick)
    )
    return yardstick.weight * counted


def steps(request: Request, yardstick: Yardstick) -> list[tuple[float, float, float]]:
    """The yardstick's stretches: where each begins, how long it is (hard sets) and what a set counts on it."""
    wanted = request.wanted(yardstick)
    ends = [(0.0, 0.0), *((share * wanted, slope) for share, slope in value("builder", "steps"))]
    return [(begin, end - begin, slope) for (begin, _), (end, slope) in pairwise(ends)]


def minutes_of(lines: Iterable[PlannedLine]) -> float:
    """A session's minutes, the general warm-up included."""
    return float(value("builder", "time", "general_warm_up")) + sum(line.minutes for line in lines)


def summed(parts: Iterable[Mapping[Name, float]]) -> dict[Name, float]:
    """Sums by name."""
    total: dict[Name, float] = {}
    for part in parts:
        for name, amount in part.items():
            total[name] = total.get(name, 0.0) + amount
    return total
