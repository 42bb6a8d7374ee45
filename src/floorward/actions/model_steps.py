"""What the tolerance model makes of a step: how likely a set is too much, how far forward it would go, and why.

The rules come first: the model never passes their cap. A step forward it may shorten, down to a hold at what was just done, or lengthen
past the gym's usual step where that is hardly ever too much; a hold and a step back it may ease. A stop is the rules' alone.
It reads what was known on the morning after the training, so that nothing changes from one day to the next by itself.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal

import numpy as np

from floorward.actions.asked import Asked
from floorward.actions.exposures import Trained
from floorward.actions.reach import full_mm
from floorward.actions.tolerances import Log, asked_by, kg, name_at, setup_of
from floorward.core.days import morning_of
from floorward.core.exposures import Change, Ruling
from floorward.core.facts import facts
from floorward.core.loadable import at_or_under
from floorward.core.odds import one_in
from floorward.core.plan_change import Changed, PlannedChange
from floorward.core.protocol import Protocol
from floorward.core.steps import chance_limit, modelled_load
from floorward.core.tolerance import Tolerance, chance_unacceptable, demand_quantiles
from floorward.maths.posterior_interval import Array
from floorward.storage.models import DoneSet
from floorward.units import Unit

_BORDER = (0.05, 0.95)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """The model on one set-up.

    Attributes:
        loads: what can be loaded, ascending, in `unit`.
        chances: that a set at each of them is too much.
        limit: how likely that may be.
        name, bend: of the set-up in the log.
    """

    tolerance: Tolerance
    asked: Asked
    name: str
    bend: float
    loads: tuple[Decimal, ...]
    unit: Unit
    chances: Array
    limit: float

    def chance(self, load: Decimal) -> float:
        """That a set at `load` is too much."""
        return float(self.chances[self.loads.index(load)])

    def odds(self, load: Decimal) -> str:
        """The same as it is said: once in so many; 0 hardly, 1 more likely than not."""
        return str(one_in(self.chance(load)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """The next exposure by rules and model.

    Attributes:
        plan: no further than the rules' cap.
        limit: why it is less or more than the usual step; empty where it is what the rules lead to.
        bearable: whether a set of `plan` is likely enough to be borne.
        odds: a set of `plan` is too much about once in so many; 0 hardly, 1 more likely than not.
        ruled_odds: the same of what the rules lead to.
    """

    plan: PlannedChange
    limit: str
    bearable: bool
    odds: str
    ruled_odds: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FactRow:
    """A report that moved the estimate much, and which way.

    Attributes:
        plain: whether the way needs no explaining: up after pain within the ceiling, down after more. An easy set long ago can
            lower an estimate, by letting the healing since then look slow.
    """

    done: DoneSet
    pain: int
    full_range: bool
    raised: bool
    plain: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Says:
    """The model on a proposal, and the reports that moved it most.

    Attributes:
        low, high: where the border lies nine times in ten on this set-up, in `unit`; None under the lightest load.
    """

    odds: str
    unit: Unit
    low: Decimal | None
    high: Decimal | None
    facts: tuple[FactRow, ...]


def reading_of(
    log: Log | None, newest: Trained, loads: Sequence[Decimal], height_mm: int | None = None
) -> Reading | None:
    """The model on the set-up of `newest`, or on the same at another height; None where it knows nothing of it."""
    if log is None:
        return None
    setup = setup_of(newest.pattern)
    if height_mm is not None and height_mm != setup.height_mm:
        setup = replace(setup, height_mm=height_mm)
    name = name_at(log.episode, setup, full_mm(newest.pattern))
    asked = asked_by(log.episode, setup) if name else log.full
    if asked is None:
        return None
    tolerance = log.open_to([name]).tolerance(morning_of(newest.exposure.day))
    bend = asked.bend - log.full.bend if name else 0.0
    demands = np.asarray(asked.demands(tuple(kg(load, newest.unit) for load in loads)))
    return Reading(
        tolerance=tolerance,
        asked=asked,
        name=name,
        bend=bend,
        loads=tuple(loads),
        unit=newest.unit,
        chances=chance_unacceptable(tolerance, demands, name, bend),
        limit=limit_on(log, name, newest.exposure.day),
    )


def advice_on(
    log: Log | None,
    newest: Trained,
    loads: Sequence[Decimal],
    ruled: PlannedChange,
    ruling: Ruling,
    protocol: Protocol,
) -> Advice | None:
    """The model on what the rules lead to; None where it has no say: a stop, another variation, a lift it does not know."""
    if ruled.load is None or ruled.load not in loads or ruled.changed in {Changed.STOP, Changed.VARIATION}:
        return None
    reading = reading_of(log, newest, loads, ruled.height_mm)
    if reading is None:
        return None
    plan, limit = ruled, ""
    if ruled.changed in {Changed.LOAD, Changed.NOTHING}:
        plan, limit = _other_load(reading, newest, ruled, ruling, protocol)
    if (
        ruling.change is Change.FORWARD
        and ruled.changed is Changed.HEIGHT
        and _too_likely(reading, ruled.load)
    ):
        plan, limit = _as_it_was(newest, ruled), "model-bar"
    here = reading if plan.height_mm == ruled.height_mm else reading_of(log, newest, loads)
    if here is None or plan.load is None:
        return None
    return Advice(
        plan=plan,
        limit=limit,
        bearable=not _too_likely(here, plan.load),
        odds=here.odds(plan.load),
        ruled_odds=reading.odds(ruled.load),
    )


def says_on(log: Log | None, newest: Trained, loads: Sequence[Decimal], plan: PlannedChange) -> Says | None:
    """What stands behind `plan`: where the border lies, what the model alone would take, and the sets that moved it most."""
    if plan.load is None or plan.load not in loads or plan.changed in {Changed.STOP, Changed.VARIATION}:
        return None
    reading = reading_of(log, newest, loads, plan.height_mm)
    if reading is None:
        return None
    low, high = border(
        reading.tolerance, reading.asked, reading.name, reading.bend, reading.loads, reading.unit
    )
    return Says(
        odds=reading.odds(plan.load),
        unit=reading.unit,
        low=low,
        high=high,
        facts=facts_of(log, newest.exposure.day),
    )


def facts_of(log: Log | None, day: date) -> tuple[FactRow, ...]:
    """The three reports that moved most what is believed on the morning after `day`, the strongest first."""
    if log is None:
        return ()
    today = (morning_of(day) - log.began).days
    done = {row: one for row, one in zip(log.reports, log.sets, strict=True) if row.day <= today}
    reports = tuple(row for row in log.reports if row.day <= today)
    return tuple(
        FactRow(
            done=done[fact.report],
            pain=fact.report.pain,
            full_range=not fact.report.variation,
            raised=fact.shift > 0,
            plain=(fact.shift > 0) == (fact.report.pain <= log.priors.ceiling),
        )
        for fact in facts(reports, log.priors, today)
    )


def limit_on(log: Log, name: str, last: date) -> float:
    """How likely a set may be too much; tests of a search do not count against the lifter."""
    over = (
        log.began + timedelta(days=report.day)
        for report, row in zip(log.reports, log.sets, strict=True)
        if report.variation == name and row.kind != DoneSet.Kind.TEST
        if report.pain > log.priors.ceiling or not report.acceptable
    )
    return chance_limit(over, last)


def _other_load(
    reading: Reading, newest: Trained, ruled: PlannedChange, ruling: Ruling, protocol: Protocol
) -> tuple[PlannedChange, str]:
    """The load that the model takes of what the rules lead to, and the code of why it is another."""
    last, rules = newest.exposure.load, ruled.load
    stay = at_or_under(reading.loads, last)
    if rules is None or stay is None:
        return ruled, ""
    load = modelled_load(
        ruling,
        reading.loads,
        reading.chances,
        last=last,
        ruled=rules,
        protocol=protocol,
        limit=reading.limit,
    )
    if load == rules:
        return ruled, ""
    if load == stay:
        return replace(_as_it_was(newest, ruled), load=load), "model-holds"
    plan = replace(ruled, changed=Changed.LOAD, load=load)
    if load > rules:
        return plan, "model-further"
    return plan, "model-eases" if load > stay else "model-lighter"


def _as_it_was(newest: Trained, ruled: PlannedChange) -> PlannedChange:
    return replace(ruled, changed=Changed.NOTHING, height_mm=newest.exposure.height_mm)


def _too_likely(reading: Reading, load: Decimal) -> bool:
    return reading.chance(load) > reading.limit


def border(
    tolerance: Tolerance, asked: Asked, name: str, bend: float, loads: Sequence[Decimal], unit: Unit
) -> tuple[Decimal | None, Decimal | None]:
    """Between which of `loads` what can be borne on a set-up ends nine times in ten; None under the lightest."""
    one = kg(Decimal(1), unit)
    found = demand_quantiles(tolerance, _BORDER, name, bend)
    low, high = (Decimal(repr(round(asked.load_kg(demand) / one, 4))) for demand in found)
    return at_or_under(loads, low), at_or_under(loads, high)
