"""Forces at L5/S1 behind a net moment: one equivalent extensor. For the science page and for checks, never for a coach's screen.

The same moment gives forces that differ by a factor of two between published models, by the muscle's lever alone; moments do not.
"""

from dataclasses import dataclass
from math import cos, radians, sin

from floorward import tables


@dataclass(frozen=True, slots=True, kw_only=True)
class DiscForces:
    """Forces on the disc [N]: muscle alone and in all. Shear is positive where the upper vertebra is pushed forward."""

    muscle_n: float
    compression_n: float
    shear_n: float


def disc_forces(
    moment_nm: float, *, weight_n: float = 0.0, disc_deg: float = 0.0, lever_m: float | None = None
) -> DiscForces:
    """Muscle force, compression and shear that hold a net extensor moment.

    F = M / r; compression F cos 5° + W cos α; shear W sin α - F sin 5°.

    Args:
        moment_nm: net extensor moment.
        weight_n: weight of everything above the disc, bar included.
        disc_deg: the disc's plane from the horizontal, α.
        lever_m: the extensors' lever; the table's for men where none is given.
    """
    lever = tables.value("spine", "lever", "male") / 1000.0 if lever_m is None else lever_m
    line, disc = radians(tables.value("spine", "line")), radians(disc_deg)
    muscle = moment_nm / lever
    return DiscForces(
        muscle_n=muscle,
        compression_n=muscle * cos(line) + weight_n * cos(disc),
        shear_n=weight_n * sin(disc) - muscle * sin(line),
    )


def disc_slope_deg(trunk_deg: float, lumbar_flexion_deg: float) -> float:
    """The disc's plane from the horizontal: upright slope, plus the trunk's lean, less what the lumbar spine bends."""
    return float(tables.value("spine", "slope")) + (90.0 - trunk_deg) - lumbar_flexion_deg
