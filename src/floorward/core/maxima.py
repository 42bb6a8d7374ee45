"""The heaviest single of each variation, where it comes from, and where it is going.

A lifter's own sets come first. Without any, a lift that was done is carried over by a ratio: published, or a guess that says so.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from itertools import combinations
from statistics import quantiles

from floorward import tables
from floorward.core.repetitions import HardSet
from floorward.core.strength import Estimate, estimate


class Basis(StrEnum):
    """What a heaviest single rests on: own sets, a published ratio, or a guess until there are own sets."""

    OWN = "own"
    RATIO = "ratio"
    GUESS = "guess"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ratio:
    """The heaviest single of a lift over that of its base lift, across people."""

    base: str
    low: float
    middle: float
    high: float
    source: str

    @property
    def basis(self) -> Basis:
        """Published, or a guess of our own."""
        return Basis.GUESS if self.source in tables.OWN_SOURCES else Basis.RATIO


@dataclass(frozen=True, slots=True, kw_only=True)
class LiftMax:
    """The heaviest single of a lift as a range, with what it rests on.

    Attributes:
        known_from: the lift it was carried over from, the lift itself when own.
        sources: where the ratios are from, empty when own.
    """

    lift: str
    low: float
    middle: float
    high: float
    basis: Basis
    known_from: str
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """How the heaviest single moves, in per cent a week: the middle of all pairs of days, and the middle half of them."""

    percent_per_week: float
    low: float
    high: float
    days: int


@cache
def published_ratios() -> Mapping[str, Ratio]:
    """The shipped ratios by lift, guesses among them."""
    rows = tables.load("strength")["ratios"]
    return {lift: _ratio(row["base"], row["value"], row["source"]) for lift, row in rows.items()}


def lift_max(
    lift: str, own: Mapping[str, Estimate], modelled: Mapping[str, Ratio] | None = None
) -> LiftMax | None:
    """The heaviest single of `lift`: from own sets, else carried over from the lift that tells it best, else None.

    Published ratios go before guesses, and a narrow answer before a wide one.

    Args:
        lift: key of the catalogue.
        own: estimates from own sets, by lift.
        modelled: ratios from elsewhere, such as the mechanics, for lifts without a published one; they are guesses.
    """
    if lift in own:
        known = own[lift]
        return LiftMax(
            lift=lift, low=known.low, middle=known.middle, high=known.high, basis=Basis.OWN, known_from=lift
        )
    ratios = {**published_ratios(), **_unpublished(modelled or {})}
    carried = [
        _carried_over(lift, _over_base(ratios, lift), known_lift, _over_base(ratios, known_lift), known)
        for known_lift, known in own.items()
        if _over_base(ratios, known_lift).base == _over_base(ratios, lift).base
    ]
    return min(carried, key=lambda one: (one.basis == Basis.GUESS, one.high / one.low), default=None)


def trend(sets: Iterable[HardSet]) -> Trend | None:
    """How fast the best estimate of each day rises or falls, or None while days are too few or too near each other.

    The median slope over all pairs of days (Theil and Sen): one bad day does not bend it.
    """
    by_day: dict[int, float] = {}
    for done in sets:
        single = estimate(done.load_kg, done.repetitions, done.rpe).middle
        by_day[done.day] = max(by_day.get(done.day, 0), single)
    if len(by_day) < tables.value("strength", "trend", "least_days"):
        return None
    if max(by_day) - min(by_day) < tables.value("strength", "trend", "least_span"):
        return None
    pairs = combinations(sorted(by_day.items()), 2)
    slopes = [700 * (later / earlier - 1) / (to - since) for (since, earlier), (to, later) in pairs]
    low, middle, high = quantiles(slopes, n=4, method="inclusive")
    return Trend(percent_per_week=middle, low=low, high=high, days=len(by_day))


def _unpublished(modelled: Mapping[str, Ratio]) -> dict[str, Ratio]:
    published = {lift for lift, ratio in published_ratios().items() if ratio.basis == Basis.RATIO}
    return {lift: ratio for lift, ratio in modelled.items() if lift not in published}


def _over_base(ratios: Mapping[str, Ratio], lift: str) -> Ratio:
    """The lift's ratio; a lift without one is its own base."""
    return ratios.get(lift) or Ratio(base=lift, low=1, middle=1, high=1, source="")


def _carried_over(lift: str, wanted: Ratio, known_lift: str, known_ratio: Ratio, known: Estimate) -> LiftMax:
    steps = [ratio for ratio in (known_ratio, wanted) if ratio.source]
    return LiftMax(
        lift=lift,
        low=known.low * wanted.low / known_ratio.high,
        middle=known.middle * wanted.middle / known_ratio.middle,
        high=known.high * wanted.high / known_ratio.low,
        basis=Basis.GUESS if Basis.GUESS in {ratio.basis for ratio in steps} else Basis.RATIO,
        known_from=known_lift,
        sources=tuple(ratio.source for ratio in steps),
    )


def _ratio(base: str, row: tuple[float, float, float], source: str) -> Ratio:
    low, middle, high = row
    return Ratio(base=base, low=low, middle=middle, high=high, source=source)
