"""A change of set-up as a step forward, weighed against the step that is left on the present one: the evener is taken.

Load, height, sets and set-up are measured on one scale, on which a usual step is 1: 10 % of demand and 15° of bend together, half as
many sets again. A lift that still moves by no more than a usual step is not changed. Where it does not, the step nearest to a usual
one is taken; a change of lift costs something beside, as on the way back (`way_back`).
The rules come first: a change of set-up is looked at only where they say forward after little pain, and after a second settled
exposure; then it asks no more than they allow, is no large step, and no likelier to be too much than any other.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from floorward.core.belief import setting
from floorward.core.exposures import Change, Ruling, StepSize
from floorward.core.tolerance import Tolerance, chance_unacceptable
from floorward.core.tolerance_log import FOLDED_DEG
from floorward.core.way_back import size_of
from floorward.tables import value


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherSetUp:
    """A set-up of the same family further on the way back.

    Attributes:
        name: among the variations of the tolerance.
        loads: what may be proposed there, ascending, in one unit; none heavier than what is done now.
        demands: what each asks.
        bend: how much more it bends than the painful lift, as in `Report`.
        limit: how likely a set there may be to hurt more than the ceiling; less while one that did is not long past.
        known: whether it was done in this episode.
        another_lift: whether it is another lift, and not the same one to another box or depth.
    """

    name: str
    loads: tuple[Decimal, ...]
    demands: tuple[float, ...]
    bend: float
    limit: float
    known: bool = False
    another_lift: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """A step to another set-up.

    Attributes:
        size: on the scale on which a usual step is 1.
        chance: that a set there hurts more than the ceiling, with what is not known of the set-up in it.
    """

    to: OtherSetUp
    load: Decimal
    size: float
    chance: float


def may_turn(ruling: Ruling, settled_in_row: int) -> bool:
    """Whether the rules leave a change of set-up open: forward after little pain, settled a second time."""
    quiet = ruling.change is Change.FORWARD and ruling.step is StepSize.USUAL
    return bool(quiet and settled_in_row >= value("rules", "large_step", "exposures"))


def evenest_turn(
    others: Iterable[OtherSetUp],
    tolerance: Tolerance,
    *,
    asked: float,
    bend: float,
    cap_percent: Decimal,
) -> Turn | None:
    """The evenest step to one of `others`; None where none is a step, or all are too large or too likely to be too much.

    Args:
        others: set-ups whose names are among the variations of `tolerance`.
        tolerance: what is believed today.
        asked: demand of what was accepted today.
        bend: of the present set-up, as in `Report`.
        cap_percent: the rules' cap. A set-up that is new in the episode starts at 0.87 of equal demand.
    """
    turns = [turn for other in others if (turn := _turn(other, tolerance, asked, bend, cap_percent))]
    return min(
        turns,
        key=lambda turn: (uneven(turn.size, another_lift=turn.to.another_lift), turn.to.name),
        default=None,
    )


def uneven(size: float, *, another_lift: bool = False) -> float:
    """How far a step is from a usual one, squared, and what a change of lift costs beside; staying as it is has size 0."""
    return (1.0 - size) ** 2 + (float(value("way_back", "change")) if another_lift else 0.0)


def is_evener(turn: Turn, size: float) -> bool:
    """Whether a turn is evener than what is left on the present set-up: a step of this size, 0 where nothing moves.

    A step there that is no larger than a usual one is always taken first: a lift that still moves is not changed.
    """
    if 0.0 < size <= 1.0:
        return False
    return uneven(turn.size, another_lift=turn.to.another_lift) < uneven(size)


def _turn(
    other: OtherSetUp, tolerance: Tolerance, asked: float, bend: float, cap_percent: Decimal
) -> Turn | None:
    """The heaviest load there that rules and model leave open."""
    if not other.loads:
        return None
    share = 1.0 + float(cap_percent) / 100 if other.known else setting("variation", "first_share")
    demands = np.asarray(other.demands)
    chances = chance_unacceptable(tolerance, demands, other.name, other.bend)
    fits = np.flatnonzero((demands <= share * asked) & (chances <= other.limit))
    if not len(fits):
        return None
    place = int(fits[-1])
    size = size_of(other.demands[place] / asked, (other.bend - bend) * FOLDED_DEG)
    if not 0.0 < size < value("comparison", "large_step"):
        return None
    return Turn(to=other, load=other.loads[place], size=size, chance=float(chances[place]))
