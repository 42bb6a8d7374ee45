from floorward.core.leaning import leaning
from floorward.core.tolerance import Priors, Report, tolerance_of

PRIORS = Priors(usual_demand=800.0, provoking_demand=800.0, provoking_pain=7, variations=("sumo",))


def season(pain_on_sumo: int, times: int):
    """Equal demand twice a week on both lifts: 3 on the painful one, and something else on the other."""
    reports = []
    for number in range(times):
        reports.append(Report(day=4 * number, demand=450.0, pain=3))
        reports.append(Report(day=4 * number + 2, demand=450.0, pain=pain_on_sumo, variation="sumo"))
    return tolerance_of(tuple(reports), PRIORS, 4 * times)


def test_nobody_leans_before_a_set_was_done():
    assert leaning(tolerance_of((), PRIORS, 0), "sumo") == 0


def test_one_easier_set_is_not_yet_a_leaning():
    assert leaning(season(2, 1), "sumo") == 0


def test_much_less_pain_at_equal_demand_is_taking_to_it_better_than_most():
    assert leaning(season(0, 6), "sumo") == 1


def test_much_more_pain_at_equal_demand_is_taking_to_it_worse():
    assert leaning(season(7, 6), "sumo") == -1


def test_a_lift_that_bends_further_is_expected_to_be_borne_worse():
    """What bend usually costs is no leaning of this lifter's own."""
    assert leaning(tolerance_of((), PRIORS, 0), "sumo", bend=0.4) == 0
