"""What one more tape measure buys for one pull."""

from dataclasses import replace

import pytest

from floorward.core.body import TAPES, links_of, tape_scores
from floorward.core.measuring import gains, likely_tape_m, sureness
from floorward.core.records import Person, SetUp, Sex, Tape

MAN = Person(stature_m=1.76, mass_kg=85, sex=Sex.MALE)
TALL = Person(stature_m=2.03, mass_kg=110, sex=Sex.MALE)
FLOOR = SetUp(lift="deadlift", height_mm=225)


def test_every_measure_that_is_missing_has_its_gain_the_best_in_front():
    found = gains(MAN, FLOOR, 140.0)
    assert {gain.tape for gain in found} == set(TAPES)
    assert [gain.most for gain in found] == sorted((gain.most for gain in found), reverse=True)


def test_what_splits_leg_from_trunk_buys_most_of_a_pull_and_no_tape_buys_much():
    found = gains(MAN, FLOOR, 140.0)
    assert found[0].tape == "crotch"
    assert 0.05 < found[0].demand_narrower < 0.3
    assert all(gain.most > 0 for gain in found)


def test_a_gain_is_what_the_band_really_loses_once_the_measure_is_taken():
    best = gains(MAN, FLOOR, 140.0)[0]
    taken = replace(MAN, tape=replace(MAN.tape, **{f"{best.tape}_m": best.likely_m}))
    now, then = sureness(MAN, FLOOR, 140.0), sureness(taken, FLOOR, 140.0)
    assert best.now == now
    assert best.then == then
    lost = 1 - (then.demand.p90 - then.demand.p10) / (now.demand.p90 - now.demand.p10)
    assert best.demand_narrower == pytest.approx(lost)


def test_what_a_tape_will_probably_read_is_no_surprise_at_any_height():
    for name in TAPES:
        taken = replace(TALL, tape=replace(TALL.tape, **{f"{name}_m": likely_tape_m(TALL, name)}))
        assert tape_scores(taken)[name] == pytest.approx(0.0, abs=1e-6)
        assert links_of(taken).mean_m == pytest.approx(links_of(TALL).mean_m, abs=1e-9)


def test_what_is_taken_is_not_offered_and_with_all_taken_nothing_is():
    some = replace(MAN, tape=Tape(span_m=1.82))
    assert "span" not in {gain.tape for gain in gains(some, FLOOR, 140.0)}
    all_of_it = replace(MAN, tape=Tape(**{f"{name}_m": likely_tape_m(MAN, name) for name in TAPES}))
    assert gains(all_of_it, FLOOR, 140.0) == ()


def test_a_start_that_is_not_reached_has_no_gains():
    assert gains(MAN, SetUp(lift="deadlift", height_mm=2000), 140.0) == ()
