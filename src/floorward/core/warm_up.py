"""Warm-up sets: a few light sets on the way to the work load, each one loadable and lighter than the work.

Warm-ups are not tests: what they hurt is written down, and nothing is found from it. Shares and repetitions stand in
tables/warm_up.toml.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from floorward.core.loadable import at_or_under
from floorward.tables import value


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmUp:
    """One set before the work; `load` in the unit of the bar."""

    load: Decimal
    reps: int


def warm_ups(
    loads: Sequence[Decimal], work_load: Decimal, done_today: Decimal = Decimal()
) -> tuple[WarmUp, ...]:
    """The warm-up sets before work at `work_load`, lightest first; none before work at the lightest load.

    Args:
        loads: what can be loaded, ascending.
        work_load: of the first work set.
        done_today: the heaviest load of this lift already done today: what is not heavier needs no warm-up.
    """
    gap = work_load * Decimal(str(value("warm_up", "least_gap")))
    sets: list[WarmUp] = []
    for share, reps in zip(value("warm_up", "shares"), value("warm_up", "reps"), strict=True):
        load = at_or_under(loads, max(work_load * Decimal(str(share)), loads[0])) if loads else None
        last = sets[-1].load if sets else None
        if (
            load is None
            or load <= done_today
            or work_load - load < gap
            or (last is not None and load - last < gap)
        ):
            continue
        sets.append(WarmUp(load=load, reps=reps))
    return tuple(sets)
