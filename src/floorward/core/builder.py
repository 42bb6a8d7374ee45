"""A session, or a week of sessions, that is worth most within all limits; and a coach's edits weighed as they stand.

The answer is proven best, or says how much better another might be. Method and what was only judged: docs/science/building.md.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from floorward.core.choices import LeftOut, choices_of
from floorward.core.conflict import Conflict, conflict_of, without
from floorward.core.exercises import Role
from floorward.core.line_choice import Choice
from floorward.core.reckoning import PlannedLine, Reckoning, reckon
from floorward.core.session_programme import Wish, lines_of, programme_of
from floorward.core.session_request import Pin, Request
from floorward.maths.integer_programme import Programme, Solution, Status, solve
from floorward.tables import value


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What came of a request.

    Attributes:
        request: as it was planned; with more minutes than were asked for where time had to give way.
        lines: in the order of a session, day by day.
        reckoning: what they come to.
        status: proven, within the gap, stopped by the clock, or impossible.
        best_possible: the worth that no plan exceeds.
        conflict: what had to give way; None where all could be had.
        given_up: the wishes among it that the plan does without.
        choices: what could have been planned.
        left_out: exercises that a rule kept out.
    """

    request: Request
    lines: tuple[PlannedLine, ...]
    reckoning: Reckoning
    status: Status
    best_possible: float
    conflict: Conflict | None = None
    given_up: tuple[Wish, ...] = ()
    choices: tuple[Choice, ...] = field(default=(), repr=False)
    left_out: tuple[LeftOut, ...] = ()

    @property
    def gap(self) -> float:
        """How much better another plan might be at most, as a share of this one's worth; 0 when proven."""
        if self.status is Status.PROVEN:
            return 0.0
        return max(self.best_possible - self.reckoning.worth, 0.0) / max(abs(self.reckoning.worth), 1e-9)

    @property
    def stands_in(self) -> bool:
        """Whether the sore lift is there with less than its full range."""
        return any(line.choice.exercise.short_of_full_mm > 0 for line in self.lines if _is_sore(line))


def build(request: Request) -> Plan:
    """The plan that is worth most. One day is solved to the end; several to a stated gap."""
    choices, left_out = choices_of(request)
    model = programme_of(request, choices)
    found = solved(request, model.programme)
    if found.status is not Status.IMPOSSIBLE:
        return _plan(request, lines_of(model, found) if found.found else (), found, choices, left_out)
    conflict = conflict_of(request, choices)
    if conflict is None:
        return _plan(request, (), found, choices, left_out)
    eased, given_up = without(request, conflict)
    model = programme_of(eased, choices, given_up)
    found = solved(eased, model.programme)
    plan = _plan(eased, lines_of(model, found) if found.found else (), found, choices, left_out)
    return replace(plan, conflict=conflict, given_up=given_up)


def weighed(request: Request, lines: Iterable[PlannedLine]) -> Reckoning:
    """What a coach's own lines come to, whatever the builder would have chosen."""
    return reckon(request, lines)


def kept_on(plan: Plan, lines: Iterable[PlannedLine]) -> Request:
    """The request with `lines` settled as they stand, so that planning again works around them."""
    pins = tuple(
        Pin(
            exercise=line.key,
            day=line.day,
            load=line.choice.load.load,
            repetitions=line.choice.repetitions,
            sets=line.sets,
        )
        for line in lines
    )
    names = {(pin.exercise, pin.day) for pin in pins}
    others = tuple(pin for pin in plan.request.pins if (pin.exercise, pin.day) not in names)
    return replace(plan.request, pins=(*others, *pins))


def in_order(lines: Iterable[PlannedLine]) -> tuple[PlannedLine, ...]:
    """Day by day: the sore lift first, then the ways around it and the rest, in each the heaviest for the lifter first."""
    roles = tuple(Role)
    return tuple(
        sorted(
            lines,
            key=lambda line: (
                line.day,
                roles.index(line.choice.exercise.role),
                bool(line.choice.exercise.earns),
                -len(line.choice.exercise.trains.direct),
                -line.choice.load.share,
                line.key,
            ),
        )
    )


def solved(request: Request, programme: Programme) -> Solution:
    """The best of a programme of `request`: to the end for one day, to a small gap for several, and anything rather than nothing."""
    several = len(request.days) > 1
    seconds = value("builder", "solver", "week_seconds" if several else "session_seconds")
    found = solve(programme, seconds=seconds, gap=value("builder", "solver", "week_gap") if several else 0.0)
    if found.found or found.status is Status.IMPOSSIBLE:
        return found
    return solve(programme, gap=value("builder", "solver", "last_gap"))


def _plan(
    request: Request,
    lines: Sequence[PlannedLine],
    found: Solution,
    choices: tuple[Choice, ...],
    left_out: tuple[LeftOut, ...],
) -> Plan:
    ordered = in_order(lines)
    return Plan(
        request=request,
        lines=ordered,
        reckoning=reckon(request, ordered),
        status=found.status,
        best_possible=found.bound,
        choices=choices,
        left_out=left_out,
    )


def _is_sore(line: PlannedLine) -> bool:
    return line.choice.exercise.role is Role.FULL_RANGE
