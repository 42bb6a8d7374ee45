"""The 2012 US Army survey: regressions and percentiles worked out from its public files against what the table gives.

Source: Gordon CC et al. 2014 (TR-15/007), numbers computed from the public files: 4082 men, 1986 women.
"""

import numpy as np
import pytest

from floorward import tables
from floorward.core.body import SURVEYED, links_of
from floorward.core.records import Person, Sex, Tape

NAMES = tables.load("anthropometry")["names"]


def stats(sex):
    return np.array(tables.value("anthropometry", sex, "mean")), np.array(
        tables.value("anthropometry", sex, "covariance")
    )


# y on x: slopes in the order of the predictors, residual spread in mm
REGRESSIONS = [
    ("male", "arm", ("stature",), (0.3911,), 19.2),
    ("female", "arm", ("stature",), (0.4054,), 19.7),
    ("male", "arm", ("stature", "span"), (0.0813, 0.3048), 12.4),
    ("female", "arm", ("stature", "span"), (0.0593, 0.3269), 12.0),
    ("male", "arm", ("stature", "sleeve"), (0.0896, 0.8348), 11.6),
    ("male", "trunk", ("stature",), (0.2829,), 27.2),
    ("male", "trunk", ("stature", "sitting_height"), (0.0763, 0.5092), 24.7),
    ("female", "trunk", ("stature", "crotch"), (0.6311, -0.5909), 18.4),
    ("male", "shank", ("stature",), (0.2958,), 13.7),
    ("female", "shank", ("stature",), (0.2976,), 13.8),
    ("male", "ankle_height", ("stature",), (0.0387,), 5.0),
    ("male", "foot", ("stature",), (0.1373,), 9.1),
    ("female", "foot", ("stature",), (0.1399,), 8.6),
    ("male", "shoulder_breadth", ("stature",), (0.1486,), 16.2),
]


@pytest.mark.parametrize(("sex", "wanted", "given", "slopes", "spread"), REGRESSIONS)
def test_the_table_gives_back_the_regressions(sex, wanted, given, slopes, spread):
    _, covariance = stats(sex)
    known, own = [NAMES.index(name) for name in given], NAMES.index(wanted)
    found = np.linalg.solve(covariance[np.ix_(known, known)], covariance[known, own])
    assert found == pytest.approx(slopes, abs=6e-4)
    assert np.sqrt(covariance[own, own] - covariance[own, known] @ found) == pytest.approx(spread, abs=0.11)


PERCENTILES = [
    ("male", "stature", 1648, 1755, 1870),
    ("female", "stature", 1525, 1626, 1740),
    ("male", "span", 1680, 1812, 1957),
    ("female", "span", 1529, 1657, 1803),
    ("male", "crotch", 771, 845, 925),
    ("female", "crotch", 712, 780, 857),
    ("male", "sitting_height", 860, 918, 977),
    ("male", "knee_height", 509, 553, 602),
    ("male", "sleeve", 545, 592, 645),
    ("male", "arm", 612, 664, 720),
    ("female", "arm", 561.2, 609, 667.8),
    ("male", "trunk", 482.1, 541, 593),
    ("female", "trunk", 443, 489, 539),
    ("male", "foot", 250, 271, 293),
]


@pytest.mark.parametrize(("sex", "name", "low", "middle", "high"), PERCENTILES)
def test_the_normal_picture_keeps_the_percentiles(sex, name, low, middle, high):
    mean, covariance = stats(sex)
    at = NAMES.index(name)
    spread = np.sqrt(covariance[at, at])
    assert mean[at] == pytest.approx(middle, rel=0.005)
    assert mean[at] - 1.645 * spread == pytest.approx(low, rel=0.012)
    assert mean[at] + 1.645 * spread == pytest.approx(high, rel=0.012)


@pytest.mark.parametrize(
    ("sex", "stature_m", "links_mm"),
    [
        (Sex.MALE, 1.756, {"ankle_height": 73, "shank": 417, "thigh": 426, "trunk": 480, "arm": 620}),
        (Sex.FEMALE, 1.628, {"ankle_height": 63, "shank": 397, "thigh": 400, "trunk": 430, "arm": 566}),
    ],
)
def test_an_average_person_has_the_worked_chain(sex, stature_m, links_mm):
    links = links_of(Person(stature_m=stature_m, mass_kg=75, sex=sex))
    for name, length in links_mm.items():
        assert links.mean_m[SURVEYED.index(name)] * 1000 == pytest.approx(length, abs=1.0)


def test_crotch_height_narrows_the_thigh_only_a_little():
    """14.3 + 0.0375 H + 0.4086 C, spread 17.7 mm, for men; 20.2 mm with stature alone."""
    links = links_of(Person(stature_m=1.756, mass_kg=85, sex=Sex.MALE, tape=Tape(crotch_m=0.87)))
    thigh = SURVEYED.index("thigh")
    assert links.mean_m[thigh] * 1000 == pytest.approx(14.3 + 0.0375 * 1756 + 0.4086 * 870, abs=1.0)
    assert links.spread_m[thigh] * 1000 == pytest.approx(17.7, abs=0.2)


def test_a_long_thigh_comes_with_a_short_trunk():
    """Residual correlation of thigh and trunk at one stature: about -0.7 in men."""
    covariance = links_of(Person(stature_m=1.756, mass_kg=85, sex=Sex.MALE)).covariance_m2
    thigh, trunk = SURVEYED.index("thigh"), SURVEYED.index("trunk")
    together = covariance[thigh, trunk] / np.sqrt(covariance[thigh, thigh] * covariance[trunk, trunk])
    assert -0.8 < together < -0.6
