"""What the tolerance model says of a step: how likely a load is too much, which lighter one it would take, and why.

The rules come first and their load stands; what the model would take is told beside it, for the coach to choose.
It reads what was known on the morning after the training, so that nothing changes from one day to the next by itself.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

import numpy as np

from floorward.actions.asked import Asked
from floorward.actions.exposures import Trained
from floorward.actions.tolerances import Log, kg, name_of
from floorward.core.days import morning_of
from floorward.core.facts import facts
from floorward.core.loadable import at_or_under
from floorward.core.odds import one_in
from floorward.core.steps import bearable_load
from floorward.core.tolerance import Tolerance, chance_unacceptable, demand_quantiles
from floorward.storage.models import DoneSet
from floorward.units import Unit

_BORDER = (0.05, 0.95)


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelStep:
    """The model on one load of one set-up.

    Attributes:
        load: the heaviest load, up to what the rules lead to, that should be bearable.
        ruled: what the rules lead to.
        odds: at `load` a set is too much about once in so many; 0 hardly, 1 more likely than not.
        ruled_odds: the same at `ruled`.
        low, high: where the border lies nine times in ten on this set-up; None under the lightest load.
    """

    load: Decimal
    ruled: Decimal
    unit: Unit
    odds: str
    ruled_odds: str
    low: Decimal | None
    high: Decimal | None


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
    """The model on a proposal, and the reports that moved it most."""

    step: ModelStep
    facts: tuple[FactRow, ...]

    @property
    def lighter(self) -> bool:
        """Whether the model would take less than the rules lead to."""
        return self.step.load < self.step.ruled


def model_step(
    log: Log | None, newest: Trained, loads: Sequence[Decimal], ruled: Decimal
) -> ModelStep | None:
    """The model on the step from `newest` to the load `ruled`; None where it knows nothing of the lift."""
    asked = log.asked(newest.pattern) if log else None
    if log is None or asked is None or ruled not in loads:
        return None
    tolerance = log.tolerance(morning_of(newest.exposure.day))
    key, bend = _variation(log, newest, asked)
    demands = asked.demands(tuple(kg(load, newest.unit) for load in loads))
    chances = chance_unacceptable(tolerance, np.asarray(demands), key, bend)
    load = bearable_load(loads, chances, ruled, ruled)
    said = {at: str(one_in(float(chances[loads.index(at)]))) for at in (load, ruled)}
    low, high = _border(tolerance, asked, key, bend, loads, newest.unit)
    return ModelStep(
        load=load, ruled=ruled, unit=newest.unit, odds=said[load], ruled_odds=said[ruled], low=low, high=high
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


def _variation(log: Log, newest: Trained, asked: Asked) -> tuple[str, float]:
    key = name_of(log.episode, newest.pattern)
    return (key, asked.bend - log.full.bend) if key in log.priors.variations else ("", 0.0)


def _border(
    tolerance: Tolerance, asked: Asked, key: str, bend: float, loads: Sequence[Decimal], unit: Unit
) -> tuple[Decimal | None, Decimal | None]:
    one = kg(Decimal(1), unit)
    found = demand_quantiles(tolerance, _BORDER, key, bend)
    low, high = (Decimal(repr(round(asked.load_kg(demand) / one, 4))) for demand in found)
    return at_or_under(loads, low), at_or_under(loads, high)
