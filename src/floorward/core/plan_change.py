"""From a ruling to iron and wood: the next load, the next height, or a set more, and one of them at a time.

Loads are plain ascending sequences in one unit, heights ascending millimetres that can be built; both come from the gym's
equipment, so that what is proposed can be loaded and built.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from math import inf, log

from floorward.core.exposures import Change, Exposure, Ruling, StepSize
from floorward.core.findings import Finding, Weight
from floorward.core.loadable import at_or_under, next_above, rung_below
from floorward.core.protocol import SHIPPED, Protocol
from floorward.tables import value


class Changed(StrEnum):
    """The one thing that changes; `variation` when load and height have nothing easier left."""

    NOTHING = "nothing"
    LOAD = "load"
    HEIGHT = "height"
    SETS = "sets"
    VARIATION = "variation"
    STOP = "stop"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedChange:
    """The next exposure; load and height are None when the lift stops.

    Attributes:
        sets: work sets, where these are what changes; 0 leaves them as they are.
    """

    changed: Changed
    load: Decimal | None
    height_mm: int | None
    sets: int = 0


def next_load(
    ruling: Ruling,
    current: Decimal,
    loads: Sequence[Decimal],
    protocol: Protocol = SHIPPED,
    settled_in_row: int = 0,
) -> Decimal | None:
    """The load that `ruling` leads to.

    Args:
        ruling: what the rules said.
        current: the load of the exposure that was ruled on.
        loads: what can be loaded, ascending.
        protocol: the gym's step sizes.
        settled_in_row: how many exposures in a row settled at the current load.

    Returns:
        One of `loads`: above `current` only for a step forward, under it for a step back unless it is the lightest;
        None when the lift stops, or when nothing as light as `current` can be loaded any more.
    """
    stay = at_or_under(loads, current)
    if ruling.change is Change.STOP or stay is None:
        return None
    if ruling.change is Change.BACK:
        return rung_below(loads, current, _back_percent(ruling, protocol))
    return _forward(ruling, current, loads, protocol, settled_in_row) or stay


def next_height(
    ruling: Ruling, current_mm: int, heights_mm: Sequence[int], settled_in_row: int = 0
) -> int | None:
    """The height that `ruling` leads to while no load is accepted at full range: at equal load, lower after two that settled.

    Returns:
        The next lower of `heights_mm` (ascending), or `current_mm`; None when the lift stops. A step back changes the load,
        so the height stays.
    """
    if ruling.change is Change.STOP:
        return None
    lower = [height for height in heights_mm if height < current_mm]
    ready = ruling.change is Change.FORWARD and settled_in_row >= value("rules", "large_step", "exposures")
    return lower[-1] if lower and ready else current_mm


def plan_change(
    ruling: Ruling,
    *,
    load: Decimal,
    height_mm: int,
    loads: Sequence[Decimal],
    heights_mm: Sequence[int] = (),
    full_range_accepted: bool = True,
    protocol: Protocol = SHIPPED,
    settled_in_row: int = 0,
) -> PlannedChange:
    """The next exposure after one at `load` and `height_mm`.

    A step forward adds load when a load is accepted at full range, else it lowers the bar. A step back takes load off; at
    the lightest load it raises the bar to the next of `heights_mm`; with no higher one left, another variation is due.
    """
    lighter = next_load(ruling, load, loads, protocol, settled_in_row)
    if lighter is None:
        return PlannedChange(changed=Changed.STOP, load=None, height_mm=None)
    if ruling.change is Change.FORWARD and not full_range_accepted:
        return _to(
            load, height_mm, load, next_height(ruling, height_mm, heights_mm, settled_in_row) or height_mm
        )
    if ruling.change is Change.BACK and lighter >= load:
        return _easier_height(load, height_mm, heights_mm)
    return _to(load, height_mm, lighter, height_mm)


def sets_step(sets: int) -> float:
    """How large a step one set more is after `sets` of them, on the scale on which a usual step of load, range or variation is 1.

    Half as many sets again count as a usual step, as 10 % of demand or 15° of bend do.
    """
    return log((sets + 1) / sets) / log(1 + value("rules", "sets", "step")) if sets > 0 else inf


def further_set(
    ruling: Ruling, ruled: PlannedChange, planned: PlannedChange, *, sets: int, settled_in_row: int
) -> PlannedChange:
    """A set more at the same load and height where the rules say forward and neither of the two moves.

    Only after little pain (not where the smallest step is taken after more of it), only while it is no larger than a usual step, and
    only up to a few sets; else `planned` as it is.

    Args:
        ruling: what the rules said.
        ruled: what that leads to by iron and wood alone. Where it moves, and another adviser keeps it from moving, a second settled
            exposure is waited for.
        planned: the plan so far.
        sets: work sets done.
        settled_in_row: how many exposures in a row settled at the present load.
    """
    quiet = ruling.change is Change.FORWARD and ruling.step is StepSize.USUAL
    fits = sets < value("rules", "sets", "most") and sets_step(sets) <= 1.0
    stuck = ruled.changed is Changed.NOTHING or settled_in_row >= value("rules", "large_step", "exposures")
    if planned.changed is not Changed.NOTHING or not (quiet and fits and stuck):
        return planned
    return replace(planned, changed=Changed.SETS, sets=sets + 1)


def override_findings(
    ruling: Ruling,
    last: Exposure,
    chosen: Decimal,
    loads: Sequence[Decimal],
    *,
    protocol: Protocol = SHIPPED,
    settled_in_row: int = 0,
) -> tuple[Finding, ...]:
    """What forbids that the coach trains `chosen` next instead of what `ruling` says; empty when it is allowed.

    A stop stands, and after a ruling that can't be overridden nothing heavier than ruled. Anything heavier than last time needs the lifter's morning answer and is one step at most.
    """
    ruled = next_load(ruling, last.load, loads, protocol, settled_in_row)
    if not ruling.overridable and (ruled is None or chosen > ruled):
        return (_refuse("not-overridable", {"rule": ruling.code}),)
    if chosen not in loads:
        return (_refuse("not-loadable", {"load": chosen}),)
    if chosen <= last.load:
        return ()
    if last.morning is None:
        return (_refuse("forward-needs-morning", {}),)
    step = Ruling(code="R8", change=Change.FORWARD, step=StepSize.USUAL)
    most = next_load(step, last.load, loads, protocol, settled_in_row) or last.load
    return (_refuse("forward-one-step", {"most": most}),) if chosen > most else ()


def _refuse(code: str, numbers: dict[str, object]) -> Finding:
    return Finding(code=code, field="load", weight=Weight.REFUSE, numbers=numbers)


def _back_percent(ruling: Ruling, protocol: Protocol) -> Decimal:
    if ruling.step is not StepSize.LARGE:
        return protocol.rung_percent
    return max(protocol.rung_percent, Decimal(value("rules", "E1", "percent")))


def _forward(
    ruling: Ruling, current: Decimal, loads: Sequence[Decimal], protocol: Protocol, settled_in_row: int
) -> Decimal | None:
    """The usual step rounded down, at least the smallest; None when that is too large for now, or there is none."""
    smallest = next_above(loads, current)
    if ruling.change is not Change.FORWARD or smallest is None:
        return None
    patient = settled_in_row >= value("rules", "large_step", "exposures")
    if smallest > current * (100 + Decimal(value("rules", "R8", "cap_percent"))) / 100 and not patient:
        return None
    if ruling.step is StepSize.SMALLEST:
        return smallest
    return max(smallest, at_or_under(loads, current * (100 + protocol.forward_percent) / 100) or smallest)


def _easier_height(load: Decimal, height_mm: int, heights_mm: Sequence[int]) -> PlannedChange:
    higher = [height for height in heights_mm if height > height_mm]
    if not higher:
        return PlannedChange(changed=Changed.VARIATION, load=load, height_mm=height_mm)
    return PlannedChange(changed=Changed.HEIGHT, load=load, height_mm=higher[0])


def _to(load: Decimal, height_mm: int, new_load: Decimal, new_height_mm: int) -> PlannedChange:
    if new_height_mm != height_mm:
        return PlannedChange(changed=Changed.HEIGHT, load=new_load, height_mm=new_height_mm)
    changed = Changed.NOTHING if new_load == load else Changed.LOAD
    return PlannedChange(changed=changed, load=new_load, height_mm=height_mm)
