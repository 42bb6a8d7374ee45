"""What one more tape measure would buy: by how much it narrows what a set-up asks of the low back, and how the trunk leans.

A tape narrows the links, and so the bodies that a lifter may have; it takes nothing from the postures that cost about the same
effort. What stays open after the last tape is style, and only a measured angle settles that.
"""

from dataclasses import dataclass, replace

import numpy as np

from floorward import tables
from floorward.core.body import TAPES, sexes_of
from floorward.core.demand import Band, Demand, demand_of
from floorward.core.records import Person, Region, SetUp

_BODIES = 256  # a measure takes a tenth of a band, so the band itself must not wobble by as much


@dataclass(frozen=True, slots=True, kw_only=True)
class Sureness:
    """How sure a set-up is: bands of the low back's demand (the likeliest being 1) and of the trunk's lean [deg]."""

    demand: Band
    trunk_deg: Band


@dataclass(frozen=True, slots=True, kw_only=True)
class Gain:
    """What one more measure does.

    Attributes:
        tape: a name of TAPES.
        likely_m: what it will probably read, given all that is known.
        demand_narrower, trunk_narrower: the shares of the two bands that it takes away, 0 where it takes nothing.
    """

    tape: str
    likely_m: float
    now: Sureness
    then: Sureness
    demand_narrower: float
    trunk_narrower: float

    @property
    def most(self) -> float:
        """The larger of the two shares."""
        return max(self.demand_narrower, self.trunk_narrower)


def gains(person: Person, setup: SetUp, load_kg: float) -> tuple[Gain, ...]:
    """What each measure that is not taken yet would buy for one set-up, the best in front.

    Empty where the set-up is not reached, or where all are taken.
    """
    now = sureness(person, setup, load_kg)
    missing = [name for name in TAPES if not getattr(person.tape, f"{name}_m")]
    found = [gain for name in missing if now and (gain := _gain(person, setup, load_kg, name, now))]
    return tuple(sorted(found, key=lambda gain: -gain.most))


def sureness(person: Person, setup: SetUp, load_kg: float) -> Sureness | None:
    """How sure the set-up is with what is known now; None where it is not reached."""
    found = demand_of(person, setup, load_kg, bodies=_BODIES)
    if not isinstance(found, Demand):
        return None
    back = found.regions[Region.LOW_BACK]
    share = Band(p10=back.band_nm.p10 / back.moment_nm, p90=back.band_nm.p90 / back.moment_nm)
    trunk = found.bands["trunk_deg"]
    return Sureness(demand=share, trunk_deg=Band(p10=max(trunk.p10, 0.0), p90=trunk.p90))


def likely_tape_m(person: Person, name: str) -> float:
    """What a measure will probably read, given stature, sex and the tape at hand: the regression on all of it."""
    return float(np.mean([_likely_m(sex, person, name) for sex in sexes_of(person.sex)]))


def _gain(person: Person, setup: SetUp, load_kg: float, name: str, now: Sureness) -> Gain | None:
    likely = likely_tape_m(person, name)
    then = sureness(replace(person, tape=replace(person.tape, **{f"{name}_m": likely})), setup, load_kg)
    if then is None:
        return None
    return Gain(
        tape=name,
        likely_m=likely,
        now=now,
        then=then,
        demand_narrower=_narrower(now.demand, then.demand),
        trunk_narrower=_narrower(now.trunk_deg, then.trunk_deg),
    )


def _narrower(now: Band, then: Band) -> float:
    return max(0.0, 1.0 - (then.p90 - then.p10) / max(now.p90 - now.p10, 1e-9))


def _likely_m(sex: str, person: Person, name: str) -> float:
    names = list(tables.load("anthropometry")["names"])
    mean = np.array(tables.value("anthropometry", sex, "mean")) / 1000.0
    covariance = np.array(tables.value("anthropometry", sex, "covariance")) / 1e6
    given = {"stature": person.stature_m}
    given |= {tape: length for tape in TAPES if (length := getattr(person.tape, f"{tape}_m")) > 0}
    known, own = [names.index(one) for one in given], names.index(name)
    gain = np.linalg.solve(covariance[np.ix_(known, known)], covariance[known, own])
    return float(mean[own] + gain @ (np.array(list(given.values())) - mean[known]))
