"""What goes on and comes off through a session: it adds up to every load, and marks what a sore back should not lift."""

from decimal import Decimal

import pytest

from floorward.actions.cards import card_of
from floorward.actions.done_sets import SetReport, log_set
from floorward.actions.plate_order import plate_order, rigs_of, slot_key
from floorward.actions.rigging import stock_of
from floorward.actions.session_page import log_page, plan_page
from floorward.core.records import Region
from floorward.reports.card import card_pdf
from floorward.storage.models import Line, Session
from tests.conftest import at
from tests.training import sore_back

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


def test_the_bar_of_every_set_follows_the_order_and_stays_so_while_sets_are_logged(session, coach):
    before = {
        key: rig.per_side
        for key, rig in rigs_of(plan_page(session).lines, stock_of(session.lifter.gym)).items()
    }
    page = log_page(session, at("2026-11-23 18:05"))
    for one in page.ahead:
        assert one.rig.per_side == before[slot_key(one.view, one.slot)]
    first = page.now.slot
    report = SetReport(
        kind=first.kind, load=first.load, unit=first.unit, reps=first.reps, pain=0, acceptable=True
    )
    log_set(page.now.view.line, report, by=coach, now=at("2026-11-23 18:06"))
    after = log_page(session, at("2026-11-23 18:07"))
    assert {slot_key(one.view, one.slot): one.rig.per_side for one in after.ahead}.items() <= before.items()
    # what goes on now is what the order says, counted from what the last set left on the bar
    left = list(before[page.now.view.line.pk, first.kind, first.number])
    for plate in after.now.change.off:
        left.remove(plate.mass.value)
    assert sorted([*left, *(plate.mass.value for plate in after.now.change.on)]) == sorted(
        after.now.rig.per_side
    )


def test_the_card_prints_each_change_and_marks_what_others_lift(session, coach):
    sore = sore_back(
        session.lifter, coach, started="2026-11-20 18:00", load=Decimal(120), usual_load=Decimal(120)
    )
    session.episode = sore
    session.save()
    card = card_of(session, at("2026-11-23 18:05"))
    (order,) = orders(session, Region.LOW_BACK)
    printed = [change for line in card.lines for change in line.handling]
    assert len(printed) == len(order.steps)
    side = Decimal()
    for change in printed:
        side += sum(Decimal(mass.strip("*")) for mass in change.on) - sum(
            Decimal(m.strip("*")) for m in change.off
        )
        assert 20 + 2 * side == Decimal(change.load)
    assert any(mass.endswith("*") for change in printed for mass in change.on)
    assert any(caution.startswith("*") for caution in card.cautions)
    assert card_pdf(card).startswith(b"%PDF")


def test_without_a_plate_of_full_height_the_order_says_what_the_bar_rests_on(session):
    line = session.lines.get(lift="deadlift")
    line.load, line.height_mm = 30, 225
    line.save()
    (order,) = orders(session, None)
    assert any(one.code.startswith("small-plates") for one in order.remarks)


def done_as_told(session, coach, minute):
    """Log the set of the page with the plates that it tells; these, and whether it was a work set."""
    moment = at(f"2026-11-23 18:{minute}")
    now = log_page(session, moment).now
    asked = {name: getattr(now.slot, name) for name in ("kind", "load", "unit", "reps")}
    log_set(
        now.view.line,
        SetReport(**asked, pain=2, acceptable=True, side=now.rig.side),
        by=coach,
        now=moment,
    )
    return now.rig.per_side, now.slot.kind == "work"


@pytest.mark.parametrize("pressed", [60, 62.5, 70, 102.5])
@pytest.mark.parametrize("pulled", [92.5, 100, 120, 142.5])
def test_after_the_plan_has_changed_plates_are_counted_from_those_that_stand_on_the_bar(
    session, coach, pulled, pressed
):
    session.lines.filter(lift="bench-press").update(load=pressed)
    session.lines.filter(lift="deadlift").update(load=pulled)
    done = (done_as_told(session, coach, minute) for minute in range(10, 30))
    standing = next(list(side) for side, worked in done if worked)
    lowered = Decimal(str(pulled)) - 10
    session.lines.filter(lift="deadlift").update(load=lowered)
    after = log_page(session, at("2026-11-23 18:41")).now
    stays = len(standing) - len(after.change.off)
    assert [plate.mass.value for plate in after.change.off] == standing[stays:][::-1]
    assert standing[:stays] + [plate.mass.value for plate in after.change.on] == list(after.rig.per_side)
    assert 20 + 2 * sum(after.rig.per_side) == lowered
