"""A lifter's links, masses and centres from stature, mass and sex, narrowed by whatever a tape measured.

Lengths are those of living soldiers (tables/anthropometry.toml); the spread that stature and tape leave is kept as a covariance,
so that every result can carry a band. Masses and centres are in tables/segments.toml. docs/science/body.md has the equations.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from floorward import tables
from floorward.core.records import Person, Sex
from floorward.maths.spread import normal_scores

Array = NDArray[np.float64]

SURVEYED = ("ankle_height", "shank", "thigh", "trunk", "arm", "foot", "neck", "shoulder_breadth")
TAPES = ("span", "crotch", "sitting_height", "knee_height", "sleeve")


@dataclass(frozen=True, slots=True, kw_only=True)
class Links:
    """What is known of a lifter's lengths: means and covariance [m, m²] in the order of SURVEYED, joint to joint."""

    mean_m: Array
    covariance_m2: Array

    @property
    def spread_m(self) -> Array:
        """One standard deviation of each link [m]."""
        return np.sqrt(np.diag(self.covariance_m2))


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """Link lengths [m], masses [kg] and centres of one or many bodies; every field has shape (cases,).

    Masses count both sides. Centres are measured along the link from the joint named in the field.
    """

    ankle_height_m: Array
    shank_m: Array
    thigh_m: Array
    trunk_m: Array
    """Hip to shoulder."""
    lumbar_m: Array
    """Hip to L5/S1, on the way to the shoulder."""
    neck_m: Array
    """Hip to the joint of neck and thorax."""
    arm_m: Array
    """Shoulder to the middle of a straight arm's grip."""
    shoulder_width_m: Array
    """Between the two shoulder joints."""
    foot_m: Array
    mass_kg: Array
    foot_kg: Array
    shank_kg: Array
    thigh_kg: Array
    pelvis_kg: Array
    torso_kg: Array
    head_kg: Array
    arms_kg: Array
    foot_centre_m: Array
    """In front of the ankle."""
    mid_foot_m: Array
    """The middle of the foot, in front of the ankle."""
    shank_centre_m: Array
    """Above the ankle."""
    thigh_centre_m: Array
    """From the knee."""
    pelvis_centre_m: Array
    """From the hip."""
    torso_centre_m: Array
    """From the hip."""
    head_centre_m: Array
    """From the hip, along the trunk."""
    arms_centre: Array
    """Fraction of shoulder to grip, of a straight arm."""

    def column(self) -> "Body":
        """The same bodies with shape (cases, 1), to stand beside several postures each."""
        return Body(**{f.name: getattr(self, f.name)[:, None] for f in fields(self)})

    def take(self, rows: NDArray[np.intp]) -> "Body":
        """The bodies of these rows."""
        return Body(**{f.name: getattr(self, f.name)[rows] for f in fields(self)})


def stack(bodies: tuple[Body, ...]) -> Body:
    """Many bodies as one record, in order."""
    return Body(**{f.name: np.concatenate([getattr(body, f.name) for body in bodies]) for f in fields(Body)})


def body_of(person: Person) -> Body:
    """The most likely body of `person`, shape (1,)."""
    return _body(person, links_of(person).mean_m[None, :])


def bodies_like(person: Person, count: int) -> Body:
    """`count` bodies that this person may have as well, evenly spread over the covariance; the same ones each time."""
    links = links_of(person)
    root = np.linalg.cholesky(links.covariance_m2 + 1e-12 * np.eye(len(SURVEYED)))
    return _body(person, links.mean_m + normal_scores(count, len(SURVEYED)) @ root.T)


def links_of(person: Person) -> Links:
    """Link lengths given stature, sex and every tape measure at hand.

    The survey's normal distribution, conditioned on what was measured: with stature alone this is the regression on stature,
    with more tape the regression on all of it. An undeclared sex takes the mean of both, and their difference as spread.
    """
    given = {"stature": person.stature_m}
    given |= {name: length for name in TAPES if (length := getattr(person.tape, f"{name}_m")) > 0}
    halves = [_links(sex, tuple(given.items())) for sex in sexes_of(person.sex)]
    means = np.stack([half.mean_m for half in halves])
    mean = means.mean(axis=0)
    between = (means - mean).T @ (means - mean) / len(halves)
    within = np.mean([half.covariance_m2 for half in halves], axis=0)
    return Links(mean_m=mean, covariance_m2=within + between)


def tape_scores(person: Person) -> dict[str, float]:
    """How unusual each tape measure is for this stature, in standard deviations; a large one is a slip of the tape."""
    scores: dict[str, float] = {}
    for name in TAPES:
        length = getattr(person.tape, f"{name}_m")
        if length > 0:
            scores[name] = min(
                (_score(sex, person.stature_m, name, length) for sex in sexes_of(person.sex)), key=abs
            )
    return scores


def _score(sex: str, stature_m: float, name: str, length_m: float) -> float:
    names = list(tables.load("anthropometry")["names"])
    mean = np.array(tables.value("anthropometry", sex, "mean")) / 1000.0
    covariance = np.array(tables.value("anthropometry", sex, "covariance")) / 1e6
    tall, own = names.index("stature"), names.index(name)
    slope = covariance[own, tall] / covariance[tall, tall]
    spread = np.sqrt(covariance[own, own] - slope * covariance[own, tall])
    return float((length_m - mean[own] - slope * (stature_m - mean[tall])) / spread)


@cache
def _links(sex: str, given: tuple[tuple[str, float], ...]) -> Links:
    """The conditional normal distribution of the joint-to-joint lengths for one sex."""
    names = list(tables.load("anthropometry")["names"])
    mean = np.array(tables.value("anthropometry", sex, "mean")) / 1000.0
    covariance = np.array(tables.value("anthropometry", sex, "covariance")) / 1e6
    known = [names.index(name) for name, _ in given]
    wanted = [names.index(name) for name in SURVEYED]
    gain = np.linalg.solve(covariance[np.ix_(known, known)], covariance[np.ix_(known, wanted)]).T
    expected = mean[wanted] + gain @ (np.array([length for _, length in given]) - mean[known])
    rest = covariance[np.ix_(wanted, wanted)] - gain @ covariance[np.ix_(known, wanted)]
    return Links(mean_m=joint_to_joint(expected), covariance_m2=(rest + rest.T) / 2)


def joint_to_joint(surveyed_m: Array) -> Array:
    """Landmark lengths turned into lengths between joint centres."""
    knee, hip, down, inside = (
        float(tables.value("anthropometry", "joint", name)) / 1000.0
        for name in (
            "knee_above_tibiale", "hip_above_trochanterion", "shoulder_below_acromion", "shoulder_inside_acromion",
        )
    )  # fmt: skip
    shift = {
        "shank": knee, "thigh": hip - knee, "trunk": -hip - down, "arm": -down, "neck": -hip, "shoulder_breadth": -2 * inside,
    }  # fmt: skip
    centred: Array = surveyed_m + np.array([shift.get(name, 0.0) for name in SURVEYED])
    return centred


def sexes_of(sex: Sex) -> tuple[str, ...]:
    """The body tables that apply: one, or both where the sex is undeclared."""
    return ("male", "female") if sex == Sex.UNDECLARED else (str(sex),)


def _body(person: Person, links_m: Array) -> Body:
    """Bodies from link lengths of shape (cases, links): masses and centres put in their places."""
    length = {name: np.maximum(links_m[:, i], 0.02) for i, name in enumerate(SURVEYED)}
    mass = masses(person)
    share = _mean_ofsexes_of(person.sex, _centres)
    cases = len(links_m)
    lumbar = share["lumbosacral"] * length["trunk"]
    heel_to_ankle = float(tables.value("anthropometry", "joint", "ankle_from_heel"))
    mid_foot = float(tables.value("anthropometry", "joint", "mid_foot_from_heel"))
    return Body(
        ankle_height_m=length["ankle_height"],
        shank_m=length["shank"],
        thigh_m=length["thigh"],
        trunk_m=length["trunk"],
        lumbar_m=lumbar,
        neck_m=length["neck"],
        arm_m=length["arm"],
        shoulder_width_m=length["shoulder_breadth"],
        foot_m=length["foot"],
        mass_kg=np.full(cases, person.mass_kg),
        **{f"{name}_kg": np.full(cases, kilograms) for name, kilograms in _both_sides(mass).items()},
        foot_centre_m=(share["foot"] - heel_to_ankle) * length["foot"],
        mid_foot_m=(mid_foot - heel_to_ankle) * length["foot"],
        shank_centre_m=(1 - share["shank"]) * length["shank"],
        thigh_centre_m=(1 - share["thigh"]) * length["thigh"],
        pelvis_centre_m=(1 - share["pelvis"]) * lumbar,
        torso_centre_m=length["neck"] - share["torso"] * (length["neck"] - lumbar),
        head_centre_m=length["neck"] + share["head_m"],
        arms_centre=np.full(cases, _arms_centre(mass, share)),
    )


def masses(person: Person) -> dict[str, float]:
    """Mass of each segment [kg], one side; the whole adds up to the lifter's mass.

    Fractions of body mass for most people; for heavy ones, whose limbs would come out too heavy, regressions on mass and stature.
    """
    light = _scaled(_mean_ofsexes_of(person.sex, _mass_fractions), person.mass_kg)
    heavy = _scaled(_mean_ofsexes_of(person.sex, lambda sex: _heavy_masses(sex, person)), person.mass_kg)
    low, high = tables.value("segments", "heavy", "blend")
    index = person.mass_kg / person.stature_m**2
    weight = min(max((index - low) / (high - low), 0.0), 1.0)
    return {name: (1 - weight) * light[name] + weight * heavy[name] for name in light}


def _mass_fractions(sex: str) -> dict[str, float]:
    return {**tables.value("segments", sex, "mass"), **tables.value("segments", sex, "trunk_mass")}


def _heavy_masses(sex: str, person: Person) -> dict[str, float]:
    rows = tables.value("segments", "heavy", sex)
    found = {
        name: max(a + b * person.mass_kg + c * person.stature_m * 100.0, 0.05)
        for name, (a, b, c) in rows.items()
    }
    trunk = found.pop("trunk")
    split = tables.value("segments", sex, "trunk_mass")
    return found | {part: trunk * split[part] / sum(split.values()) for part in split}


def _scaled(parts: Mapping[str, float], whole_kg: float) -> dict[str, float]:
    """The parts scaled so that single ones and pairs add up to the whole."""
    total = sum(part * (1 if name in {"head", "torso", "pelvis"} else 2) for name, part in parts.items())
    return {name: part * whole_kg / total for name, part in parts.items()}


def _both_sides(mass: Mapping[str, float]) -> dict[str, float]:
    pairs = {name: 2 * mass[name] for name in ("foot", "shank", "thigh")}
    arms = 2 * (mass["upper_arm"] + mass["forearm"] + mass["hand"])
    return {**pairs, "pelvis": mass["pelvis"], "torso": mass["torso"], "head": mass["head"], "arms": arms}


def _arms_centre(mass: Mapping[str, float], share: Mapping[str, float]) -> float:
    """Where a straight arm's centre lies, as a fraction of shoulder to grip."""
    elbow, wrist = (float(tables.value("segments", "arm", joint)) for joint in ("elbow", "wrist"))
    upper = share["upper_arm"] * elbow
    lower = elbow + share["forearm"] * (wrist - elbow)
    hand = (wrist + 1.0) / 2
    whole = mass["upper_arm"] + mass["forearm"] + mass["hand"]
    return (mass["upper_arm"] * upper + mass["forearm"] * lower + mass["hand"] * hand) / whole


def _centres(sex: str) -> dict[str, float]:
    return {
        **tables.value("segments", sex, "centre"),
        "foot": tables.value("segments", sex, "foot_centre"),
        "torso": tables.value("segments", sex, "torso_centre"),
        "pelvis": tables.value("segments", sex, "pelvis_centre"),
        "head_m": tables.value("segments", sex, "head_centre") / 1000.0,
        "lumbosacral": tables.value("anthropometry", "joint", "lumbosacral", sex),
    }


def _mean_ofsexes_of(sex: Sex, of_one: Any) -> dict[str, float]:
    """What `of_one` says of the lifter's sex, or the mean of both when it is undeclared."""
    found = [of_one(one) for one in sexes_of(sex)]
    return {name: sum(row[name] for row in found) / len(found) for name in found[0]}
