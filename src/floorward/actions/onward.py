"""A step to another set-up on the way back, where load, height and sets leave none that is as even: rows in, `core/even_steps` out.

Only while nothing is accepted on the painful lift in full. What is trained now stays as it is; the other set-up comes in beside it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from floorward.actions.asked import Asked
from floorward.actions.buildable import Built, all_built
from floorward.actions.exposures import Trained
from floorward.actions.histories import History
from floorward.actions.model_steps import Says, border, facts_of, limit_on
from floorward.actions.reach import full_mm
from floorward.actions.rigging import Rig, Stock, loads_of, rig
from floorward.actions.tolerances import Log, asked_by, kg, name_at, setup_of
from floorward.core.days import morning_of
from floorward.core.even_steps import OtherSetUp, Turn, evenest_turn, is_evener, may_turn
from floorward.core.exercises import key_of
from floorward.core.exposures import Ruling
from floorward.core.lifts import Family, catalogue
from floorward.core.odds import one_in
from floorward.core.plan_change import Changed, PlannedChange, sets_step
from floorward.core.records import FULL_HEIGHT_MM, SetUp
from floorward.core.tolerance import Tolerance
from floorward.core.tolerance_log import FOLDED_DEG
from floorward.core.way_back import leads_to, size_of
from floorward.tables import value
from floorward.units import Unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Onward:
    """A step to another set-up, as this gym builds it.

    Attributes:
        loads: what can be loaded there, ascending, in the unit of its bar.
        odds: a set there is too much about once in so many; 0 hardly, 1 more likely than not.
    """

    built: Built
    asked: Asked
    loads: tuple[Decimal, ...]
    turn: Turn
    tolerance: Tolerance

    @property
    def load(self) -> Decimal:
        """The first load there."""
        return self.turn.load

    @property
    def unit(self) -> Unit:
        """Of the load."""
        return Unit(self.built.bar.unit)

    @property
    def odds(self) -> str:
        """How often a set there should be too much, as it is said."""
        return str(one_in(self.turn.chance))

    def rig(self, stock: Stock) -> Rig:
        """What goes on the bar and under it."""
        setup = self.built.setup
        return rig(stock, self.built.bar, None, self.load, lift=setup.lift, height_mm=setup.height_mm)


def onward_from(
    history: History,
    log: Log | None,
    newest: Trained,
    stock: Stock,
    ruling: Ruling,
    plan: PlannedChange,
    settled: int,
) -> Onward | None:
    """The step to another set-up that is evener than `plan`; None where there is none, or the rules leave none open."""
    here, setup = newest.pattern, setup_of(newest.pattern)
    if log is None or plan.load is None or not may_turn(ruling, settled) or _is_back(history):
        return None
    name, asked = name_at(log.episode, setup, full_mm(here)), asked_by(log.episode, setup)
    if not name or asked is None:
        return None
    found = {key_of(built.setup): (built, there) for built, there in _further(log, setup, asked, stock)}
    if not found:
        return None
    tolerance = log.open_to([*found, name]).tolerance(morning_of(newest.exposure.day))
    turn = evenest_turn(
        [_other(log, newest, key, built, there, stock) for key, (built, there) in found.items()],
        tolerance,
        asked=asked.demand(kg(here.load, here.unit)),
        bend=asked.bend - log.full.bend,
        cap_percent=ruling.cap_percent,
    )
    if turn is None or not is_evener(turn, _size_left(log, newest, asked, plan)):
        return None
    built, there = found[turn.to.name]
    return Onward(
        built=built, asked=there, loads=loads_of(stock, built.bar, None), turn=turn, tolerance=tolerance
    )


def says_onward(log: Log, newest: Trained, onward: Onward) -> Says:
    """The model on the other set-up, and the sets that moved it most."""
    to = onward.turn.to
    low, high = border(onward.tolerance, onward.asked, to.name, to.bend, onward.loads, onward.unit)
    return Says(
        odds=onward.odds, unit=onward.unit, low=low, high=high, facts=facts_of(log, newest.exposure.day)
    )


def _is_back(history: History) -> bool:
    """Whether the painful lift is accepted in full: it was trained so, or a search found a load there."""
    lift, episode = history.episode.lift, history.episode
    if lift not in catalogue():
        return True
    full = max(int(catalogue()[lift].default_height_mm), FULL_HEIGHT_MM)
    near = full + value("ladder", "height", "resolution")
    trained = (row.pattern for row in history.of(lift))
    return any(not name_at(episode, setup_of(row), full_mm(row)) for row in trained) or any(
        one == lift and height_mm <= near for one, height_mm in history.accepted
    )


def _further(log: Log, here: SetUp, asked: Asked, stock: Stock) -> Iterator[tuple[Built, Asked]]:
    """Set-ups that lead back to the painful lift, bend no further than it, and are not too far from the present one to be a step."""
    goal, now = catalogue()[log.episode.lift], catalogue()[here.lift]
    over = {
        here.lift,
        goal.key,
        *value("comparison", "way_pull" if goal.family is Family.PULL else "way_squat"),
    }
    most_deg = value("comparison", "large_step") * value("way_back", "step", "bend")
    for built in all_built(log.episode.lifter, stock):
        lift = catalogue()[built.setup.lift]
        if lift.key not in over or not leads_to(lift.key, goal.key):
            continue
        if lift.learning > max(goal.learning, now.learning) or lift.family is not now.family:
            continue
        if lift.key == here.lift and built.stand is not None:
            continue  # another height of the same lift is a step of its own
        there = asked_by(log.episode, built.setup)
        if there is None or there.bend > log.full.bend:
            continue
        if built.setup != here and (there.bend - asked.bend) * FOLDED_DEG < most_deg:
            yield built, there


def _other(log: Log, newest: Trained, name: str, built: Built, there: Asked, stock: Stock) -> OtherSetUp:
    most, day = kg(newest.pattern.load, newest.pattern.unit), newest.exposure.day
    unit = built.bar.unit
    loads = tuple(load for load in loads_of(stock, built.bar, None) if kg(load, unit) <= most)
    here = name_at(log.episode, setup_of(newest.pattern), full_mm(newest.pattern))
    return OtherSetUp(
        name=name,
        loads=loads,
        demands=there.demands(tuple(kg(load, unit) for load in loads)),
        bend=there.bend - log.full.bend,
        limit=min(limit_on(log, name, day), limit_on(log, here, day)),
        known=any(report.variation == name for report in log.reports),
        another_lift=built.setup.lift != newest.lift,
    )


def _size_left(log: Log, newest: Trained, asked: Asked, plan: PlannedChange) -> float:
    """How large the step is that load, height or sets leave; 0 where nothing moves."""
    if plan.changed is Changed.SETS:
        return sets_step(newest.exposure.sets)
    if plan.load is None or plan.changed not in {Changed.LOAD, Changed.HEIGHT}:
        return 0.0
    setup = setup_of(newest.pattern)
    if plan.changed is Changed.HEIGHT:
        setup = SetUp(lift=setup.lift, height_mm=plan.height_mm or 0)
    there = asked_by(log.episode, setup) or asked
    ratio = there.demand(kg(plan.load, newest.unit)) / asked.demand(kg(newest.exposure.load, newest.unit))
    return size_of(ratio, (there.bend - asked.bend) * FOLDED_DEG)
