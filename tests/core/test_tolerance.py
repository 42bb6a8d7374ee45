from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floorward.core import belief
from floorward.core.facts import facts
from floorward.core.tolerance import (
    Priors,
    Report,
    chance_unacceptable,
    demand_quantiles,
    first_on_variation,
    loads_at,
    takes_to,
    tolerance_of,
)
from floorward.errors import ContractError

PRIORS = Priors(usual_demand=651, provoking_demand=651, provoking_pain=7)
BLOCKS = replace(PRIORS, variations=("blocks", "trap-bar"))


def report(day, demand, pain, **more):
    return Report(day=day, demand=demand, pain=pain, **more)


def median(reports, today=None, priors=PRIORS):
    return tolerance_of(reports, priors, reports[-1].day if today is None else today).band.median


def test_before_any_report_the_usual_load_and_what_it_did_are_all_that_is_known():
    band = tolerance_of((), PRIORS, 0).band
    assert 0.2 * 651 < band.p05 < band.p40 < band.median < band.p95 < 1.1 * 651


def test_a_worse_beginning_means_less_tolerance():
    mild, bad = (tolerance_of((), replace(PRIORS, provoking_pain=pain), 0).band for pain in (4, 9))
    assert bad.median < mild.median


def test_reports_narrow_the_band():
    before, after = tolerance_of((), PRIORS, 0).band, tolerance_of([report(0, 400, 3)], PRIORS, 0).band
    assert after.p95 / after.p05 < before.p95 / before.p05


def test_time_alone_heals():
    assert median([report(0, 350, 3)], today=42) > median([report(0, 350, 3)], today=0)


def test_time_alone_widens_the_band():
    soon, late = (tolerance_of([report(0, 350, 3)], PRIORS, day).band for day in (1, 60))
    assert late.p95 / late.p05 > soon.p95 / soon.p05


def test_a_worse_morning_lowers_and_an_unanswered_one_says_nothing():
    told = [median([report(0, 350, 2, morning_change=change)]) for change in (None, 0, 1, 2)]
    assert told[1] > told[0] > told[2] > told[3]


def test_a_no_counts_as_over_the_ceiling():
    refused = median([report(0, 350, 1, acceptable=False)])
    assert refused == pytest.approx(median([report(0, 350, 4)]))


def test_pain_at_rest_is_not_held_against_the_set():
    assert median([report(0, 350, 2, rest_pain=2)]) > median([report(0, 350, 2, rest_pain=0)])


@settings(max_examples=40)
@given(st.lists(st.tuples(st.integers(0, 6), st.floats(150, 600), st.integers(0, 9)), min_size=1, max_size=6))
def test_more_pain_on_the_last_report_never_raises_the_tolerance(rows):
    day, reports = 0, []
    for gap, demand, pain in rows:
        day += gap
        reports.append(report(day, demand, pain))
    worse = [*reports[:-1], replace(reports[-1], pain=reports[-1].pain + 1)]
    assert median(worse) <= median(reports) * (1 + 1e-9)


def test_the_order_of_one_days_reports_of_different_lifts_does_not_matter():
    one, two = report(3, 420, 5), report(3, 380, 2, variation="blocks", bend=-0.2)
    assert tolerance_of([one, two], BLOCKS, 4).band == tolerance_of([two, one], BLOCKS, 4).band


def test_another_variation_teaches_about_the_painful_lift_but_less():
    before = tolerance_of((), BLOCKS, 0).band
    own = tolerance_of([report(0, 400, 3)], BLOCKS, 0).band
    other = tolerance_of([report(0, 400, 3, variation="blocks")], BLOCKS, 0).band
    width = [band.p95 / band.p05 for band in (own, other, before)]
    assert width == sorted(width)


def test_a_lifter_who_takes_to_a_variation_is_seen_to():
    reports = [report(d, 400, 4) for d in (0, 3, 7)] + [
        report(d, 400, 0, variation="blocks") for d in (10, 14, 17)
    ]
    better, spread = takes_to(tolerance_of(reports, BLOCKS, 17), "blocks")
    unknown, before = takes_to(tolerance_of((), BLOCKS, 0), "blocks")
    assert better > unknown == pytest.approx(0.0)
    assert spread < before


def test_a_bend_minder_is_seen_by_what_a_higher_bar_does():
    more, less = (report(0, 400, pain, variation="blocks", bend=-0.5) for pain in (4, 0))
    mind = [
        takes_to(tolerance_of([report(0, 400, 4), each], BLOCKS, 0), "blocks", -0.5)[0]
        for each in (more, less)
    ]
    assert mind[1] > mind[0]


def test_the_first_set_on_another_variation_asks_less_than_the_accepted_one():
    now = tolerance_of([report(0, 400, 2), report(4, 420, 2)], BLOCKS, 4)
    loads, asked = (60.0, 80.0, 100.0, 120.0), (300.0, 340.0, 380.0, 420.0)
    assert first_on_variation(now, 420, loads, asked, "blocks") in {60.0, 80.0}
    assert first_on_variation(now, 100, loads, asked, "blocks") is None


def test_quantiles_read_as_loads_on_a_set_up():
    loads, asked = (60.0, 80.0, 100.0), (300.0, 340.0, 380.0)
    assert loads_at((299, 300, 379, 1000), loads, asked) == (None, 60.0, 80.0, 100.0)
    low, high = demand_quantiles(tolerance_of((), PRIORS, 0), (0.05, 0.95))
    assert low < high


def test_a_heavier_load_is_likelier_to_be_too_much():
    chances = chance_unacceptable(tolerance_of([report(0, 350, 2)], PRIORS, 1), np.linspace(150, 700, 30))
    assert np.all(np.diff(chances) > 0)


def test_the_facts_that_moved_it_most_stand_first():
    reports = [report(0, 300, 0), report(3, 320, 1), report(7, 330, 8), report(10, 300, 1)]
    found = facts(reports, PRIORS, 11)
    assert found[0].report == reports[2]
    assert found[0].shift < 0
    assert [abs(f.shift) for f in found] == sorted((abs(f.shift) for f in found), reverse=True)
    assert len(found) == 3
    assert facts((), PRIORS, 3) == ()


def test_leaving_a_report_out_is_what_its_fact_says():
    reports = [report(0, 300, 1), report(3, 360, 4)]
    moved = {f.report: f.shift for f in facts(reports, PRIORS, 3)}
    state = belief.advanced(tolerance_of(reports[:1], PRIORS, 0).state, 3)
    without = belief.rested_quantiles(state, (0.5,), way=belief.direction(state))[0]
    full = tolerance_of(reports, PRIORS, 3).state
    whole = belief.rested_quantiles(full, (0.5,), way=belief.direction(full))[0]
    # the set was done, so what it aggravated stays, with its doubt
    assert moved[reports[1]] == pytest.approx(whole - without, abs=5e-3)


def test_five_hundred_exposures_stay_finite():
    many = [report(i // 2, 250 + i % 200, i % 9, morning_change=i % 4 - 1) for i in range(500)]
    band = tolerance_of(many, PRIORS, 250).band
    assert 10 < band.p05 < band.median < band.p95 < 1e5


def test_the_same_log_gives_the_same_numbers():
    log = [report(d, 300 + d, d % 4, morning_change=0) for d in range(0, 40, 3)]
    assert tolerance_of(log, PRIORS, 41).band == tolerance_of(log, PRIORS, 41).band


@pytest.mark.parametrize(
    ("reports", "today", "says"),
    [
        ([report(3, 300, 1), report(2, 300, 1)], 4, "order of their days"),
        ([report(5, 300, 1)], 4, "order of their days"),
        ([report(-1, 300, 1)], 4, "order of their days"),
        ([report(1, 300, 1, variation="blocks")], 4, "not among those"),
    ],
)
def test_a_log_out_of_order_is_our_own_mistake(reports, today, says):
    with pytest.raises(ContractError, match=says):
        tolerance_of(reports, PRIORS, today)


def test_a_flare_may_come_between_sessions_and_is_seen_when_it_came():
    calm = tolerance_of([report(d, 350, 1) for d in (0, 3, 7, 10)], PRIORS, 10)
    hit = tolerance_of([*[report(d, 350, 1) for d in (0, 3, 7)], report(10, 350, 6)], PRIORS, 10)
    flared = hit.state.mixture.weight[len(hit.state.grid.slope) :].sum()
    assert flared > 2 * calm.state.mixture.weight[len(calm.state.grid.slope) :].sum()


@pytest.mark.parametrize("ceiling", range(6))
def test_the_cuts_go_upward_for_every_shape_and_ceiling(ceiling):
    assert np.all(np.diff(belief.grid(ceiling, healing=True).cuts, axis=1) > 0)
