"""What a set is worth, against the studies that the credits are tied to. The source stands beside each check."""

from dataclasses import replace

import pytest

from floorward import tables
from floorward.core.levers import tempo_is_too_slow
from floorward.core.records import SetUp
from floorward.core.usual_week import TrainedSet, holding, is_least_for_powerlifters
from floorward.core.worth import Effort, Trains, counted_sets, credit, is_training, trains_of

TO_FAILURE = Effort(share=0.8, repetitions=8, left=0)


def at(share: float, left: float = 0.0, repetitions: int = 8) -> Effort:
    return replace(TO_FAILURE, share=share, left=left, repetitions=repetitions)


def test_a_fifth_of_the_heaviest_single_grows_less_than_half_as_much() -> None:
    # Lasevicius 2018: thigh 8.9 against 20.5 %, elbow flexors 11.4 against 25.0 %, at 20 against 40 % to failure.
    low, high = sorted((8.9 / 20.5, 11.4 / 25.0))
    ratio = credit(at(0.2)).size / credit(at(0.4)).size
    assert low - 0.005 <= ratio <= high + 0.005


def test_from_forty_to_eighty_percent_growth_is_alike() -> None:
    # Lasevicius 2018: thigh +20.5, 20.4, 19.5 %, elbow flexors +25.3, 25.1, 25.0 % at 40, 60, 80 %.
    sizes = [credit(at(share)).size for share in (0.4, 0.6, 0.8)]
    assert max(sizes) / min(sizes) <= 1.05


def test_a_light_load_to_failure_keeps_size_and_loses_strength() -> None:
    # Schoenfeld 2017: 60 % and under against over 60 %, to failure: growth similar, 1RM gain greater with the heavy load.
    light, heavy = credit(at(0.5)), credit(at(0.8))
    assert light.size == heavy.size
    assert light.strength < heavy.strength


def test_strength_at_thirty_to_fifty_percent_is_that_of_the_bench_press_study() -> None:
    # Morton 2016: bench press 1RM +9 ± 1 kg at 30-50 % against +14 ± 1 kg at 75-90 %.
    assert credit(at(0.4)).strength / credit(at(0.825)).strength == pytest.approx(9 / 14, abs=0.01)


def test_training_begins_where_all_of_a_muscle_can_be_reached() -> None:
    # Schoenfeld 2017, introduction: full recruitment argued to be possible from about 30 % to failure.
    assert is_training(0.3)
    assert not is_training(0.29)


def test_four_direct_and_two_indirect_sets_are_five() -> None:
    # Pelland 2025: direct sets count 1, indirect ½.
    direct = Trains(direct=("triceps",))
    indirect = Trains(direct=("chest",), indirect=("triceps",))
    counted = counted_sets({"extension": (4, direct), "press": (2, indirect)})
    assert counted == {"triceps": 5.0, "chest": 2.0}


def test_growth_never_rises_with_repetitions_left_and_strength_hardly_falls() -> None:
    # Robinson 2024: hypertrophy slope negative, strength slope not told from none.
    near = [credit(at(0.75, left)) for left in range(11)]
    sizes = [one.size for one in near]
    assert sizes == sorted(sizes, reverse=True)
    assert sizes[0] > sizes[5] > sizes[10]
    assert near[10].strength >= 0.9 * near[0].strength


@pytest.mark.parametrize("share", [0.5, 0.7, 0.85])
@pytest.mark.parametrize("left", [0, 2, 4])
def test_misjudging_what_is_left_as_people_do_hardly_moves_the_credit(share: float, left: int) -> None:
    # Halperin 2022: people have 0.95 repetitions more than they say (0.17 to 1.73).
    said, true = at(share, left), at(share, left + tables.value("strength", "rir_under_prediction")[1])
    assert credit(said).size - credit(true).size <= 0.08


def done(share: float, *, repetitions: int = 3, rpe: float = 8, day: int = 0) -> TrainedSet:
    effort = Effort(share=share, repetitions=repetitions, left=10 - rpe)
    return TrainedSet(
        lift="deadlift", day=day, effort=effort, trains=trains_of(SetUp(lift="deadlift")), rpe=rpe
    )


def test_one_set_at_the_usual_load_holds_a_young_lifter() -> None:
    # Spiering 2021: 1 session a week and 1 set an exercise, while relative load is kept.
    assert holding([done(0.8)], usual_share=0.8, age_years=30).held
    assert not holding([done(0.6)], usual_share=0.8, age_years=30).held
    assert not holding([], usual_share=0.8, age_years=30).held


def test_an_older_lifter_needs_two_sets_on_two_days() -> None:
    # Spiering 2021: older people up to 2 sessions a week, 2-3 sets; Bickel 2011: 60 to 75 years.
    twice = [done(0.8, day=0), done(0.8, day=3)]
    assert not holding(twice[:1], usual_share=0.8, age_years=66).held
    assert not holding([done(0.8), done(0.8)], usual_share=0.8, age_years=66).held
    assert holding(twice, usual_share=0.8, age_years=66).held


def test_three_triples_over_eighty_percent_are_the_least_for_powerlifters() -> None:
    # Androulakis-Korakakis 2021: 3-6 working sets of 1-5 repetitions a week, over 80 %, RPE 7.5-9.5.
    assert is_least_for_powerlifters([done(0.85, rpe=8)] * 3)
    assert not is_least_for_powerlifters([])
    assert not is_least_for_powerlifters([done(0.85, rpe=8)] * 2)
    assert not is_least_for_powerlifters([done(0.75, rpe=8)] * 3)
    assert not is_least_for_powerlifters([done(0.85, rpe=6)] * 3)


@pytest.mark.parametrize("seconds", [0.5, 3.5, 8.0])
def test_half_a_second_to_eight_a_repetition_are_alike(seconds: float) -> None:
    # Schoenfeld 2015: 0.5-8 s similar, over 10 s probably inferior.
    assert not tempo_is_too_slow(seconds)
    assert tempo_is_too_slow(10.5)


def test_a_shortened_range_grows_a_little_less() -> None:
    # Wolf 2023: full against partial range +0.13 (-0.01 to 0.27) in favour of full; long-length partials as good.
    full, short = credit(TO_FAILURE), credit(replace(TO_FAILURE, shortened=True))
    assert 0.8 * full.size <= short.size < full.size
    assert tables.value("worth", "range_growth", "lengthened") == 1.0
