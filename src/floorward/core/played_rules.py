"""The rules for the next step on many lifters at once, for playing the future.

What `rules` and `plan_change` say of one lifter with a whole log, said of arrays: the same thresholds, the same order. Left out is what a
played future has no word on: warning signs, spreading, mornings without an answer, weekly medians. The tests hold it against `rules`.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from floorward.core.protocol import SHIPPED, Profile, Protocol
from floorward.maths.posterior_interval import Array
from floorward.tables import value

Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

STAY, SMALLEST, USUAL, RUNG, LARGE = 0, 1, 2, -1, -2


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Where each lifter stands; every array has one entry a lifter.

    Attributes:
        place: of the load in use, in the ascending loads.
        bearable: exposures in a row at this load that settled with pain above the safe band.
        settled: exposures in a row at this load that settled.
        went_back: whether the last exposure asked for a step back.
        risen: whether a morning was much worse and none has been quiet since.
        backs: days of the last step-backs, latest first, shape (..., step-backs that escalate).
        hurt: day of the last exposure over the finding ceiling, -inf while there is none.
    """

    place: Ints
    bearable: Ints
    settled: Ints
    went_back: Flags
    risen: Flags
    backs: Array
    hurt: Array

    def taken(self, which: Ints) -> Standing:
        """The standing of some of the lifters, in the order of `which`."""
        return Standing(**{each.name: getattr(self, each.name)[which] for each in fields(self)})


@dataclass(frozen=True, slots=True, kw_only=True)
class Scores:
    """An exposure's scores: D, A, and M less B; whether the lifter called it acceptable."""

    during: Ints
    after: Ints
    change: Ints
    acceptable: Flags


def standing(place: Ints) -> Standing:
    """At the first exposure, with nothing behind."""
    none, no = np.zeros(place.shape, dtype=np.int64), np.zeros(place.shape, dtype=bool)
    backs = np.full((*place.shape, value("rules", "E2", "step_backs")), -np.inf)
    hurt = np.full(place.shape, -np.inf)
    return Standing(place=place, bearable=none, settled=none, went_back=no, risen=no, backs=backs, hurt=hurt)


def judged(
    now: Standing, scores: Scores, day: float, profile: Profile = Profile.STEADY, protocol: Protocol = SHIPPED
) -> tuple[Standing, Ints, Flags]:
    """The standing after an exposure, which step the rules ask for, and whether the model may go up to the cap."""
    over = (scores.during > protocol.ceiling_set) | (scores.after > protocol.after_max) | ~scores.acceptable
    back = over | (scores.change >= value("rules", "R3", "worse_by"))
    settled = ~over & (scores.change <= 0)
    bearable = settled & (np.maximum(scores.during, scores.after) > value("rules", "R7", "over"))
    ready = settled & ~bearable
    after = replace(
        now,
        bearable=np.where(bearable, now.bearable + 1, 0),
        settled=np.where(settled, now.settled + 1, 0),
        went_back=back,
        risen=(scores.change >= value("rules", "R3", "worse_by")) | (now.risen & (scores.change > 0)),
        backs=_with_day(now.backs, back, day),
        hurt=np.where((scores.during > protocol.ceiling_finding) | ~scores.acceptable, day, now.hurt),
    )
    step, capped = _steps(now, after, scores, bearable, ready, profile)
    step = np.where(back, np.where(now.went_back, LARGE, RUNG), step)
    many = (after.backs >= day - value("rules", "E2", "days")).all(axis=-1)
    return after, np.where(many & (step > 0), STAY, step), capped & (step > 0) & ~many


def _with_day(backs: Array, back: Flags, day: float) -> Array:
    pushed = np.concatenate([np.full((*back.shape, 1), day), backs[..., :-1]], axis=-1)
    return np.where(back[..., None], pushed, backs)


def _steps(
    now: Standing, after: Standing, scores: Scores, bearable: Flags, ready: Flags, profile: Profile
) -> tuple[Ints, Flags]:
    """Steps of those who neither stop nor step back, and whether the cap is open to the model."""
    usual = np.where(ready, USUAL, STAY)
    if profile is Profile.STEADY:
        patient = after.bearable >= value("rules", "R7", "exposures")
        return np.where(bearable & patient, SMALLEST, usual), ready
    little_worse = scores.change == value("rules", "assertive", "R6", "worse_by")
    smallest = bearable | (little_worse & ~now.risen)
    return np.where(smallest, SMALLEST, usual), ready | smallest


def moved(now: Standing, step: Ints, loads: Array, protocol: Protocol = SHIPPED) -> tuple[Ints, Ints]:
    """Places of the load that the rules lead to, and of the most that the cap allows where it is open."""
    load = loads[now.place]
    above = np.minimum(now.place + 1, len(loads) - 1)
    cap = at_or_under(loads, load * (1.0 + value("rules", "R8", "cap_percent") / 100.0))
    patient = now.settled >= value("rules", "large_step", "exposures")
    within = (above <= cap) | patient
    usual = np.maximum(above, at_or_under(loads, load * (1.0 + float(protocol.forward_percent) / 100.0)))
    forward = np.where(within, np.where(step == USUAL, usual, above), now.place)
    rung = at_or_under(loads, load * (1.0 - float(protocol.rung_percent) / 100.0))
    large = max(float(protocol.rung_percent), float(value("rules", "E1", "percent")))
    further = at_or_under(loads, load * (1.0 - large / 100.0))
    place = np.where(
        step > 0, forward, np.where(step == RUNG, rung, np.where(step == LARGE, further, now.place))
    )
    return place, np.where(within, np.maximum(cap, above), now.place)


def chance_limit(now: Standing, day: float) -> Array:
    """How likely the next load of each may be to hurt more than the ceiling: less while such an exposure is not long past."""
    wary = now.hurt > day - value("tolerance", "step", "wary_days")
    return np.where(  # type: ignore[no-any-return]
        wary, value("tolerance", "step", "wary_chance"), value("tolerance", "step", "unacceptable_chance")
    )


def least_place(loads: Array, now: Standing, step: Ints, capped: Flags, ruled: Ints) -> Ints:
    """Place of the lightest load that the model may choose: 20 % under `ruled`, but what was just done where `steps` holds there."""
    eased = at_or_under(loads, loads[ruled] * (1.0 - value("tolerance", "step", "ease_most")))
    held = (ruled > now.place) & ~((step == SMALLEST) & capped)
    return np.asarray(np.where(held, np.maximum(eased, now.place), eased))


def at_place(now: Standing, place: Ints) -> Standing:
    """The standing once another load is in use: what was in a row at the old one is over."""
    same = place == now.place
    return replace(
        now, place=place, bearable=np.where(same, now.bearable, 0), settled=np.where(same, now.settled, 0)
    )


def at_or_under(loads: Array, most: Array) -> Ints:
    """Place of the heaviest load not over `most`, the lightest when all are."""
    found = np.searchsorted(loads, most * (1.0 + 1e-12), side="right") - 1
    return np.asarray(np.maximum(found, 0), dtype=np.int64)
