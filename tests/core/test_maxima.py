"""Maxima: own sets before ratios, ratios before guesses; and the trend."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.core.maxima import Basis, LiftMax, Ratio, lift_max, published_ratios, trend
from floorward.core.repetitions import HardSet
from floorward.core.strength import Estimate
from floorward.reports.wording import word

DEADLIFT = Estimate(low=190, middle=200, high=210)
SUMO = Estimate(low=150, middle=160, high=170)


def known(lift: str, own: dict[str, Estimate], modelled: dict[str, Ratio] | None = None) -> LiftMax:
    found = lift_max(lift, own, modelled)
    assert found is not None
    return found


def singles(*rows: tuple[int, float]) -> list[HardSet]:
    return [HardSet(load_kg=load_kg, repetitions=1, rpe=10, day=day) for day, load_kg in rows]


def test_own_sets_come_first() -> None:
    found = known("deadlift", {"deadlift": DEADLIFT, "sumo-deadlift": SUMO})
    assert (found.basis, found.middle, found.sources) == (Basis.OWN, 200, ())


def test_a_published_ratio_carries_a_lift_over_with_its_width() -> None:
    found = known("trap-bar-low", {"deadlift": DEADLIFT})
    assert (found.basis, found.known_from, found.sources) == (Basis.RATIO, "deadlift", ("swinton-2011",))
    assert (found.low, found.middle, found.high) == pytest.approx((190 * 1.05, 214, 210 * 1.09))


def test_a_ratio_works_in_both_directions() -> None:
    found = known("deadlift", {"trap-bar-low": Estimate(low=200, middle=214, high=220)})
    assert (found.low, found.middle, found.high) == pytest.approx((200 / 1.09, 200, 220 / 1.05))


def test_two_variations_are_tied_by_their_base() -> None:
    found = known("trap-bar-low", {"sumo-deadlift": SUMO})
    assert found.middle == pytest.approx(160 * 1.07)
    assert found.sources == ("cholewa-2019", "swinton-2011")


def test_a_ratio_of_our_own_is_called_a_guess() -> None:
    assert known("romanian-deadlift", {"deadlift": DEADLIFT}).basis == Basis.GUESS
    assert known("trap-bar-low", {"romanian-deadlift": SUMO}).basis == Basis.GUESS
    assert "guess" in word("max-basis", Basis.GUESS)


def test_a_published_way_goes_before_a_guess_and_a_narrow_one_before_a_wide_one() -> None:
    own = {"romanian-deadlift": SUMO, "sumo-deadlift": SUMO, "deadlift": DEADLIFT}
    assert known("trap-bar-low", own).known_from == "deadlift"


def test_a_squat_says_nothing_of_a_pull() -> None:
    assert lift_max("deadlift", {"high-bar-squat": DEADLIFT}) is None
    assert lift_max("deadlift", {}) is None


def test_the_mechanics_may_guess_only_what_nobody_published() -> None:
    modelled = {
        lift: Ratio(base="deadlift", low=2, middle=2, high=2, source="judgement")
        for lift in ("trap-bar-low", "block-pull", "romanian-deadlift")
    }
    assert known("block-pull", {"deadlift": DEADLIFT}, modelled).middle == 400
    assert known("romanian-deadlift", {"deadlift": DEADLIFT}, modelled).middle == 400
    assert known("trap-bar-low", {"deadlift": DEADLIFT}, modelled).basis == Basis.RATIO


@given(st.sampled_from(sorted(published_ratios())), st.sampled_from(sorted(published_ratios())))
def test_what_is_carried_over_is_a_range_around_its_middle(lift: str, from_lift: str) -> None:
    found = lift_max(lift, {from_lift: SUMO})
    assert found is None or found.low <= found.middle <= found.high


def test_a_steady_climb_is_a_trend() -> None:
    found = trend(singles((0, 100), (7, 101), (14, 102), (21, 103)))
    assert found is not None
    assert found.percent_per_week == pytest.approx(1, abs=0.05)
    assert found.low <= found.percent_per_week <= found.high
    assert found.days == 4


def test_one_bad_day_does_not_bend_the_trend() -> None:
    found = trend(singles((0, 100), (7, 101), (10, 40), (14, 102), (21, 103), (28, 104)))
    assert found is not None
    assert found.percent_per_week == pytest.approx(1, abs=0.1)


def test_the_best_set_of_a_day_stands_for_it() -> None:
    twice = trend(singles((0, 100), (0, 60), (10, 100), (20, 100)))
    assert twice is not None
    assert twice.percent_per_week == 0
    assert twice.days == 3


@pytest.mark.parametrize(
    "rows", [[(0, 100), (30, 110)], [(0, 100), (3, 101), (6, 102)]], ids=["few days", "one week"]
)
def test_few_or_close_days_make_no_trend(rows: list[tuple[int, float]]) -> None:
    assert trend(singles(*rows)) is None
