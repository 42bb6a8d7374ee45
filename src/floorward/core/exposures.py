"""Exposures of the sore lift, the ruling on them, and what can be read off a row of exposures.

An exposure is one day's training of the sore lift on one set-up. B is its baseline, D the worst pain during, A the pain
within the hour after, M the next morning. A score that was not asked never counts as good.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum
from typing import Any

from floorward.core.pain import baseline
from floorward.core.protocol import SHIPPED, Protocol


class Change(StrEnum):
    """Which way the next session goes."""

    FORWARD = "forward"
    HOLD = "hold"
    BACK = "back"
    STOP = "stop"


class StepSize(StrEnum):
    """How far: nothing, the smallest step that can be loaded, the gym's usual step, one rung, or the large step back."""

    STAY = "stay"
    SMALLEST = "smallest"
    USUAL = "usual"
    RUNG = "rung"
    LARGE = "large"


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposure:
    """One day's training of the sore lift on one set-up, as it was done.

    Attributes:
        load: of the work sets, in the lifter's unit.
        setup: key of the set-up; exposures of one key are comparable.
        reps: fewest repetitions done in any work set.
        rpe: hardest work set; None when not asked.
        before: pain before the warm-up; None when not asked.
        during: worst pain of any set (D).
        after: pain within the hour after (A); None when not asked.
        morning: pain the next morning (M); None while not answered.
        acceptable: whether the lifter called all of it acceptable.
        spreading: whether symptoms moved further down the limb, or numbness or weakness was new.
        morning_of_day: pain on the morning of the training day; None when not answered.
    """

    day: date
    load: Decimal
    setup: str = "deadlift"
    height_mm: int = 0
    sets: int = 3
    reps: int
    target_reps: int
    rpe: float | None = None
    before: int | None = None
    during: int
    after: int | None = None
    morning: int | None = None
    acceptable: bool = True
    spreading: bool = False
    morning_of_day: int | None = None

    @property
    def baseline(self) -> int | None:
        """What its next morning is compared with (B)."""
        return baseline(self.before, self.morning_of_day)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruling:
    """What the rules say about the next session.

    Attributes:
        code: the rule that decided: R0 to R8, E1, E2, or none.
        cap_percent: the most that any other adviser may add to the load.
        overridable: whether the coach may choose otherwise.
        refer: whether someone should be booked to look at it.
        numbers: what the rule read.
    """

    code: str
    change: Change
    step: StepSize = StepSize.STAY
    cap_percent: Decimal = Decimal(0)
    overridable: bool = True
    refer: bool = False
    numbers: Mapping[str, Any] = field(default_factory=dict, hash=False)


def settled(exposure: Exposure, protocol: Protocol = SHIPPED) -> bool:
    """Whether pain stayed in bounds and the next morning was no worse than the baseline; what was not asked is not settled."""
    in_bounds = exposure.acceptable and not exposure.spreading and exposure.during <= protocol.ceiling_set
    after_in_bounds = exposure.after is not None and exposure.after <= protocol.after_max
    return in_bounds and after_in_bounds and morning_change(exposure, 99) <= 0


def settled_in_row(exposures: Sequence[Exposure], protocol: Protocol = SHIPPED) -> int:
    """How many of the last exposures in a row settled at the present load, set-up and height."""
    return in_row(exposures, lambda exposure: settled(exposure, protocol))


def in_row(exposures: Sequence[Exposure], holds: Callable[[Exposure], bool]) -> int:
    """How many of the last exposures in a row, all at the last one's load, set-up and height, pass `holds`."""
    count = 0
    for exposure in reversed(exposures):
        if _place(exposure) != _place(exposures[-1]) or not holds(exposure):
            break
        count += 1
    return count


def morning_change(exposure: Exposure, unknown: int) -> int:
    """Morning after less baseline [points]; `unknown` while either is missing."""
    if exposure.morning is None or exposure.baseline is None:
        return unknown
    return exposure.morning - exposure.baseline


def scores(exposure: Exposure) -> dict[str, Any]:
    """The four scores of an exposure by their letters."""
    return {"B": exposure.baseline, "D": exposure.during, "A": exposure.after, "M": exposure.morning}


def target_met(exposure: Exposure) -> bool:
    """Whether every work set had the repetitions planned."""
    return exposure.reps >= exposure.target_reps


def known_mornings(exposures: Sequence[Exposure], mornings: Mapping[date, int]) -> dict[date, int]:
    """All morning answers by day: those of the exposures, and `mornings`, which win."""
    after = {e.day + timedelta(days=1): e.morning for e in exposures if e.morning is not None}
    on_day = {e.day: e.morning_of_day for e in exposures if e.morning_of_day is not None}
    return {**after, **on_day, **mornings}


def _place(exposure: Exposure) -> tuple[Decimal, str, int]:
    return exposure.load, exposure.setup, exposure.height_mm
