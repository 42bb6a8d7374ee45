"""Steps on a list of loads: the ascending loads that a gym can make, all in one unit.

A rung is a percentage under a load, rounded down to one that can be loaded. Loads come in as plain ascending sequences of
decimals, so nothing here knows of plates.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from decimal import Decimal

from floorward.errors import ContractError


def at_or_under(loads: Sequence[Decimal], most: Decimal) -> Decimal | None:
    """The heaviest of `loads` that is not over `most`; None when all are."""
    place = bisect_right(loads, most)
    return loads[place - 1] if place else None


def next_above(loads: Sequence[Decimal], load: Decimal) -> Decimal | None:
    """The lightest of `loads` that is over `load`; None at the top."""
    place = bisect_right(loads, load)
    return loads[place] if place < len(loads) else None


def next_below(loads: Sequence[Decimal], load: Decimal) -> Decimal | None:
    """The heaviest of `loads` that is under `load`; None at the bottom."""
    place = bisect_left(loads, load)
    return loads[place - 1] if place else None


def rung_below(loads: Sequence[Decimal], load: Decimal, percent: Decimal = Decimal(10)) -> Decimal:
    """One rung under `load`: `percent` less, rounded down; the lightest load when nothing is that light.

    Raises:
        ContractError: if there are no loads.
    """
    if not loads:
        raise ContractError("a rung needs at least one load")
    return at_or_under(loads, load * (100 - percent) / 100) or loads[0]


def rungs(
    loads: Sequence[Decimal], from_load: Decimal, percent: Decimal = Decimal(10)
) -> tuple[Decimal, ...]:
    """`from_load` and every rung under it, down to the lightest load; strictly falling."""
    ladder = [from_load]
    while (lower := rung_below(loads, ladder[-1], percent)) < ladder[-1]:
        ladder.append(lower)
    return tuple(ladder)


def rungs_between(start: Decimal, target: Decimal, percent: Decimal) -> int:
    """How many steps of `percent` lead from `start` to at least `target`, with nothing rounded to plates.

    Raises:
        ContractError: if the start or the percentage is not positive.
    """
    if start <= 0 or percent <= 0:
        raise ContractError("a way up needs a positive start and step")
    steps, load = 0, start
    while load < target:
        load, steps = load * (100 + percent) / 100, steps + 1
    return steps
