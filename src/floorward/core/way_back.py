"""The way back: from the set-up that is accepted today to the full lift, over what this gym can build, in near-even steps.

Every set-up is a point: what it asks of the region at one load, and how far it bends. A stage leads to another that asks as
much or more, of a lift that leads back to the goal. The cheapest way sums the squares of its steps and a charge for each and for
a change of lift, so that it neither leaps nor dawdles nor goes to and fro. A squat comes down over boxes and depths as a pull
comes down over heights. Coaches go from a trap bar on high blocks over lower ones and both handle heights to block
pulls and the floor (common practice, no source); the order here follows from the lifter's body.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from math import hypot, inf, log

from floorward import tables
from floorward.core.demand import Unreachable, demand_of
from floorward.core.lifts import catalogue
from floorward.core.records import Person, Region, SetUp

_MOMENT = float(tables.value("way_back", "step", "moment"))
_BEND_DEG = float(tables.value("way_back", "step", "bend"))
_ANOTHER = float(tables.value("way_back", "another"))
_CHANGE = float(tables.value("way_back", "change"))
_LEAST_NM = float(tables.value("way_back", "least"))
_BACKWARD = float(tables.value("way_back", "backward"))
_BACKWARD_BEND_DEG = float(tables.value("way_back", "backward_bend"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One set-up on the way.

    Attributes:
        moment_nm: what it asks of the region at the load of comparison.
        bend_deg: how far it bends there.
        share: the moment against the full lift's.
        step: how large the step from the stage before is, 1 being one usual step; 0 for the first.
    """

    setup: SetUp
    moment_nm: float
    bend_deg: float
    share: float
    step: float = 0.0


def way_back(
    person: Person, today: SetUp, goal: SetUp, options: Iterable[SetUp], load_kg: float, region: Region
) -> tuple[Stage, ...]:
    """The stages from `today` to `goal`, both included.

    Args:
        person: the lifter.
        today: the set-up that is accepted now.
        goal: the full lift.
        options: what this gym can build; other families, lifts that are harder to learn than both ends, and what cannot
            be reached are passed over.
        load_kg: the load at which all are compared, such as today's.
        region: the sore one.

    Returns:
        the stages in order; empty where today's set-up or the goal is not modelled or not reached.
    """
    ends = {stage.setup: stage for stage in _stages(person, (today, goal), goal, load_kg, region)}
    if today not in ends or goal not in ends:
        return ()
    if today == goal:
        return (ends[goal],)
    hardest = max(catalogue()[one.lift].learning for one in (today, goal))
    between = [
        stage
        for stage in _stages(person, options, goal, load_kg, region)
        if stage.setup not in {today, goal} and catalogue()[stage.setup.lift].learning <= hardest
    ]
    return _cheapest(ends[today], sorted(between, key=_progress), ends[goal])


def leads_to(lift: str, goal: str) -> bool:
    """Whether a lift is the goal or leads back to it, directly or over others."""
    seen: set[str] = set()
    while lift and lift not in seen:
        if lift == goal:
            return True
        seen.add(lift)
        lift = catalogue()[lift].leads_back_to
    return False


def step_size(one: Stage, other: Stage) -> float:
    """How large a step is, counted in usual steps of moment and bend together; asking less is no step."""
    return size_of(other.moment_nm / one.moment_nm, other.bend_deg - one.bend_deg)


def size_of(moment_ratio: float, further_deg: float) -> float:
    """The size of a step that asks so many times as much and bends so much further; a usual step is 1."""
    moment = max(log(moment_ratio), 0.0) / _MOMENT
    bend = max(further_deg, 0.0) / _BEND_DEG
    return hypot(moment, bend)


def _stages(
    person: Person, setups: Iterable[SetUp], goal: SetUp, load_kg: float, region: Region
) -> Iterable[Stage]:
    full = _asked(person, goal, load_kg, region)
    family = catalogue()[goal.lift].family
    for setup in dict.fromkeys(setups):
        lift = catalogue()[setup.lift]
        asked = _asked(person, setup, load_kg, region) if lift.family == family else None
        if full and asked:
            yield Stage(setup=setup, moment_nm=asked[0], bend_deg=asked[1], share=asked[0] / full[0])


def _asked(person: Person, setup: SetUp, load_kg: float, region: Region) -> tuple[float, float] | None:
    """Moment and bend of a set-up; None where it is not modelled or not reached."""
    if not catalogue()[setup.lift].modelled:
        return None
    found = demand_of(person, setup, load_kg)
    if isinstance(found, Unreachable) or region not in found.regions:
        return None
    asked = found.regions[region]
    return max(asked.moment_nm, _LEAST_NM), asked.bend_deg


def _progress(stage: Stage) -> float:
    """Where a stage stands between easy and full; a step forward raises it."""
    return log(stage.moment_nm) / _MOMENT + stage.bend_deg / _BEND_DEG


def _cheapest(first: Stage, between: list[Stage], last: Stage) -> tuple[Stage, ...]:
    """The way of least cost; stages stand in order of progress, so each is settled once."""
    stages = [first, *between, last]
    cost = [0.0] + [inf] * (len(stages) - 1)
    before = [0] * len(stages)
    for here in range(1, len(stages)):
        for back in range(here):
            if cost[back] < inf and _allowed(stages[back], stages[here], last, direct=back == 0):
                price = cost[back] + _price(stages[back], stages[here])
                if price < cost[here]:
                    cost[here], before[here] = price, back
    chosen = [len(stages) - 1]
    while chosen[-1] != 0:
        chosen.append(before[chosen[-1]])
    return _with_steps([stages[i] for i in reversed(chosen)])


def _price(one: Stage, other: Stage) -> float:
    changes = one.setup.lift != other.setup.lift
    return step_size(one, other) ** 2 + _ANOTHER + (_CHANGE if changes else 0.0)


def _allowed(one: Stage, other: Stage, last: Stage, *, direct: bool) -> bool:
    """A step asks as much or more, bends as far or further, and stays on the lifts that lead to the goal."""
    if other is last and direct:
        return True  # there is always the step straight to the full lift, however large
    if not leads_to(other.setup.lift, last.setup.lift):
        return False
    forward = log(other.moment_nm / one.moment_nm) >= -_BACKWARD
    deeper = other.bend_deg - one.bend_deg >= -_BACKWARD_BEND_DEG
    return forward and deeper


def _with_steps(stages: list[Stage]) -> tuple[Stage, ...]:
    sizes = [0.0] + [step_size(one, other) for one, other in pairwise(stages)]
    return tuple(
        Stage(
            setup=stage.setup,
            moment_nm=stage.moment_nm,
            bend_deg=stage.bend_deg,
            share=stage.share,
            step=size,
        )
        for stage, size in zip(stages, sizes, strict=True)
    )
