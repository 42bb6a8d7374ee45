"""First loads of other pulls, and the order to offer them in."""

from dataclasses import replace
from decimal import Decimal

import pytest

from floorward.core.atlas import equal_demand_load_kg
from floorward.core.plates import loads
from floorward.core.records import Person, Region, SetUp, Sex
from floorward.core.variations import Accepted, Candidate, Compared, Limit, ranked
from floorward.errors import ContractError
from floorward.units import Unit, kg, lb, to_kg
from tests.core.iron import KG_GYM, LB_GYM

MAN = Person(stature_m=1.76, mass_kg=85, sex=Sex.MALE)
FLOOR = Accepted(setup=SetUp(lift="deadlift", height_mm=225), load=kg("107.5"), region=Region.LOW_BACK)
LOADS = loads(KG_GYM)
SUMO = Candidate(setup=SetUp(lift="sumo-deadlift", height_mm=225), loads=LOADS, unit=Unit.KG)
TRAP_HIGH = Candidate(setup=SetUp(lift="trap-bar-high", height_mm=345), loads=LOADS, unit=Unit.KG)
TRAP_LOW = Candidate(setup=SetUp(lift="trap-bar-low", height_mm=225), loads=LOADS, unit=Unit.KG)
ROMANIAN = Candidate(setup=SetUp(lift="romanian-deadlift"), loads=LOADS, unit=Unit.KG)
RAISED = Candidate(setup=SetUp(lift="deadlift", height_mm=425), loads=LOADS, unit=Unit.KG)


def only(candidate, accepted=FLOOR):
    (option,) = ranked(MAN, accepted, [candidate])
    return option


def names(options):
    return [option.candidate.setup.lift for option in options]


def test_a_first_exposure_is_hardly_heavier_than_what_was_tested():
    option = only(TRAP_HIGH)
    assert option.limit is Limit.FIRST_EXPOSURE
    assert Decimal("1.10") * Decimal("107.5") == Decimal("118.25")
    assert option.load == Decimal("117.5")


def test_later_the_model_holds_it_at_thirteen_per_cent_under_equal_demand():
    option = only(replace(TRAP_HIGH, done_in_episode=True))
    equal_kg = equal_demand_load_kg(MAN, FLOOR.setup, 107.5, TRAP_HIGH.setup, Region.LOW_BACK)[1]
    assert option.limit is Limit.EQUAL_DEMAND
    assert option.load == max(load for load in LOADS if float(load) <= 0.87 * equal_kg)


def test_it_never_begins_over_the_lifters_own_usual():
    option = only(replace(ROMANIAN, usual=kg(90)))
    assert (option.limit, option.load, option.share_of_usual) == (Limit.OWN_USUAL, Decimal(90), 1.0)


def test_every_first_load_is_rounded_down_to_one_that_can_be_loaded():
    pounds = replace(TRAP_HIGH, loads=loads(LB_GYM), unit=Unit.LB)
    option = only(pounds)
    assert option.load in loads(LB_GYM)
    assert to_kg(lb(option.load)) <= 1.10 * 107.5


def test_pulls_with_a_usual_load_come_first_by_how_much_of_it_is_left_and_new_ones_last():
    mine = [replace(TRAP_LOW, usual=kg(250)), replace(ROMANIAN, usual=kg(120)), SUMO, TRAP_HIGH, RAISED]
    assert names(ranked(MAN, FLOOR, mine)) == [
        "romanian-deadlift", "trap-bar-low", "deadlift", "trap-bar-high", "sumo-deadlift",
    ]  # fmt: skip


def test_among_equals_less_bend_comes_first():
    high, low = ranked(MAN, FLOOR, [TRAP_LOW, TRAP_HIGH])
    assert names((high, low)) == ["trap-bar-high", "trap-bar-low"]
    assert high.bend_deg < low.bend_deg


def test_what_the_contest_forbids_comes_after_what_it_lets_them_do():
    shut = replace(SUMO, usual=kg(200), in_contest=False)
    assert names(ranked(MAN, FLOOR, [shut, replace(TRAP_LOW, usual=kg(300))])) == [
        "trap-bar-low",
        "sumo-deadlift",
    ]


def test_a_first_sumo_pull_brings_its_caution_about_the_hips():
    assert only(SUMO).cautions == ("sumo-hips",)
    assert only(replace(SUMO, usual=kg(150))).cautions == ()


def test_another_height_of_the_accepted_lift_is_not_a_new_lift():
    assert not only(RAISED).first_time
    assert only(TRAP_HIGH).first_time
    assert not only(replace(TRAP_HIGH, done_in_episode=True)).first_time


def test_the_words_follow_the_numbers():
    high = only(TRAP_HIGH)
    assert (high.demand, high.bend) == (Compared.LESS, Compared.LESS)
    assert high.demand_band.p10 < high.demand_share < high.demand_band.p90 < 1
    assert high.bend_band.p10 < high.bend_deg < high.bend_band.p90 < high.bend_was_deg


def test_beside_a_raised_start_nothing_that_bends_further_is_offered():
    raised = replace(FLOOR, setup=SetUp(lift="deadlift", height_mm=425), full_range=False)
    assert names(ranked(MAN, raised, [SUMO, TRAP_LOW, TRAP_HIGH])) == []


def test_a_gym_that_cannot_load_so_little_says_so():
    heavy = replace(TRAP_HIGH, loads=(Decimal(150), Decimal(160)))
    option = only(heavy)
    assert (option.load, option.too_heavy) == (Decimal(150), True)


def test_a_squat_is_found_anew():
    squat = Candidate(setup=SetUp(lift="high-bar-squat"), loads=LOADS, unit=Unit.KG)
    with pytest.raises(ContractError, match="found anew"):
        ranked(MAN, FLOOR, [squat])
    with pytest.raises(ContractError, match="found anew"):
        ranked(MAN, replace(FLOOR, setup=SetUp(lift="high-bar-squat")), [SUMO])
