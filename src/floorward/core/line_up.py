"""A lifter in a line of ten people, the shortest in front: each link and each proportion, and how sure its place is.

Stature alone leaves most places open: a long thigh and a short trunk make the same height. What is open is part of the answer.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from floorward.core.body import SURVEYED, links_of
from floorward.core.proportions import RATIOS, drawn, population
from floorward.core.records import Person

Array = NDArray[np.float64]

LENGTHS = ("shank", "thigh", "trunk", "arm")
PEOPLE = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class LineUp:
    """One length, or one length over another, among people of the lifter's sex.

    Attributes:
        of, over: links of SURVEYED; `over` is empty for a length.
        likely: the lifter's own [m, or a ratio], with its band p10 to p90 as far as stature and tape tell.
        place: the share of people with less; `place_p10` and `place_p90` at the ends of the band.
        people: what the middle of each tenth has, ascending.
    """

    of: str
    over: str
    likely: float
    p10: float
    p90: float
    place: float
    place_p10: float
    place_p90: float
    people: tuple[float, ...]

    @property
    def rank(self) -> int:
        """The likeliest place in the line, 1 with the least."""
        return _rank(self.place)

    @property
    def ranks(self) -> tuple[int, int]:
        """The first and the last place that the band allows."""
        return _rank(self.place_p10), _rank(self.place_p90)


def line_ups(person: Person) -> tuple[LineUp, ...]:
    """The links that decide how a pull or squat looks, then their proportions."""
    own, theirs = drawn(links_of(person)), population(person.sex)
    pairs = [*((name, "") for name in LENGTHS), *RATIOS]
    return tuple(_line_up(of, over, _values(own, of, over), _values(theirs, of, over)) for of, over in pairs)


def _values(bodies: Array, of: str, over: str) -> Array:
    values: Array = bodies[:, SURVEYED.index(of)]
    return values / bodies[:, SURVEYED.index(over)] if over else values


def _line_up(of: str, over: str, own: Array, theirs: Array) -> LineUp:
    low, likely, high = (float(value) for value in np.percentile(own, [10, 50, 90]))
    middles = np.percentile(theirs, [100.0 * (n + 0.5) / PEOPLE for n in range(PEOPLE)])
    return LineUp(
        of=of,
        over=over,
        likely=likely,
        p10=low,
        p90=high,
        place=_below(theirs, likely),
        place_p10=_below(theirs, low),
        place_p90=_below(theirs, high),
        people=tuple(float(value) for value in middles),
    )


def _below(theirs: Array, value: float) -> float:
    return float((theirs < value).mean())


def _rank(place: float) -> int:
    return min(int(place * PEOPLE) + 1, PEOPLE)
