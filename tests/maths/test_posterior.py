import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from floorward.maths import posterior, posterior_reading
from floorward.maths.posterior import Line, Mixture
from floorward.maths.posterior_interval import chance_at_most, interval, noise

SURE = noise([1.0], [0.8])
MIXED = noise([0.85, 0.15], [0.75, 1.25])


def density(mean, variance, blur):
    parts = zip(blur.share, blur.deviation, strict=True)
    mixture = [(share, stats.norm(mean, np.sqrt(variance + deviation**2))) for share, deviation in parts]
    return lambda y: sum(share * part.pdf(y) for share, part in mixture)


def seen(low, high, mean=0.0, variance=1.0, blur=MIXED):
    return interval(
        low=np.array(low), high=np.array(high), centre=np.array(mean), variance=np.array(variance), noise=blur
    )


@pytest.mark.parametrize(("low", "high"), [(-np.inf, 0.5), (0.5, 1.5), (2.5, np.inf), (-4.0, -3.0), (-9, 9)])
def test_the_weight_of_a_report_is_the_area_over_its_interval(low, high):
    area = integrate.quad(density(0.3, 2.0, MIXED), low, high)[0]
    assert np.exp(seen(low, high, 0.3, 2.0).log_mass) == pytest.approx(area, rel=1e-7)


@pytest.mark.parametrize(("low", "high"), [(-np.inf, 0.5), (0.5, 1.5), (2.5, np.inf), (-12.0, -11.0)])
def test_pull_and_curve_are_the_derivatives_of_the_weight(low, high):
    step = 1e-4
    mass = [np.exp(seen(low, high, 0.3 + d).log_mass) for d in (-step, 0.0, step)]
    found = seen(low, high, 0.3)
    assert found.first == pytest.approx((mass[2] - mass[0]) / (2 * step) / mass[1], rel=1e-5)
    assert found.second == pytest.approx((mass[2] - 2 * mass[1] + mass[0]) / step**2 / mass[1], rel=1e-3)


@given(st.floats(-1e3, 1e3), st.floats(0.0, 1e3), st.integers(0, 10))
def test_no_report_is_too_surprising_to_be_used(mean, variance, pain):
    found = seen(pain - 0.5 if pain else -np.inf, pain + 0.5, mean, variance)
    assert np.isfinite([found.log_mass, found.first, found.second]).all()


@given(st.floats(-60, 60), st.floats(0.0, 50.0))
def test_a_higher_interval_pulls_further_when_the_noise_is_normal(mean, variance):
    pulls = [seen(low, low + 1, mean, variance, SURE).first for low in np.arange(-0.5, 10)]
    assert np.all(np.diff(pulls) >= -1e-9)


def test_an_open_interval_changes_nothing():
    before = two_nodes()
    after = posterior.observe(before, line(), low=np.full(2, -np.inf), high=np.full(2, np.inf), noise=MIXED)
    assert after.mean == pytest.approx(before.mean)
    assert after.covariance == pytest.approx(before.covariance)
    assert after.weight == pytest.approx(before.weight)


def two_nodes() -> Mixture:
    return posterior.start(
        log_weight=np.log([0.3, 0.7]), mean=np.array([5.0, 0.0]), variance=np.array([0.25, 0.01])
    )


def line(offset=(31.0, 62.0)) -> Line:
    return Line(direction=np.array([1.0, 1.0]), scale=np.array([6.0, 12.0]), offset=np.array(offset))


def brute(mixture, hung, low, high, blur):
    """Weights and moments of the first state by plain summation over a fine grid of both states."""
    first, second = np.meshgrid(np.linspace(2, 8, 601), np.linspace(-0.6, 0.6, 241), indexing="ij")
    weights, means, variances = [], [], []
    for node in range(2):
        prior = stats.norm.pdf(first, 5.0, 0.5) * stats.norm.pdf(second, 0.0, 0.1)
        centre = hung.offset[node] - hung.scale[node] * (first + second)
        parts = zip(blur.share, blur.deviation, strict=True)
        told = sum(
            p * (stats.norm.cdf((high - centre) / g) - stats.norm.cdf((low - centre) / g)) for p, g in parts
        )
        joint = prior * told
        weights.append(mixture.weight[node] * joint.sum() / prior.sum())
        means.append((joint * first).sum() / joint.sum())
        variances.append((joint * first**2).sum() / joint.sum() - means[-1] ** 2)
    return np.array(weights) / np.sum(weights), np.array(means), np.array(variances)


@pytest.mark.parametrize(("low", "high"), [(1.5, 2.5), (6.5, 7.5), (-np.inf, 0.5), (9.5, np.inf)])
def test_one_report_gives_the_exact_weights_and_moments(low, high):
    before, hung = two_nodes(), line()
    after = posterior.observe(before, hung, low=np.full(2, low), high=np.full(2, high), noise=MIXED)
    weight, mean, variance = brute(before, hung, low, high, MIXED)
    assert after.weight == pytest.approx(weight, abs=1e-4)
    assert after.mean[:, 0] == pytest.approx(mean, abs=1e-4)
    assert after.covariance[:, 0, 0] == pytest.approx(variance, abs=1e-4)


def test_a_jump_that_nobody_saw_keeps_its_mean_and_variance():
    before = two_nodes()
    joined = posterior.joined(posterior.forked(before, 1, chance=0.2, mean=-0.22, variance=0.15**2))
    assert joined.mean[:, 1] == pytest.approx(before.mean[:, 1] - 0.2 * 0.22)
    grown = 0.2 * 0.15**2 + 0.2 * 0.8 * 0.22**2
    assert joined.covariance[:, 1, 1] == pytest.approx(before.covariance[:, 1, 1] + grown)
    assert joined.weight == pytest.approx(before.weight)


def test_a_report_makes_a_jump_likelier_where_it_explains_it():
    forked = posterior.forked(two_nodes(), 1, chance=0.2, mean=-0.5, variance=0.01)
    twice = Line(direction=line().direction, scale=np.tile(line().scale, 2), offset=np.tile(line().offset, 2))
    seen_high = posterior.observe(forked, twice, low=np.full(4, 8.5), high=np.full(4, 9.5), noise=SURE)
    assert seen_high.weight[2:].sum() > 0.2


def test_advancing_moves_mean_and_covariance_linearly():
    move = np.array([[0.9, 0.1], [0.0, 0.5]])
    drift = np.diag([0.01, 0.02])
    before = two_nodes()
    after = posterior.advance(before, transition=np.stack([move, move]), drift=drift)
    assert after.mean[0] == pytest.approx(move @ before.mean[0])
    assert after.covariance[1] == pytest.approx(move @ before.covariance[1] @ move.T + drift)


def test_quantiles_agree_with_the_mixture_they_come_from():
    mixture, way = two_nodes(), np.array([1.0, 1.0])
    moved = posterior.observe(mixture, line(), low=np.full(2, 5.5), high=np.full(2, 6.5), noise=MIXED)
    found = posterior_reading.quantiles(moved, way, (0.05, 0.5, 0.95))
    mean, variance = posterior.projected(moved, way)
    under = [(moved.weight * stats.norm.cdf(q, mean, np.sqrt(variance))).sum() for q in found]
    assert under == pytest.approx([0.05, 0.5, 0.95], abs=1e-6)


def test_chances_of_all_outcomes_sum_to_one_and_match_the_single_chance():
    cuts = np.tile(np.arange(10) + 0.5, (2, 1))
    hung = line(offset=np.array([[31.0, 62.0], [33.0, 66.0]]))
    ahead = posterior_reading.outlook(two_nodes(), hung, cuts=cuts, noise=MIXED)
    at_most = posterior_reading.chance(two_nodes(), hung, high=cuts[:, 3], noise=MIXED)
    assert ahead.chance.sum(axis=-1) == pytest.approx([1.0, 1.0])
    assert ahead.chance[:, :4].sum(axis=-1) == pytest.approx(at_most)


def test_the_outlook_is_what_the_report_then_brings():
    cuts, hung = np.tile(np.arange(10) + 0.5, (2, 1)), line()
    ahead = posterior_reading.outlook(
        two_nodes(),
        Line(direction=hung.direction, scale=hung.scale, offset=hung.offset[None]),
        cuts=cuts,
        noise=MIXED,
    )
    after = posterior.observe(two_nodes(), hung, low=np.full(2, 3.5), high=np.full(2, 4.5), noise=MIXED)
    _, spread = posterior_reading.moments(after, hung.direction)
    assert ahead.spread[0, 4] == pytest.approx(spread, rel=1e-6)


def test_many_cases_at_once_give_what_each_gives_alone():
    one, two = two_nodes(), posterior.shifted(two_nodes(), 0, mean=np.array(0.4), variance=np.array(0.0))
    both = Mixture(
        log_weight=np.stack([one.log_weight, two.log_weight]),
        mean=np.stack([one.mean, two.mean]),
        covariance=np.stack([one.covariance, two.covariance]),
    )
    limits = {"low": np.full(2, 3.5), "high": np.full(2, 4.5), "noise": MIXED}
    together = posterior.observe(both, line(), **limits)
    assert together.mean[1] == pytest.approx(posterior.observe(two, line(), **limits).mean)


def test_the_chance_below_a_bound_is_the_area_below_it():
    found = chance_at_most(high=np.array(2.5), centre=np.array(1.0), variance=np.array(2.0), noise=MIXED)
    assert found == pytest.approx(integrate.quad(density(1.0, 2.0, MIXED), -np.inf, 2.5)[0], rel=1e-7)
