from dataclasses import replace

import numpy as np
import pytest

from floorward.core import belief, played_rules
from floorward.core.forecast import Outset, forecast, reached_days, summary
from floorward.core.tolerance import Priors, Report, tolerance_of

LOADS = np.arange(20, 141, 2.5)
PRIORS = Priors(usual_demand=651, provoking_demand=651, provoking_pain=7)


def outset(reports=(), today=0, load=60.0, **changes):
    found = Outset(
        state=tolerance_of(reports, PRIORS, today).state,
        loads=LOADS,
        demands=119 + 3.8 * LOADS,
        usual=140.0,
        standing=played_rules.standing(np.array([int(np.searchsorted(LOADS, load))])),
        today=today,
        next_day=today + 3,
    )
    return replace(found, **changes)


def training(pain, days=28):
    return [Report(day=d, demand=340 + 2 * d, pain=pain, morning_change=0) for d in range(3, days, 4)]


def test_one_seed_gives_one_forecast():
    assert forecast(outset(), 7) == forecast(outset(), 7)
    assert (reached_days(outset(), 7) != reached_days(outset(), 8)).any()


def test_dates_come_in_their_order_and_after_today():
    found = forecast(outset(training(0), 28, 110.0), 7)
    assert 28 < found.p10_day <= found.p50_day
    assert found.p90_day is None or found.p50_day <= found.p90_day
    assert 0 <= found.share_not_by_26_weeks <= 1


def test_a_lifter_who_does_well_is_back_sooner_than_one_who_does_not():
    well, ill = (reached_days(outset(training(pain), 28, 80.0), 7) for pain in (0, 5))
    assert np.mean(np.minimum(well, 182)) < np.mean(np.minimum(ill, 182))


def test_nobody_is_back_faster_than_the_rules_let_the_load_grow():
    """From 60 kg to 126 kg in steps of 10 % at the most is 8 steps and more, two a week."""
    assert reached_days(outset(training(0), 28, 60.0), 7).min() >= 28 + 7 * 3.5


def test_after_26_weeks_nothing_is_forecast():
    found = forecast(outset(today=190, next_day=193), 7)
    assert (found.p10_day, found.share_not_by_26_weeks) == (None, 1.0)


def test_a_share_that_is_not_back_has_no_date():
    days = np.array([40.0] * 60 + [np.inf] * 40)
    found = summary(days)
    assert (found.p10_day, found.p50_day, found.p90_day) == (40.0, 40.0, None)
    assert found.share_not_by_26_weeks == pytest.approx(0.4)


def test_draws_carry_the_spread_of_what_is_believed():
    state = tolerance_of(training(2), PRIORS, 28).state
    rng, ends = np.random.default_rng(3), []
    for _ in range(20):
        node = rng.choice(len(state.mixture.weight), p=state.mixture.weight / state.mixture.weight.sum())
        ends.append(rng.multivariate_normal(state.mixture.mean[node], state.mixture.covariance[node]).sum())
    low, high = belief.rested_quantiles(state, (0.0005, 0.9995), way=belief.direction(state))
    assert np.isfinite([low, high, *ends]).all()
    assert low < high
