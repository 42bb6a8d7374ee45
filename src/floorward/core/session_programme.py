"""A request as an integer programme: which choices, on which days, how many sets, so that the worth is largest.

For each day, choice and number of sets a 0-1 variable says whether the line is there; for each yardstick stretches of falling value take up
the credit. What the coach wishes may give way, each wish with a 0-1 variable of its own; rules never do.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from floorward.core.choices import pinned_choices
from floorward.core.exercises import Exercise, Role
from floorward.core.line_choice import Choice
from floorward.core.reckoning import PlannedLine, steps
from floorward.core.records import Region
from floorward.core.session_request import Allowance, Day, Request
from floorward.core.worth import is_training
from floorward.maths.integer_programme import Programme, Solution, Variable
from floorward.tables import value

_WHOLE = 0.5
FAR = 1e3  # minutes: more than any session has


class WishKind(StrEnum):
    """What may give way when not all can be had."""

    VARIATION = "variation"
    SPACING = "spacing"
    PIN = "pin"
    TIME = "time"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """Something asked for that is no rule: an easier variation, days between hard ones, a settled line, the time."""

    kind: WishKind
    day: int
    about: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """So many sets of a choice on a day, and the variable that says whether they are there."""

    day: int
    choice: Choice
    sets: int
    there: Variable

    @property
    def line(self) -> PlannedLine:
        """The line that it would be."""
        return PlannedLine(day=self.day, choice=self.choice, sets=self.sets)

    def asks(self, region: Region) -> float:
        """What all its sets ask of a region, moment times repetitions [N·m]."""
        return self.sets * self.choice.asks.get(region, 0.0)


@dataclass(slots=True, kw_only=True)
class SessionProgramme:
    """A programme with what its variables mean.

    Attributes:
        given_up: by wish, whether it is; held at the answer.
        over_minutes: by day, minutes over the day's, where time is given up.
    """

    programme: Programme
    places: tuple[Place, ...]
    given_up: dict[Wish, Variable]
    over_minutes: dict[int, Variable]


def programme_of(
    request: Request, choices: Iterable[Choice], dropped: Iterable[Wish] = ()
) -> SessionProgramme:
    """The programme of a request, with the wishes in `dropped` given up beforehand."""
    programme = Programme()
    places = tuple(_places(programme, request, tuple(choices)))
    model = SessionProgramme(programme=programme, places=places, given_up={}, over_minutes={})
    for day in request.days:
        today = [place for place in places if place.day == day.day]
        _hold_the_day(model, today)
        _hold_the_full_range(model, today)
        _hold_the_muscles(model, today)
        _want_a_variation(model, day.day, today)
        _want_the_time(model, day, today)
    _hold_what_is_new(model)
    _want_the_pins(model, request)
    for region, allowance in request.allowances.items():
        _hold_the_region(model, request, region, allowance)
    _reward(model, request)
    gone = set(dropped)
    for wish, variable in model.given_up.items():
        programme.fix(variable, 1.0 if wish in gone else 0.0)
    return model


def lines_of(model: SessionProgramme, solution: Solution) -> tuple[PlannedLine, ...]:
    """The lines of a solution, in no order."""
    return tuple(place.line for place in model.places if solution[place.there] > _WHOLE)


def _places(programme: Programme, request: Request, choices: tuple[Choice, ...]) -> Iterator[Place]:
    for day in request.days:
        for choice in _of_day(request, day, choices):
            for sets in range(choice.sets[0], choice.sets[1] + 1):
                yield Place(day=day.day, choice=choice, sets=sets, there=programme.choice())


def _of_day(request: Request, day: Day, choices: tuple[Choice, ...]) -> list[Choice]:
    """The choices of a day: those of a pinned exercise give way to what the coach has settled, beside it where the pin may fall."""
    found = list(choices)
    for pin in request.pins:
        if pin.day in (None, day.day):
            found.extend(one for one in pinned_choices(pin, request, choices) if one not in found)
    return found


def _hold_the_day(model: SessionProgramme, today: list[Place]) -> None:
    """No exercise twice, and not too many lines: in all, of a family, of one lift. What a coach has settled does not count."""
    by_key = _grouped(today, lambda exercise: exercise.key)
    for places in by_key.values():
        model.programme.at_most({place.there: 1.0 for place in places}, 1.0)
    settled = {place.choice.exercise.key for place in today if place.choice.pinned}
    counted = [place for place in today if place.choice.exercise.key not in settled]
    kinds: dict[str, Callable[[Exercise], str]] = {
        "session": lambda _: "",
        "family": lambda exercise: exercise.family,
        "lift": lambda exercise: exercise.setup.lift,
    }
    for kind, name in kinds.items():
        most = value("builder", "lines", kind)
        for places in _grouped(counted, name).values():
            if len({place.choice.exercise.key for place in places}) > most:
                model.programme.at_most({place.there: 1.0 for place in places}, most)


def _grouped(places: Iterable[Place], name: Callable[[Exercise], str]) -> dict[str, list[Place]]:
    groups: dict[str, list[Place]] = defaultdict(list)
    for place in places:
        groups[name(place.choice.exercise)].append(place)
    return groups


def _hold_the_full_range(model: SessionProgramme, today: list[Place]) -> None:
    sore = {place.there: 1.0 for place in today if place.choice.exercise.role is Role.FULL_RANGE}
    if sore:
        model.programme.exactly(sore, 1.0)


def _hold_the_muscles(model: SessionProgramme, today: list[Place]) -> None:
    """Not more sets for a muscle in one session than do any good."""
    sums: dict[str, dict[Variable, float]] = defaultdict(dict)
    for place in today:
        trains = place.choice.exercise.trains
        for name, muscles in (("direct", trains.direct), ("indirect", trains.indirect)):
            for muscle in muscles:
                sums[muscle][place.there] = place.sets * value("worth", "muscle_share", name)
    most = value("worth", "usual", "most_sets_a_session")
    for terms in sums.values():
        model.programme.at_most(terms, most)


def _want_a_variation(model: SessionProgramme, day: int, today: list[Place]) -> None:
    """An easier lift, hard enough to train: of the sore lift's own family where there is one."""
    sore = {place.choice.exercise.family for place in today if place.choice.exercise.role is Role.FULL_RANGE}
    fit = [place for place in today if _is_hard_enough(place.choice)]
    near = [place for place in fit if place.choice.exercise.family in sore]
    if fit:
        terms = {place.there: 1.0 for place in near or fit}
        model.programme.at_least({**terms, _given_up(model, WishKind.VARIATION, day): 1.0}, 1.0)


def _is_hard_enough(choice: Choice) -> bool:
    least = value("builder", "effort", "hard_enough")
    sore = choice.exercise.role is Role.VARIATION
    return sore and choice.rpe >= least and is_training(choice.load.share)


def _want_the_time(model: SessionProgramme, day: Day, today: list[Place]) -> None:
    terms = {place.there: place.line.minutes for place in today}
    over = model.over_minutes[day.day] = model.programme.amount(0.0, FAR)
    model.programme.at_most({over: 1.0, _given_up(model, WishKind.TIME, day.day): -FAR}, 0.0)
    left = day.minutes - day.taken - value("builder", "time", "general_warm_up")
    model.programme.at_most({**terms, over: -1.0}, left)


def _hold_what_is_new(model: SessionProgramme) -> None:
    """One new pattern, in all that is planned together."""
    by_pattern: dict[str, list[Place]] = defaultdict(list)
    for place in model.places:
        if place.choice.exercise.first_time:
            by_pattern[place.choice.exercise.pattern].append(place)
    begun = {pattern: model.programme.choice() for pattern in by_pattern}
    for pattern, members in by_pattern.items():
        for place in members:
            model.programme.at_most({place.there: 1.0, begun[pattern]: -1.0}, 0.0)
    if len(begun) > 1:
        model.programme.at_most(dict.fromkeys(begun.values(), 1.0), 1.0)


def _want_the_pins(model: SessionProgramme, request: Request) -> None:
    for pin in request.pins:
        for day in request.days:
            if pin.day not in (None, day.day):
                continue
            settled = {
                place.there: 1.0
                for place in model.places
                if place.day == day.day and place.choice.exercise.key == pin.exercise and place.choice.pinned
            }
            gone = _given_up(model, WishKind.PIN, day.day, pin.exercise)
            model.programme.at_least({**settled, gone: 1.0}, 1.0)


def _hold_the_region(model: SessionProgramme, request: Request, region: Region, allowance: Allowance) -> None:
    """The day's and the week's allowance, and days between hard ones."""
    asked = {
        day.day: {
            place.there: place.asks(region)
            for place in model.places
            if place.day == day.day and place.asks(region) > 0
        }
        for day in request.days
    }
    for terms in asked.values():
        model.programme.at_most(terms, allowance.day)
    whole = {variable: amount for terms in asked.values() for variable, amount in terms.items()}
    model.programme.at_most(whole, allowance.week)
    _want_days_between(model, asked, allowance)


def _want_days_between(
    model: SessionProgramme, asked: dict[int, dict[Variable, float]], allowance: Allowance
) -> None:
    """A day after a hard one is easy; of two near each other one is."""
    easy = value("builder", "spacing", "hard") * allowance.day
    apart = value("builder", "spacing", "days")
    last = allowance.last_hard_day
    hard: dict[int, Variable] = {}
    for day, terms in asked.items():
        near = [other for other in hard if day - other < apart]
        after_last = last is not None and day - last < apart
        if len(asked) == 1 and not after_last:
            continue
        hard[day] = model.programme.choice()
        model.programme.at_most({**terms, hard[day]: easy - allowance.day}, easy)
        if near or after_last:
            gone = _given_up(model, WishKind.SPACING, day)
            for other in near:
                model.programme.at_most({hard[day]: 1.0, hard[other]: 1.0, gone: -1.0}, 1.0)
            if after_last:
                model.programme.at_most({hard[day]: 1.0, gone: -1.0}, 0.0)


def _reward(model: SessionProgramme, request: Request) -> None:
    """The worth of a plan as `reckoning.reckon` has it.

    What a line brings is cut off where the stretches that it may fill end. In whole lines that changes nothing; for parts of lines, in
    which the solver thinks, it forbids a quarter of a long line to fill the stretch that counts most.
    """
    earned: dict[str, dict[Variable, float]] = defaultdict(dict)
    for place in model.places:
        model.programme.reward(place.there, -place.line.charge)
        for name, amount in place.line.credits.items():
            earned[name][place.there] = amount
    for yardstick in request.yardsticks:
        brought = earned[yardstick.name]
        if not brought:
            continue
        taken: dict[Variable, float] = {}
        for begin, length, slope in steps(request, yardstick):
            stretch = model.programme.amount(0.0, length)
            model.programme.reward(stretch, yardstick.weight * slope)
            taken[stretch] = -1.0
            end = begin + length
            model.programme.at_least({**{x: min(most, end) for x, most in brought.items()}, **taken}, 0.0)


def _given_up(model: SessionProgramme, kind: WishKind, day: int, about: str = "") -> Variable:
    wish = Wish(kind=kind, day=day, about=about)
    if wish not in model.given_up:
        model.given_up[wish] = model.programme.choice()
    return model.given_up[wish]
