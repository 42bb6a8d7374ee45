"""A coach's own line: what it comes to, or why it cannot stand. What a rule forbids is refused; the rest is free."""

from collections.abc import Iterator
from typing import Any

from floorward.core.choices import choices_of, pinned_choices
from floorward.core.exercises import Exercise, Role
from floorward.core.findings import Finding, Weight
from floorward.core.loadable import next_above, next_below
from floorward.core.reckoning import PlannedLine
from floorward.core.session_request import Pin, Request
from floorward.tables import value
from floorward.units import plain


def line_for(request: Request, pin: Pin) -> tuple[PlannedLine | None, tuple[Finding, ...]]:
    """The line that a coach settles, what is left open filled in with the first that fits; or the refusals."""
    exercise = request.exercise(pin.exercise)
    if exercise is None:
        return None, (_refusal("edit-unknown", pin.exercise),)
    found = pinned_choices(pin, request, choices_of(request)[0])
    if found:
        choice = found[-1]
        day = request.days[0].day if pin.day is None else pin.day
        return PlannedLine(day=day, choice=choice, sets=pin.sets or choice.sets[1]), ()
    return None, tuple(_refusals(request, exercise, pin)) or (_refusal("edit-not-allowed", exercise.key),)


def _refusals(request: Request, exercise: Exercise, pin: Pin) -> Iterator[Finding]:
    if pin.load is not None:
        yield from _load(request, exercise, pin)
    steps = value("builder", "new")
    if exercise.exposures < len(steps):
        sets, _, repetitions = steps[exercise.exposures]
        if (pin.sets or 0) > sets or (pin.repetitions or 0) > repetitions:
            yield _refusal("edit-new", exercise.key, sets=sets, repetitions=repetitions)
    elif exercise.role is Role.FULL_RANGE and (pin.sets or 0) > exercise.sets[1]:
        yield _refusal("edit-full-range", exercise.key, sets=exercise.sets[1])


def _load(request: Request, exercise: Exercise, pin: Pin) -> Iterator[Finding]:
    known = [one.load for one in exercise.loads]
    load = exercise.load_choice(pin.load) if pin.load is not None else None
    if load is not None:
        if load.chance > request.chance_most:
            most = round(100 * request.chance_most)
            yield _refusal("edit-too-sore", exercise.key, percent=round(100 * load.chance), most=most)
    elif pin.load is not None and pin.load > known[-1]:
        yield _refusal("edit-over", exercise.key, most=plain(known[-1]), unit=str(exercise.unit))
    elif pin.load is not None:
        below, above = next_below(known, pin.load), next_above(known, pin.load)
        near = " or ".join(plain(one) for one in (below, above) if one is not None)
        yield _refusal("edit-not-loadable", exercise.key, near=near, unit=str(exercise.unit))


def _refusal(code: str, key: str, **numbers: Any) -> Finding:
    return Finding(code=code, field=key, weight=Weight.REFUSE, numbers=numbers)
