"""A plan's limits checked one by one, and small requests counted out: slow, and without the programme that it stands against."""

from collections import Counter
from collections.abc import Iterator
from itertools import pairwise, product

from floorward import tables
from floorward.core.choices import choices_of
from floorward.core.exercises import Role
from floorward.core.line_choice import Choice
from floorward.core.reckoning import PlannedLine, reckon
from floorward.core.session_request import Request
from floorward.core.worth import is_training

SLACK = 1e-6


def broken(request: Request, lines: tuple[PlannedLine, ...]) -> list[str]:
    """Every limit that a plan breaks; pins aside."""
    found = []
    choices = choices_of(request)[0]
    reckoning = reckon(request, lines)
    for day in request.days:
        today = [line for line in lines if line.day == day.day]
        found += [f"{what} on {day.day}" for what in _broken_day(choices, today)]
        found += ["time"] if reckoning.minutes[day.day] > day.minutes + SLACK else []
        found += ["day's allowance"] if any(x > 1 + SLACK for x in reckoning.asked[day.day].values()) else []
    found += ["week's allowance"] if any(x > 1 + SLACK for x in reckoning.asked_of_week.values()) else []
    found += ["spacing"] if _too_near(request, reckoning.asked) else []
    new = {line.choice.exercise.pattern for line in lines if line.choice.exercise.first_time}
    return found + (["two new patterns"] if len(new) > 1 else [])


def counted_out(request: Request) -> tuple[float, tuple[PlannedLine, ...]]:
    """The best of all plans of one day, and its worth."""
    day = request.days[0].day
    by_exercise: dict[str, list[Choice]] = {}
    for choice in choices_of(request)[0]:
        by_exercise.setdefault(choice.exercise.key, []).append(choice)
    plans = product(*(_ways(day, choices) for choices in by_exercise.values()))
    good = (lines for lines in (tuple(x for x in plan if x) for plan in plans) if not broken(request, lines))
    return max(((reckon(request, lines).worth, lines) for lines in good), key=lambda one: one[0])


def _ways(day: int, choices: list[Choice]) -> list[PlannedLine | None]:
    ways: list[PlannedLine | None] = [
        PlannedLine(day=day, choice=choice, sets=sets)
        for choice in choices
        for sets in range(choice.sets[0], choice.sets[1] + 1)
    ]
    return ways if choices[0].exercise.role is Role.FULL_RANGE else [None, *ways]


def _broken_day(choices: tuple[Choice, ...], today: list[PlannedLine]) -> Iterator[str]:
    sore = [line for line in today if line.choice.exercise.role is Role.FULL_RANGE]
    if len(sore) != any(choice.exercise.role is Role.FULL_RANGE for choice in choices):
        yield "full range"
    if any(n > 1 for n in Counter(line.key for line in today).values()):
        yield "twice"
    most = {name: tables.value("builder", "lines", name) for name in ("session", "family", "lift")}
    if len(today) > most["session"]:
        yield "lines"
    for kind, name in (("family", lambda e: e.family), ("lift", lambda e: e.setup.lift)):
        if any(n > most[kind] for n in Counter(name(line.choice.exercise) for line in today).values()):
            yield kind
    sets: Counter[str] = Counter()
    for line in today:
        sets.update(dict.fromkeys(line.choice.exercise.trains.direct, line.sets))
        sets.update(dict.fromkeys(line.choice.exercise.trains.indirect, line.sets / 2))
    if any(n > tables.value("worth", "usual", "most_sets_a_session") for n in sets.values()):
        yield "sets a muscle"
    fit = [choice for choice in choices if hard_enough(choice)]
    families = {line.choice.exercise.family for line in sore}
    near = [choice for choice in fit if choice.exercise.family in families] or fit
    if near and not any(line.choice in near for line in today):
        yield "variation"


def hard_enough(choice: Choice) -> bool:
    """Whether a line of it counts as training around what is sore."""
    sore = choice.exercise.role is Role.VARIATION
    return (
        sore
        and choice.rpe >= tables.value("builder", "effort", "hard_enough")
        and is_training(choice.load.share)
    )


def _too_near(request: Request, asked: dict) -> bool:
    apart, hard = (tables.value("builder", "spacing", name) for name in ("days", "hard"))
    for region, allowance in request.allowances.items():
        days = [day for day, shares in asked.items() if shares[region] > hard + SLACK]
        last = [] if allowance.last_hard_day is None else [allowance.last_hard_day]
        in_order = sorted([*last, *days])
        if any(b - a < apart for a, b in pairwise(in_order)):
            return True
    return False
