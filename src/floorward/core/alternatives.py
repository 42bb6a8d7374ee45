"""What else could have been: the best plan with a line that was left out, and what it would have cost.

Each answer is the best of a programme like the plan's own with one more condition, so "worth 0.4 hard sets less" is what it says.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from floorward.core.builder import Plan, in_order, solved
from floorward.core.reckoning import PlannedLine, Reckoning, reckon
from floorward.core.session_programme import SessionProgramme, lines_of, programme_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """The best plan that has a line of another exercise.

    Attributes:
        line: the one that was left out.
        lines: the whole of that plan.
        worth_less: how much less it is worth, in hard sets; 0 where they are equal.
        instead_of: exercises of the plan that it does without, by key.
    """

    line: PlannedLine
    lines: tuple[PlannedLine, ...]
    reckoning: Reckoning
    worth_less: float
    instead_of: tuple[str, ...]


def best_left_out(plan: Plan) -> Alternative | None:
    """The exercise whose absence costs least: of all plans with at least one that this plan has not, the best.

    None where a rule or the limits keep out every other.
    """
    planned = {line.key for line in plan.lines}
    return _best_with(
        plan, (choice.exercise.key for choice in plan.choices if choice.exercise.key not in planned)
    )


def with_exercise(plan: Plan, key: str) -> Alternative | None:
    """The best plan that has exercise `key`, which this plan has not; None where none can have it."""
    return _best_with(plan, (key,))


def _best_with(plan: Plan, keys: Iterable[str]) -> Alternative | None:
    wanted = set(keys)
    model = programme_of(plan.request, plan.choices, plan.given_up)
    there = {place.there: 1.0 for place in model.places if place.choice.exercise.key in wanted}
    if not there:
        return None
    model.programme.at_least(there, 1.0)
    return _alternative(plan, model, wanted)


def _alternative(plan: Plan, model: SessionProgramme, wanted: set[str]) -> Alternative | None:
    found = solved(plan.request, model.programme)
    if not found.found:
        return None
    lines = in_order(lines_of(model, found))
    reckoning = reckon(plan.request, lines)
    keys = {line.key for line in lines}
    return Alternative(
        line=next(line for line in lines if line.key in wanted),
        lines=lines,
        reckoning=reckoning,
        worth_less=max(plan.reckoning.worth - reckoning.worth, 0.0),
        instead_of=tuple(dict.fromkeys(line.key for line in plan.lines if line.key not in keys)),
    )
