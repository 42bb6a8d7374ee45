"""How much a sore region may be asked in a day and in a week, from what it was asked before and how that settled.

Work is moment times repetitions, summed over sets: crude, but the same measure on both sides of the comparison. It may grow by the
protocol's step over the most that settled, and falls by a rung after a day that did not.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from floorward.core.protocol import SHIPPED, Protocol
from floorward.core.session_request import Allowance
from floorward.errors import ContractError
from floorward.tables import value

_WEEK = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkDay:
    """What one day asked of the region [N·m times repetitions], and whether pain and morning stayed in bounds."""

    day: int
    asked: float
    settled: bool


def allowance(
    days: Sequence[WorkDay], *, today: int, week_began: int, protocol: Protocol = SHIPPED
) -> Allowance | None:
    """What today and the rest of this week may ask, or None while no remembered day has settled.

    Args:
        days: before today, ascending.
        today: on the count of the days.
        week_began: first day of this week.
        protocol: the gym's step forward and rung.
    """
    known = [one for one in days if today - one.day <= value("builder", "allowance", "remembered")]
    settled = [one for one in known if one.settled and one.asked > 0]
    if not settled:
        return None
    change, ceiling = _change(known, protocol)
    day = min(max(one.asked for one in settled), ceiling) * change
    week = max(_most_in_a_week(settled) * change, day)
    this_week = sum(one.asked for one in known if one.day >= week_began)
    easy = day * value("builder", "spacing", "hard")
    return Allowance(
        day=day,
        week=max(week - this_week, 0.0),
        last_hard_day=max((one.day for one in known if one.asked > easy), default=None),
    )


def first_allowance(moment_nm: float, sessions: int = 1) -> Allowance:
    """What the first days may ask, when only a load was found: twice the full-range work of a first day at that load.

    Args:
        moment_nm: what one repetition at the accepted load asks.
        sessions: that are planned together.

    Raises:
        ContractError: if nothing is asked or planned.
    """
    if moment_nm <= 0 or sessions < 1:
        raise ContractError("an allowance needs a moment and a session")
    work = value("session", "full_range", "sets") * value("session", "full_range", "reps") * moment_nm
    day = value("builder", "allowance", "first_day") * work
    return Allowance(day=day, week=day * sessions)


def _change(known: Sequence[WorkDay], protocol: Protocol) -> tuple[float, float]:
    """The factor on what was settled, and what it may not exceed before: the last day itself where that did not settle."""
    last = known[-1]
    if last.settled:
        return 1 + float(protocol.forward_percent) / 100, inf
    return 1 - float(protocol.rung_percent) / 100, last.asked


def _most_in_a_week(days: Sequence[WorkDay]) -> float:
    """The most that any seven days in a row asked."""
    return max(sum(one.asked for one in days if first.day <= one.day < first.day + _WEEK) for first in days)
