"""When not all can be had: the least that must give way, and what else would do.

Rules never give way. Wishes carry weights (tables/builder.toml), and the set of wishes with the least weight in sum is found exactly.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil

from floorward.core.line_choice import Choice
from floorward.core.session_programme import SessionProgramme, Wish, WishKind, programme_of
from floorward.core.session_request import Request
from floorward.maths.integer_programme import Solution, solve
from floorward.tables import value

_HALF = 0.5
_SLACK = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """What gives way.

    Attributes:
        given_up: the least weight of wishes.
        instead: other single wishes, each of which would do alone.
        minutes_needed: by day, where time gives way: the least that everything else takes.
    """

    given_up: tuple[Wish, ...]
    instead: tuple[Wish, ...]
    minutes_needed: tuple[tuple[int, int], ...]


def conflict_of(request: Request, choices: Sequence[Choice]) -> Conflict | None:
    """The least that must give way; None where even giving up every wish leaves a rule broken."""
    model = programme_of(request, choices)
    found = _least(model)
    if not found.found:
        return None
    given_up = tuple(wish for wish, variable in model.given_up.items() if found[variable] > _HALF)
    alone = (wish for wish in model.given_up if (wish,) != given_up)
    return Conflict(
        given_up=given_up,
        instead=tuple(wish for wish in alone if _possible(model, wish)),
        minutes_needed=tuple(
            (day.day, ceil(day.minutes + found[model.over_minutes[day.day]] - _SLACK))
            for day in request.days
            if Wish(kind=WishKind.TIME, day=day.day) in given_up
        ),
    )


def without(request: Request, conflict: Conflict) -> tuple[Request, tuple[Wish, ...]]:
    """The request with as many minutes as are needed, and the wishes that are still to be given up."""
    minutes = dict(conflict.minutes_needed)
    days = tuple(replace(day, minutes=minutes.get(day.day, day.minutes)) for day in request.days)
    rest = tuple(wish for wish in conflict.given_up if wish.kind is not WishKind.TIME)
    return replace(request, days=days), rest


def _least(model: SessionProgramme) -> Solution:
    """The solution that gives up least, by weight, and of time as few minutes as the other wishes allow."""
    programme = model.programme.copy()
    programme.goal = {}
    for wish, variable in model.given_up.items():
        programme.free(variable, 0, 1)
        programme.reward(variable, -float(value("builder", "wish", wish.kind)))
    for over in model.over_minutes.values():
        programme.reward(over, -float(value("builder", "wish", "minute")))
    return solve(programme, seconds=value("builder", "solver", "session_seconds"))


def _possible(model: SessionProgramme, given_up: Wish) -> bool:
    """Whether everything else can be had where this one wish is given up."""
    programme = model.programme.copy()
    programme.goal = {}
    programme.fix(model.given_up[given_up], 1.0)
    return solve(programme, seconds=value("builder", "solver", "session_seconds")).found
