"""Even points: inside the cube, no clumps, the same each time, and normal scores with mean 0 and spread 1."""

import numpy as np
import pytest

from floorward.maths.spread import even_points, normal_scores


@pytest.mark.parametrize("dimensions", [1, 3, 8])
def test_points_fill_the_cube_evenly(dimensions):
    points = even_points(400, dimensions)
    assert points.shape == (400, dimensions)
    assert ((points >= 0) & (points < 1)).all()
    for column in points.T:
        counts, _ = np.histogram(column, bins=10, range=(0, 1))
        assert counts.min() >= 33
        assert counts.max() <= 50


def test_the_same_points_come_each_time():
    assert np.array_equal(even_points(50, 4), even_points(50, 4))


def test_normal_scores_are_standard_and_nearly_independent():
    scores = normal_scores(512, 8)
    assert scores.mean(axis=0) == pytest.approx(np.zeros(8), abs=1e-12)
    assert scores.std(axis=0) == pytest.approx(np.ones(8))
    assert np.abs(np.corrcoef(scores.T) - np.eye(8)).max() < 0.1
