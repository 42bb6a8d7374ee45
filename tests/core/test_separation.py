import pytest

from floorward.core.separation import Probe, told_apart
from floorward.core.tolerance import Priors, Report, tolerance_of

WHOLE_NM, WHOLE_BEND = 190.0, 0.65
RAISED = Probe(name="raised", demand=188.0, bend=-0.12)
TRAP = Probe(name="trap", demand=160.0, bend=-0.03)
SAME = Probe(name="same", demand=190.0, bend=0.0)
PRIORS = Priors(
    usual_demand=850.0, provoking_demand=850.0, provoking_pain=9, variations=("raised", "same", "trap")
)


@pytest.fixture(scope="module")
def told():
    failed = (Report(day=0, demand=WHOLE_NM, pain=5), Report(day=0, demand=WHOLE_NM, pain=4))
    tolerance = tolerance_of(failed, PRIORS, 0)
    return {row.probe.name: row for row in told_apart(tolerance, WHOLE_NM, WHOLE_BEND, (RAISED, TRAP, SAME))}


def test_raising_the_bar_is_mostly_a_test_of_bend_and_another_implement_of_moment(told):
    assert told["raised"].of_bend
    assert not told["trap"].of_bend
    assert told["raised"].bend_gain > told["trap"].bend_gain


def test_every_set_teaches_something_of_the_moment(told):
    assert all(row.moment_gain > 0 for row in told.values())


def test_what_makes_nothing_easier_is_not_proposed(told):
    assert set(told) == {"raised", "trap"}


def test_the_easier_set_is_likelier_to_be_borne(told):
    assert told["trap"].chance < told["raised"].chance


def test_nothing_to_try_gives_nothing():
    assert told_apart(tolerance_of((), PRIORS, 0), WHOLE_NM, WHOLE_BEND, ()) == ()
