"""A lifter's proportions against the survey's people, and what one more tape measure would make surer."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from floorward import tables
from floorward.core.body import SURVEYED, TAPES, Links, joint_to_joint, links_of, sexes_of
from floorward.core.records import Person, Sex, Tape
from floorward.maths.spread import normal_scores

Array = NDArray[np.float64]

RATIOS = (("thigh", "shank"), ("thigh", "trunk"), ("arm", "trunk"))
_PEOPLE = 512


@dataclass(frozen=True, slots=True, kw_only=True)
class Proportion:
    """One length over another.

    Attributes:
        likely: the lifter's own, with its band p10 to p90 as far as stature and tape tell.
        below: the share of people of that sex whose ratio is smaller.
    """

    of: str
    over: str
    likely: float
    p10: float
    p90: float
    below: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeGain:
    """What one more measure does to one link: its standard deviation now and then [mm]."""

    tape: str
    link: str
    now_mm: float
    then_mm: float


def proportions_of(person: Person) -> tuple[Proportion, ...]:
    """Long thighs, short trunk, long arms: the ratios that decide how a pull or squat looks, against other people's."""
    own, all_people = drawn(links_of(person)), population(person.sex)
    found = []
    for over, under in RATIOS:
        one, other = SURVEYED.index(over), SURVEYED.index(under)
        ratios, theirs = own[:, one] / own[:, other], all_people[:, one] / all_people[:, other]
        low, likely, high = (float(value) for value in np.percentile(ratios, [10, 50, 90]))
        below = float((theirs < likely).mean())
        found.append(Proportion(of=over, over=under, likely=likely, p10=low, p90=high, below=below))
    return tuple(found)


def tape_gains(person: Person) -> tuple[TapeGain, ...]:
    """For each measure not taken yet, the link that it narrows most; the best measure first."""
    now = links_of(person).spread_m
    gains = []
    for name in TAPES:
        if getattr(person.tape, f"{name}_m") > 0:
            continue
        then = links_of(_with_tape(person, name)).spread_m
        link = int((now - then).argmax())
        gains.append(
            TapeGain(
                tape=name,
                link=SURVEYED[link],
                now_mm=float(now[link]) * 1000.0,
                then_mm=float(then[link]) * 1000.0,
            )
        )
    return tuple(sorted(gains, key=lambda gain: gain.then_mm - gain.now_mm))


def _with_tape(person: Person, name: str) -> Person:
    """The person with one more measure taken, as long as the survey's mean for the sex, whatever their stature.

    Which measures are known narrows a link, not how long they turned out; for an undeclared sex the mean of both stands
    between them, so that it does not settle which it is.
    """
    given = {tape: getattr(person.tape, f"{tape}_m") for tape in TAPES}
    names = tables.load("anthropometry")["names"]
    means = [tables.value("anthropometry", sex, "mean")[names.index(name)] for sex in sexes_of(person.sex)]
    tape = Tape(
        **{f"{tape}_m": length for tape, length in {**given, name: sum(means) / len(means) / 1000.0}.items()}
    )
    return replace(person, tape=tape)


def drawn(links: Links) -> Array:
    """Bodies spread evenly over what is known of the links, shape (bodies, SURVEYED) [m]; the same ones each time."""
    root = np.linalg.cholesky(links.covariance_m2 + 1e-12 * np.eye(len(SURVEYED)))
    bodies: Array = links.mean_m + normal_scores(_PEOPLE, len(SURVEYED)) @ root.T
    return bodies


def population(sex: Sex) -> Array:
    """People of all statures, half of each sex where it is undeclared."""
    return np.concatenate([drawn(_everyone(one)) for one in sexes_of(sex)])


def _everyone(sex: str) -> Links:
    names = list(tables.load("anthropometry")["names"])
    wanted = [names.index(name) for name in SURVEYED]
    mean = np.array(tables.value("anthropometry", sex, "mean"))[wanted] / 1000.0
    covariance = np.array(tables.value("anthropometry", sex, "covariance"))[np.ix_(wanted, wanted)] / 1e6
    return Links(mean_m=joint_to_joint(mean), covariance_m2=covariance)
