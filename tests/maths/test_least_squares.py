"""Least squares with rules: textbook cases with known answers, many at once."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.maths.least_squares import Bounds, Rows, broken, minimise, solve_symmetric

LINE = Rows(squared=2, equal=np.array([False]), weight=300.0)
FREE = Rows(squared=2, equal=np.zeros(0, dtype=bool), weight=300.0)
UNBOUND = Bounds(turns=np.zeros((0, 2)), least=np.zeros((0, 1)))


def towards(target):
    """(x - a)² + (y - b)² with the rule x + y <= 1."""

    def rows(unknowns):
        x, y = unknowns
        values = np.stack([x - target[0], y - target[1], 1.0 - x - y])
        slopes = np.zeros((3, 2, *x.shape))
        slopes[0, 0] = slopes[1, 1] = 1.0
        slopes[2] = -1.0
        return values, slopes

    return rows


def freely_towards(target):
    """The same without the rule."""
    rows = towards(target)
    return lambda unknowns: tuple(part[:2] for part in rows(unknowns))


def solved(target, rows=LINE):
    return minimise(
        towards(np.asarray(target, dtype=float)),
        np.zeros((2, len(target[0]))),
        rows,
        UNBOUND,
        iterations=30,
        reach=1.0,
    )


def test_a_free_minimum_is_found():
    found = solved(([0.2], [0.3]))
    assert found.unknowns[:, 0] == pytest.approx([0.2, 0.3])
    assert found.cost[0] == pytest.approx(0.0, abs=1e-12)


def test_a_rule_that_binds_is_kept_to_a_hairs_breadth():
    """Nearest point of the line x + y = 1 to (1, 1) is (½, ½)."""
    found = solved(([1.0], [1.0]))
    assert found.unknowns[:, 0] == pytest.approx([0.5, 0.5], abs=1e-4)
    assert found.breach[0, 0] < 1e-4


TARGETS = st.lists(st.tuples(st.floats(-2, 2), st.floats(-2, 2)), min_size=1, max_size=20)


@given(TARGETS)
def test_a_bound_is_kept_as_the_same_rule_among_the_rows_is(targets):
    """x + y <= 1 once more, now said as -x - y >= -1."""
    target = np.array(targets).T
    bound = Bounds(turns=np.array([[-1.0, -1.0]]), least=np.array([[-1.0]]))
    found = minimise(freely_towards(target), np.zeros(target.shape), FREE, bound, iterations=30, reach=1.0)
    assert found.unknowns == pytest.approx(solved(target).unknowns, abs=1e-6)
    assert found.breach.max() < 1e-4


def test_each_problem_has_bounds_of_its_own():
    bound = Bounds(turns=np.array([[1.0, 0.0]]), least=np.array([[0.5, -0.5]]))
    found = minimise(freely_towards(np.zeros((2, 2))), np.ones((2, 2)), FREE, bound, iterations=30, reach=1.0)
    assert found.unknowns[0] == pytest.approx([0.5, 0.0], abs=1e-4)


def test_what_has_settled_says_so_and_what_ran_out_of_steps_does_not():
    target = np.array([[5.0, 0.0], [0.0, 0.0]])
    found = minimise(freely_towards(target), np.zeros((2, 2)), FREE, UNBOUND, iterations=3, reach=1.0)
    assert (found.falling > 1e-6).tolist() == [True, False]
    found = minimise(freely_towards(target), np.zeros((2, 2)), FREE, UNBOUND, iterations=30, reach=1.0)
    assert (found.falling <= 1e-6).all()


@given(TARGETS)
def test_many_problems_are_solved_as_one_would_be(targets):
    target = np.array(targets).T
    found = solved(target)
    over = np.maximum(target.sum(axis=0) - 1.0, 0.0) / 2
    assert found.unknowns == pytest.approx(target - over, abs=2e-4)


def test_an_equality_holds_from_both_sides():
    rows = Rows(squared=2, equal=np.array([True]), weight=300.0)
    for target in ([1.0, 1.0], [-1.0, -1.0]):
        found = solved(([target[0]], [target[1]]), rows)
        assert found.unknowns.sum() == pytest.approx(1.0, abs=1e-4)


def test_the_banana_valley_is_followed_to_its_end():
    """Rosenbrock: residuals 10 (y - x²) and 1 - x, least at (1, 1)."""

    def rows(unknowns):
        x, y = unknowns
        values = np.stack([10 * (y - x**2), 1 - x])
        slopes = np.zeros((2, 2, *x.shape))
        slopes[0, 0], slopes[0, 1], slopes[1, 0] = -20 * x, 10.0, -1.0
        return values, slopes

    start = np.array([[-1.2, 2.0, 0.0], [1.0, -1.0, 3.0]])
    found = minimise(rows, start, FREE, UNBOUND, iterations=60, reach=1.0)
    assert found.unknowns == pytest.approx(np.ones((2, 3)), abs=1e-5)


def test_a_heavily_held_back_step_only_mends_the_rules():
    found = minimise(
        towards(np.array([[5.0], [0.0]])),
        np.array([[1.0], [0.1]]),
        LINE,
        UNBOUND,
        iterations=2,
        reach=1.0,
        damping=1e4,
    )
    assert found.unknowns[:, 0] == pytest.approx([0.95, 0.05], abs=5e-3)


def test_breaches_count_one_way_for_bounds_and_both_ways_for_equalities():
    slacks = np.array([[-0.2, 0.3], [-0.2, 0.3]])
    assert broken(slacks, np.array([True, False])).tolist() == [[0.2, 0.3], [0.2, 0.0]]


def test_small_systems_are_solved_like_numpy_does_from_their_upper_half():
    rng = np.random.default_rng(0)
    root = rng.normal(size=(50, 4, 4))
    matrix, right = root @ root.transpose(0, 2, 1) + np.eye(4), rng.normal(size=(50, 4))
    found = solve_symmetric(np.triu(matrix).transpose(1, 2, 0), right.T)
    assert pytest.approx(np.linalg.solve(matrix, right[..., None])[..., 0]) == found.T
