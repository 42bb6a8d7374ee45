"""Strength against joint angle: Anderson, Madigan and Nussbaum 2007 (J Biomech 40:3105), Table 3, men of 18 to 25 years."""

import numpy as np
import pytest

from floorward.core.effort import STRENGTHS, capacity

# share of the peak at a flexion, worked out from C2 and C3
HIP = {0: 0.63, 30: 0.92, 60: 0.99, 90: 0.82}
KNEE = {30: 0.72, 60: 0.99, 90: 0.85}


@pytest.mark.parametrize(("flexion", "share"), HIP.items())
def test_the_hip_has_its_published_shape(flexion, share):
    strength, _ = capacity(np.radians([float(flexion)]), STRENGTHS.hip)
    assert strength[0] / STRENGTHS.hip.level == pytest.approx(share, abs=0.006)


@pytest.mark.parametrize(("flexion", "share"), KNEE.items())
def test_the_knee_has_its_published_shape(flexion, share):
    strength, _ = capacity(np.radians([float(flexion)]), STRENGTHS.knee)
    assert strength[0] / STRENGTHS.knee.level == pytest.approx(share, abs=0.006)


def test_the_ankle_is_strongest_at_23_degrees_of_dorsiflexion():
    strength, _ = capacity(np.radians(np.arange(-30.0, 41.0)), STRENGTHS.ankle)
    assert np.arange(-30, 41)[strength.argmax()] == pytest.approx(23, abs=1)


def test_deep_joints_keep_the_floor_instead_of_the_extrapolation():
    """At 120 degrees the male hip curve would fall to 0.44, which no deep squat bears out (judgement: 0.75)."""
    strength, _ = capacity(np.radians([120.0]), STRENGTHS.hip)
    assert strength[0] == pytest.approx(0.75)


def test_knee_and_ankle_stand_to_the_hip_as_published_times_the_fitted_scale():
    assert STRENGTHS.knee.level == pytest.approx(0.6 * 0.163 / 0.161)
    assert STRENGTHS.ankle.level == pytest.approx(0.095 / 0.161)


def test_a_capacity_changes_as_its_slope_says():
    angles = np.radians(np.linspace(-40, 150, 400))
    step = 1e-6
    for curve in (
        STRENGTHS.hip,
        STRENGTHS.knee,
        STRENGTHS.knee_flexor,
        STRENGTHS.ankle,
        STRENGTHS.ankle_flexor,
    ):
        slope, ahead_slope, behind_slope = (capacity(angles + by, curve)[1] for by in (0.0, step, -step))
        ahead, behind = capacity(angles + step, curve)[0], capacity(angles - step, curve)[0]
        smooth = np.abs(ahead_slope - behind_slope) < 1e-4  # away from the kinks at floor and range
        assert smooth.sum() > 390
        assert slope[smooth] == pytest.approx(((ahead - behind) / (2 * step))[smooth], abs=1e-6)
