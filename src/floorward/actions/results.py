"""How a search ended: the load that was found, what training starts at, and what to do when a set there hurts too much."""

from dataclasses import dataclass
from decimal import Decimal

from floorward.actions.finding import (
    Accepted,
    DoneTest,
    accepted_at,
    done_tests,
    record_of,
    rig_at,
    tries_after,
    unit_of,
)
from floorward.actions.model_search import Known, known_of, step_of
from floorward.actions.probes import Try
from floorward.actions.rigging import Rig, loads_of, stock_of
from floorward.actions.why import why
from floorward.core import ladder
from floorward.core.findings import Finding
from floorward.core.ladder import FirstDay, Step
from floorward.core.loadable import rung_below
from floorward.storage.models import Search

_FAILED_IN_FULL = frozenset({"lowest-height", "no-height", "lightest-unacceptable"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """How a search ended and why.

    Attributes:
        first_day: the most that the first training day may hold.
        rung_down: what to take for the rest of the day when a set at the training load hurts too much.
        known: what the model makes of the tests, whichever way they were chosen; None without any.
        tries: where no load was accepted in full, the set-ups that tell most, first the one to try.
    """

    row: Search
    step: Step
    why: Finding
    accepted: Accepted | None
    accepted_rig: Rig | None
    training_rig: Rig | None
    first_day: FirstDay | None
    rung_down: Decimal | None
    tests: tuple[DoneTest, ...]
    limit: int
    known: Known | None = None
    tries: tuple[Try, ...] = ()


def result_of(row: Search) -> Result:
    """How a search ended, with the plates and heights that follow from it."""
    gym = row.session.lifter.gym
    stock = stock_of(gym)
    record = record_of(row, stock)
    step = step_of(row, record)
    accepted = accepted_at(row, record, step)
    return Result(
        row=row,
        step=step,
        why=why(record, step, unit_of(row)),
        accepted=accepted,
        accepted_rig=rig_at(row, stock, accepted.load, accepted.height_mm)[0] if accepted else None,
        training_rig=rig_at(row, stock, accepted.training_load, accepted.height_mm)[0] if accepted else None,
        first_day=ladder.first_day_limits(accepted.reps) if accepted else None,
        rung_down=_rung_down(record, accepted.training_load) if accepted else None,
        tests=done_tests(row, record),
        limit=gym.ceiling_set,
        known=known_of(row, record) if done_tests(row, record) else None,
        tries=tries_after(row, stock) if step.reason in _FAILED_IN_FULL else (),
    )


def one_rung_down_now(row: Search, load: Decimal, pain: int) -> Decimal | None:
    """The load for the rest of today after a training set at `load` hurt `pain`; None when that was within the limit."""
    gym = row.session.lifter.gym
    loads = loads_of(stock_of(gym), row.bar, row.collar)
    return ladder.one_rung_down_now(loads, load, pain, gym.ceiling_set, Decimal(gym.rung_percent))


def _rung_down(record: ladder.Search, load: Decimal) -> Decimal | None:
    lower = rung_below(record.loads, load, record.rung_percent)
    return lower if lower < load else None
