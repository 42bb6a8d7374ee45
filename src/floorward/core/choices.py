"""The loads and repetitions that an exercise may be planned with today, each with what one set of it earns, takes and asks.

What a rule forbids is not a choice, so that no plan can contain it; `LeftOut` says which rule it was.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from math import floor
from typing import Any

from floorward.core.exercises import Exercise, LoadChoice, Role
from floorward.core.line_choice import Choice, choice_at, possible_repetitions, ramp_of
from floorward.core.repetitions import share_for
from floorward.core.session_request import Pin, Request
from floorward.core.worth import is_training
from floorward.tables import value
from floorward.units import plain

_SLACK = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """An exercise that may not be planned, with the code of the rule and what it read."""

    exercise: str
    code: str
    numbers: Mapping[str, Any] = field(default_factory=dict, hash=False)


def choices_of(request: Request) -> tuple[tuple[Choice, ...], tuple[LeftOut, ...]]:
    """Every choice that no rule forbids, and every exercise that has none, with the reason."""
    full_range = _full_range(request)
    chosen: list[Choice] = [*full_range]
    left_out: list[LeftOut] = []
    for exercise in request.exercises:
        if exercise.role is Role.FULL_RANGE:
            found = [choice for choice in full_range if choice.exercise.key == exercise.key]
        else:
            found = [] if _forbidden(exercise, request) else _useful(_within_day(exercise, request))
            chosen.extend(found)
        if not found:
            left_out.append(_forbidden(exercise, request) or _without_choice(exercise, request, full_range))
    return tuple(chosen), tuple(left_out)


def pinned_choices(pin: Pin, request: Request, choices: Iterable[Choice]) -> tuple[Choice, ...]:
    """The choices that agree with what a coach has settled: of those there are, else made for it; none where a rule forbids it."""
    exercise = request.exercise(pin.exercise)
    if exercise is None or _forbidden(exercise, request):
        return ()
    fitting = [one for one in choices if one.exercise.key == pin.exercise and _agrees(one, pin)]
    if not fitting:
        fitting = [
            choice_at(exercise, load, repetitions, request)
            for load in _allowed(exercise, request)
            if pin.load in (None, load.load)
            for repetitions in ([pin.repetitions] if pin.repetitions else _repetitions(exercise, request))
        ]
    settled = (_settled(choice, pin) for choice in fitting)
    return tuple(choice for choice in settled if _keeps_to_its_limits(choice))


def _agrees(choice: Choice, pin: Pin) -> bool:
    return pin.load in (None, choice.load.load) and pin.repetitions in (None, choice.repetitions)


def _settled(choice: Choice, pin: Pin) -> Choice:
    return replace(choice, sets=(pin.sets, pin.sets) if pin.sets else choice.sets, pinned=True)


def _keeps_to_its_limits(choice: Choice) -> bool:
    """Whether a new pattern stays small, and the sore lift within what was decided for it; elsewhere a coach is free."""
    exercise, ramp = choice.exercise, ramp_of(choice.exercise)
    if exercise.role is Role.FULL_RANGE:
        most_repetitions = max(exercise.repetitions, default=choice.repetitions)
        return choice.sets[1] <= exercise.sets[1] and choice.repetitions <= most_repetitions
    return ramp is None or (choice.sets[1] <= ramp[0] and choice.repetitions <= ramp[2])


def _full_range(request: Request) -> tuple[Choice, ...]:
    """The sore lift: the fullest range that has an allowed load, and of its loads the heaviest that the allowance holds."""
    sore = (one for one in request.exercises if one.role is Role.FULL_RANGE)
    for exercise in sorted(sore, key=lambda one: one.short_of_full_mm):
        if _forbidden(exercise, request):
            continue
        for load in reversed(_allowed(exercise, request)):
            found = [choice_at(exercise, load, n, request) for n in _repetitions(exercise, request)]
            fitting = [one for one in (_within_allowance(choice, request) for choice in found) if one]
            if fitting:
                return tuple(fitting)
    return ()


def _within_allowance(choice: Choice, request: Request) -> Choice | None:
    """With as few and as many sets as any of the days may ask, easy ones included; None if not even one."""
    fewest, most = choice.sets
    fewest = max(fewest, min(most, value("builder", "sets", "full_range")))
    easy = value("builder", "spacing", "hard")
    for region, asked in choice.asks.items():
        allowance = request.allowances.get(region)
        if allowance and asked > 0:
            a_day = min(allowance.day, allowance.week / len(request.days))
            most = min(most, floor(a_day / asked + _SLACK))
            fewest = min(fewest, max(floor(min(a_day, easy * allowance.day) / asked + _SLACK), 1))
    return replace(choice, sets=(min(fewest, most), most)) if most >= 1 else None


def _forbidden(exercise: Exercise, request: Request) -> LeftOut | None:
    """The rule that keeps an exercise out altogether."""
    for code, numbers in _refusals(exercise, request):
        return LeftOut(exercise=exercise.key, code=code, numbers=numbers)
    return None


def _refusals(exercise: Exercise, request: Request) -> Iterator[tuple[str, dict[str, Any]]]:
    if {exercise.key, exercise.setup.lift} & request.bans:
        yield "banned", {}
    busy = [one for one in exercise.equipment if request.free is not None and one not in request.free]
    if busy:
        yield "not-free", {"equipment": ", ".join(busy)}
    contest = request.contest
    if (
        contest
        and exercise.setup.lift in contest.barred
        and contest.weeks <= value("builder", "spacing", "contest_barred")
    ):
        yield "contest-bars", {"weeks": contest.weeks}
    if (
        contest
        and exercise.first_time
        and contest.weeks <= value("builder", "spacing", "contest_nothing_new")
    ):
        yield "nothing-new", {"weeks": contest.weeks}
    if not _allowed(exercise, request):
        lightest = exercise.loads[0]
        numbers = {
            "load": _spoken(exercise, lightest),
            "chance": lightest.chance,
            "most": request.chance_most,
        }
        yield "too-sore", numbers


def _without_choice(exercise: Exercise, request: Request, full_range: tuple[Choice, ...]) -> LeftOut:
    heaviest = _allowed(exercise, request)[-1]
    if exercise.role is Role.FULL_RANGE:
        return LeftOut(exercise=exercise.key, code="other-range" if full_range else "over-allowance")
    if not exercise.earns and not is_training(heaviest.share):
        numbers = {
            "load": _spoken(exercise, heaviest),
            "share": heaviest.share,
            "least": value("worth", "training_from"),
        }
        return LeftOut(exercise=exercise.key, code="movement-only", numbers=numbers)
    asking = any(_of_variation(exercise, request))
    return LeftOut(exercise=exercise.key, code="over-allowance" if asking else "no-repetitions")


def _spoken(exercise: Exercise, load: LoadChoice) -> str:
    return f"{plain(load.load)} {exercise.unit}"


def _within_day(exercise: Exercise, request: Request) -> Iterator[Choice]:
    """Choices whose fewest sets fit into what a region may be asked in one day."""
    for choice in _of_variation(exercise, request):
        allowed = (
            (choice.sets[0] * asked, request.allowances[region].day)
            for region, asked in choice.asks.items()
            if region in request.allowances
        )
        if all(asked <= most + _SLACK for asked, most in allowed):
            yield choice


def _allowed(exercise: Exercise, request: Request) -> tuple[LoadChoice, ...]:
    """Loads whose sets are not too likely to hurt more than the ceiling; with the lightest refused, all are."""
    most = request.chance_most + _SLACK
    found = []
    for load in exercise.loads:
        if load.chance > most:
            break
        found.append(load)
    return tuple(found)


def _of_variation(exercise: Exercise, request: Request) -> Iterator[Choice]:
    allowed = _allowed(exercise, request)
    if exercise.earns:
        found = [(allowed[-1], repetitions) for repetitions in _repetitions(exercise, request)]
    elif exercise.planned_load is not None:
        allowed = tuple(load for load in allowed if load.load <= exercise.planned_load)
        found = [(allowed[-1], repetitions) for repetitions in _repetitions(exercise, request)]
    else:
        found = list(_loads_and_repetitions(exercise, allowed, request))
    for load, repetitions in dict.fromkeys(found):
        yield choice_at(exercise, load, repetitions, request)


def _loads_and_repetitions(
    exercise: Exercise, allowed: tuple[LoadChoice, ...], request: Request
) -> Iterator[tuple[LoadChoice, int]]:
    """For each number of repetitions the load at which they feel like the effort wanted; where that is not allowed the heaviest
    that is, with as many more as bring it to that effort, to what is just hard enough, or as near as the usual numbers come.
    """
    rpe = _effort(exercise)
    for repetitions in _repetitions(exercise, request):
        target = share_for(repetitions, rpe, request.curve)
        lighter = [load for load in allowed if load.share <= target]
        if not lighter:
            continue
        if lighter[-1] != allowed[-1] or exercise.repetitions:
            yield lighter[-1], repetitions
            continue
        possible = possible_repetitions(allowed[-1], request)
        for effort in (rpe, float(value("builder", "effort", "hard_enough"))):
            more = max(round(possible - (10 - effort)), repetitions)
            yield allowed[-1], min(more, _most(exercise))
            yield allowed[-1], min(more, max(_repetitions(exercise, request)))


def _repetitions(exercise: Exercise, request: Request) -> tuple[int, ...]:
    """Repetitions that may be planned: the exercise's own, else those of its role, or of what the lifter trains for."""
    if exercise.repetitions or exercise.earns:
        return exercise.repetitions or (1,)
    if exercise.role is Role.FULL_RANGE:
        return (value("session", "full_range", "reps"),)
    fewest = exercise.fewest_repetitions
    wanted = {max(min(n, _most(exercise)), fewest) for n in value("builder", "repetitions", request.aim)}
    return tuple(sorted(wanted))


def _effort(exercise: Exercise) -> float:
    ramp = ramp_of(exercise)
    rpe = value("builder", "effort", "usual" if exercise.role is Role.USUAL else "sore")
    return float(min(rpe, ramp[1]) if ramp else rpe)


def _most(exercise: Exercise) -> int:
    ramp = ramp_of(exercise)
    return int(ramp[2] if ramp else value("builder", "repetitions", "most"))


def _useful(choices: Iterable[Choice]) -> list[Choice]:
    """Choices that earn something and that no other choice of the exercise betters in every respect."""
    earning = (choice for choice in choices if choice.credits)
    kept: list[Choice] = []
    for choice in sorted(earning, key=lambda one: (-sum(one.credits.values()), one.set_minutes)):
        if not any(_betters(other, choice) for other in kept):
            kept.append(choice)
    return kept


def _betters(one: Choice, another: Choice) -> bool:
    """Whether `one` earns as much everywhere for as little."""
    earns = all(one.credits.get(name, 0.0) >= credit for name, credit in another.credits.items())
    asks = all(one.asks.get(region, 0.0) <= asked for region, asked in another.asks.items())
    quick = one.set_minutes <= another.set_minutes and one.line_minutes <= another.line_minutes
    return earns and asks and quick and one.load.chance <= another.load.chance
