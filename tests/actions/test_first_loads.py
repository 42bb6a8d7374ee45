"""First loads on other pulls, by mechanics and by what this lifter's own sets have taught."""

from decimal import Decimal

import pytest

from floorward.actions.offers import offers_for
from tests.conftest import at
from tests.training import searched, sore_back, trained

pytestmark = pytest.mark.django_db
FRIDAY = at("2026-11-27 12:00").date()


@pytest.fixture
def episode(lifter, coach):
    """Abel after his search and two evenings of the full pull."""
    row = searched(sore_back(lifter, coach, started="2026-11-16 18:10"))
    for day in ("2026-11-19", "2026-11-26"):
        trained(row, day, "95", (1, 2, 1), sets=1)
    return row


def offered(episode, lift):
    return next(
        offer
        for offer in offers_for(episode, None, FRIDAY).offers
        if offer.option.candidate.setup.lift == lift
    )


def test_before_a_set_was_done_there_no_offer_is_heavier_than_the_reckoning(episode):
    for offer in offers_for(episode, None, FRIDAY).offers:
        assert offer.load <= offer.option.load
        assert offer.load in offer.option.candidate.loads
        assert {"takes-better", "takes-worse"}.isdisjoint(offer.notes)


def test_sets_that_hurt_there_bring_the_first_load_down_and_are_told(episode):
    before = offered(episode, "sumo-deadlift").load
    for day in ("2026-11-20", "2026-11-22", "2026-11-24"):
        trained(episode, day, "80", (1, 7, 1), lift="sumo-deadlift", sets=1)
    after = offered(episode, "sumo-deadlift")
    assert after.load < min(before, Decimal(80))
    assert "takes-worse" in after.notes
    assert {"eased-by-sets", "likely-too-much"} & set(after.notes)


def test_sets_that_do_not_hurt_are_told_too(episode):
    for day in ("2026-11-20", "2026-11-21", "2026-11-22", "2026-11-23", "2026-11-24"):
        trained(episode, day, "125", (1, 0, 0), lift="sumo-deadlift", sets=1)
    assert "takes-better" in offered(episode, "sumo-deadlift").notes
