"""The fast posterior against the same model sampled at length, and against lifters drawn from its own priors."""

import tomllib
import warnings

import numpy as np
import pytest
from bench import nuts, own_draws, weighed_draws

STORED = tomllib.loads(nuts.STORED.read_text())


def test_the_long_runs_have_settled():
    assert len(STORED) >= 8
    assert set(STORED) <= set(nuts.HISTORIES)
    for long in STORED.values():
        assert long["r_hat"] <= 1.01
        assert long["effective_draws"] >= 400


@pytest.mark.parametrize("name", STORED)
def test_the_fast_posterior_agrees_with_the_long_run(name):
    quick, long = nuts.fast(name), STORED[name]
    assert abs(quick.mean - long["mean"]) <= 0.1 * long["deviation"]
    assert 0.9 <= quick.deviation / long["deviation"] <= 1.1
    assert quick.bearable == pytest.approx(long["bearable"], abs=0.01)


def test_a_short_run_finds_what_the_long_run_found():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        short, _, effective = nuts.sampled("one hard set", chains=1, warm_up=150, draws=250, seed=5)
    long = STORED["one hard set"]
    error = 4.0 * long["deviation"] / np.sqrt(effective)
    assert effective > 50
    assert short.mean == pytest.approx(long["mean"], abs=error)
    assert 0.75 <= short.deviation / long["deviation"] <= 1.25
    assert short.bearable == pytest.approx(long["bearable"], abs=0.08)


def test_nine_of_ten_lifters_drawn_from_the_priors_lie_in_the_interval_of_ninety_percent():
    _, most = own_draws.inside(seed=7, count=100)
    each = most.mean(axis=0)
    error = each.std() / np.sqrt(len(each))
    assert error < 0.025
    assert 0.88 - 3 * error <= each.mean() <= 0.92 + 3 * error


@pytest.mark.parametrize("name", weighed_draws.ODD)
def test_where_an_earlier_worse_score_raises_the_tolerance_it_is_the_model_that_says_so(name):
    first, sets, place = weighed_draws.ODD[name]
    more = weighed_draws.raised(sets, place)
    before, after = (weighed_draws.weighed(first, told, seed=5, draws=200_000) for told in (sets, more))
    drawn, fast = (
        after.median - before.median,
        weighed_draws.fast(first, more) - weighed_draws.fast(first, sets),
    )
    assert fast > 0.05
    assert drawn == pytest.approx(fast, abs=0.06)
