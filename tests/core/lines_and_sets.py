"""A session of one day as another programme: for each choice whether it is there and, apart from that, how many sets it has.

Written without `session_programme`: two variables a choice instead of one for each number of sets, and credit that is nowhere cut off.
So it stands against how that programme is put, as the second solver stands against its solver.
"""

from collections import defaultdict

from floorward import tables
from floorward.core.choices import choices_of
from floorward.core.exercises import Role
from floorward.core.reckoning import PlannedLine, steps
from floorward.core.session_request import Request
from floorward.maths.integer_programme import Programme, Variable
from tests.core.by_hand import hard_enough


def lines_and_sets(request: Request) -> Programme:
    """Without pins and without a hard day before."""
    (day,) = request.days
    found, programme = choices_of(request)[0], Programme()
    rows = [(choice, programme.choice(), programme.count(0, choice.sets[1])) for choice in found]
    groups: dict[tuple[str, str], dict[Variable, float]] = defaultdict(dict)
    muscles: dict[str, dict[Variable, float]] = defaultdict(dict)
    earned: dict[str, dict[Variable, float]] = defaultdict(dict)
    asked: dict[str, dict[Variable, float]] = defaultdict(dict)
    minutes: dict[Variable, float] = {}
    for choice, there, sets in rows:
        programme.at_least({sets: 1.0, there: -choice.sets[0]}, 0.0)
        programme.at_most({sets: 1.0, there: -choice.sets[1]}, 0.0)
        exercise = choice.exercise
        names = ("key", exercise.key), ("lift", exercise.setup.lift), ("family", exercise.family)
        for name in (*names, ("session", "")):
            groups[name][there] = 1.0
        muscles_of = exercise.trains
        muscles |= {name: {**muscles[name], sets: 1.0} for name in muscles_of.direct}
        muscles |= {name: {**muscles[name], sets: 0.5} for name in muscles_of.indirect}
        for name, amount in choice.credits.items():
            earned[name][sets] = amount
        for region, amount in choice.asks.items():
            asked[region][sets] = amount
        minutes |= {there: choice.line_minutes, sets: choice.set_minutes}
        empty, one = (PlannedLine(day=day.day, choice=choice, sets=n).charge for n in (0, 1))
        programme.reward(there, -empty)
        programme.reward(sets, empty - one)
    for (kind, _), terms in groups.items():
        programme.at_most(terms, 1 if kind == "key" else tables.value("builder", "lines", kind))
    for terms in muscles.values():
        programme.at_most(terms, tables.value("worth", "usual", "most_sets_a_session"))
    for region, allowance in request.allowances.items():
        programme.at_most(asked[region], min(allowance.day, allowance.week))
    programme.at_most(minutes, day.minutes - tables.value("builder", "time", "general_warm_up"))
    sore = {there: 1.0 for choice, there, _ in rows if choice.exercise.role is Role.FULL_RANGE}
    programme.exactly(sore, 1.0)
    families = {choice.exercise.family for choice in found if choice.exercise.role is Role.FULL_RANGE}
    fit = [(choice.exercise.family, there) for choice, there, _ in rows if hard_enough(choice)]
    near = [there for family, there in fit if family in families] or [there for _, there in fit]
    programme.at_least(dict.fromkeys(near, 1.0), 1.0 if near else 0.0)
    for yardstick in request.yardsticks:
        taken: dict[Variable, float] = {}
        for _, length, slope in steps(request, yardstick):
            stretch = programme.amount(0.0, length)
            programme.reward(stretch, yardstick.weight * slope)
            taken[stretch] = -1.0
        programme.at_least({**earned[yardstick.name], **taken}, 0.0)
    return programme
