"""The log of the sore region, as the tolerance model reads it: reports in their order, and the belief that they leave."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from floorward.core import belief
from floorward.core.belief import Belief, Ints
from floorward.errors import ContractError
from floorward.maths.posterior_interval import Array

Flags = NDArray[np.bool_]


FOLDED_DEG = 180.0
"""A bend of 1: folded flat against upright."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """One exposure of the sore region.

    Attributes:
        day: since the episode began.
        demand: of its heaviest set, in any unit proportional to demand.
        pain: worst of any set.
        acceptable: whether the lifter called it so; a no counts as over the ceiling.
        rest_pain: before any set; None when not asked.
        morning_change: next morning less baseline; None while either is missing.
        variation: key of the set-up, empty for the painful lift.
        bend: how much more it bends than the painful lift: 0 as much, 1 folded against upright.
    """

    day: int
    demand: float
    pain: int
    acceptable: bool = True
    rest_pain: int | None = None
    morning_change: int | None = None
    variation: str = ""
    bend: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Priors:
    """What is known before the first report; demands in the unit of the reports.

    Attributes:
        provoking_pain: how much the load that began it hurt; None when not known.
        ceiling: score whose demand is the tolerance, 0 to 5.
        variations: every other set-up that reports may name.
    """

    usual_demand: float
    provoking_demand: float
    provoking_pain: int | None = None
    ceiling: int = 3
    variations: tuple[str, ...] = ()


def in_order(reports: Sequence[Report], priors: Priors, today: int) -> tuple[Report, ...]:
    """Reports by their days; within a day by variation, so that the order of writing does not matter.

    Raises:
        ContractError: if days fall, lie before the episode or after `today`, or a variation is not among those of the priors.
    """
    days = [report.day for report in reports]
    if days != sorted(days) or (days and (days[0] < 0 or days[-1] > today)):
        raise ContractError("reports go in the order of their days, from 0 to today")
    if unknown := {report.variation for report in reports} - {"", *priors.variations}:
        raise ContractError(f"variations {sorted(unknown)} are not among those of the priors")
    return tuple(sorted(reports, key=lambda report: (report.day, report.variation)))


def started(priors: Priors) -> Belief:
    """The belief on day 0, before the first report."""
    state = belief.start(
        np.log(priors.usual_demand), ceiling=priors.ceiling, variations=len(priors.variations)
    )
    if priors.provoking_pain is None:
        return state
    return belief.recalled(state, np.log(priors.provoking_demand), priors.provoking_pain)


def heard(reports: Sequence[Report], ceiling: int) -> Ints:
    """The scores as the model hears them: a lifter's no counts as at least one point over the ceiling."""
    return np.array(
        [each.pain if each.acceptable else max(each.pain, ceiling + 1) for each in reports], dtype=np.int64
    )


def way_of(state: Belief, priors: Priors, variation: str, bend: float) -> Array:
    """Which states add up to the tolerance of a variation."""
    place = priors.variations.index(variation) + 1 if variation else 0
    return belief.direction(state, bend=bend, variation=place)


def taught(
    state: Belief, day: int, reports: Sequence[Report], priors: Priors, pains: Ints, told: Flags | None = None
) -> tuple[Belief, int]:
    """The belief after `reports`, from that of `day`; and the day of the last.

    `pains` has shape (..., reports), and so has `told`: false where a report is left out although the set was done.
    """
    heard_of = np.ones(pains.shape, bool) if told is None else told
    place = 0
    for now, rows in groupby(reports, key=lambda report: report.day):
        today = tuple(rows)
        part = np.s_[..., place : place + len(today)]
        state = belief.advanced(state, now - day)
        state = _day_of(state, today, priors, pains[part], heard_of[part])
        day, place = now, place + len(today)
    return state, day


def _day_of(state: Belief, reports: tuple[Report, ...], priors: Priors, pains: Ints, told: Flags) -> Belief:
    for place, report in enumerate(reports):
        state = belief.observed(
            state,
            np.full(pains.shape[:-1], np.log(report.demand)),
            pains[..., place],
            rest_pain=-1 if report.rest_pain is None else report.rest_pain,
            way=way_of(state, priors, report.variation, report.bend),
            told=told[..., place],
        )
    return _morning(state, reports, priors, told)


def _morning(state: Belief, reports: tuple[Report, ...], priors: Priors, told: Flags) -> Belief:
    """One morning follows a day: it is put down to the day's heaviest demand."""
    answered = [place for place, report in enumerate(reports) if report.morning_change is not None]
    if not answered:
        return state
    place = max(range(len(reports)), key=lambda at: reports[at].demand)
    heaviest = reports[place]
    change = max(reports[at].morning_change or 0 for at in answered)
    return belief.morning(
        state,
        np.full(told.shape[:-1], np.log(heaviest.demand)),
        change,
        way=way_of(state, priors, heaviest.variation, heaviest.bend),
        told=told[..., place],
    )
