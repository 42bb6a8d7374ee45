"""What goes on and comes off through a session: it adds up to every load, and marks what a sore back should not lift."""

from decimal import Decimal

import pytest

from floorward.actions.plate_order import plate_order
from floorward.actions.rigging import stock_of
from floorward.actions.session_page import plan_page
from floorward.core.records import Region
from floorward.storage.models import Line, Session
from tests.conftest import at

pytestmark = pytest.mark.django_db


@pytest.fixture
def session(lifter):
    """A pull at 100 kg and a press at 60 on the same bar, without collars."""
    row = Session.objects.create(
        lifter=lifter, day=at("2026-11-23 18:00").date(), started_at=at("2026-11-23 18:00")
    )
    bar = lifter.gym.bars.get(name="Bar 1")
    for order, (lift, load) in enumerate((("deadlift", 100), ("bench-press", 60)), start=1):
        Line.objects.create(
            session=row, order=order, role="usual", lift=lift, bar=bar, load=load, unit="kg", sets=3, reps=5
        )
    return row


def orders(session, region):
    return plate_order(plan_page(session).lines, stock_of(session.lifter.gym), region)


def test_plates_on_less_plates_off_make_every_load(session):
    (order,) = orders(session, None)
    side = Decimal()
    for step in order.steps:
        side += sum(step.on) - sum(step.off)
        assert 20 + 2 * side == step.slot.load
    assert {step.slot.load for step in order.steps} >= {Decimal(100), Decimal(60)}


def test_heavy_plates_are_someone_elses_only_while_the_low_back_is_sore(session):
    (sore,) = orders(session, Region.LOW_BACK)
    (well,) = orders(session, None)
    assert any(step.carried for step in sore.steps)
    assert sore.remarks
    assert not any(step.carried for step in well.steps)
    assert not well.remarks


def test_the_plan_prints_the_changes_of_plates(signed_in, session):
    page = signed_in.get(f"/sessions/{session.pk}/plan").content.decode()
    assert "Plates, set by set" in page
    assert "each side" in page
