"""The card of a session: the plan in a lifter's hand, on the web and as an A5 page, with a code that opens today's door only."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from floorward.actions.line_sets import LineView, line_minutes
from floorward.actions.links import address_for
from floorward.actions.plate_order import BarOrder, Handling, plate_order
from floorward.actions.rigging import Rig, stock_of
from floorward.actions.session_page import plan_page, sore_region
from floorward.language import number
from floorward.reports.card import Card, CardLine, PlateChange, set_up_words
from floorward.reports.wording import lift_name, sentence_for
from floorward.storage.models import Line, Session
from floorward.units import Unit, plain


def card_of(session: Session, now: datetime, *, with_code: bool = True) -> Card:
    """The card as it stands now.

    Args:
        session: the session, with its lifter and gym.
        now: this moment: a link that the code opens must last beyond it.
        with_code: whether to carry the code; the lifter's own page needs none.
    """
    page = plan_page(session)
    lifter = session.lifter
    address = address_for(lifter, now) if with_code else None
    region = sore_region(session)
    orders = plate_order(page.lines, stock_of(lifter.gym), region)
    coach = session.made_by or lifter.coach
    return Card(
        name=lifter.name,
        starts=session.started_at.astimezone(ZoneInfo(lifter.gym.time_zone)),
        coach=coach.name if coach else "",
        minutes=minutes_of(page.lines),
        lines=tuple(_line(view, _handling(view, orders)) for view in page.lines),
        unit=Unit(lifter.unit),
        limit=lifter.gym.ceiling_set,
        code_address=address or "",
        no_code="" if address else sentence_for("no-public-address", {}),
        cautions=(*_cautions(page.lines), *_carried(orders)),
    )


def minutes_of(lines: tuple[LineView, ...]) -> int:
    """About how long the sets take, to five minutes."""
    return int(-(-sum(map(line_minutes, lines)) // 5) * 5)


def _handling(view: LineView, orders: Sequence[BarOrder]) -> tuple[PlateChange, ...]:
    """What goes on and comes off each side through the line's sets."""
    steps = [one for order in orders for one in order.sets if one.moved and one.line_id == view.line.pk]
    return tuple(
        PlateChange(
            load=number(plain(step.slot.load)),
            off=tuple(_marked(mass, step) for mass in step.off),
            on=tuple(_marked(mass, step) for mass in step.on),
            under=_where(step.rig) if step.low else "",
        )
        for step in steps
    )


def _marked(mass: Decimal, step: Handling) -> str:
    return number(plain(mass)) + ("*" if mass in step.carried else "")


def _carried(orders: Sequence[BarOrder]) -> list[str]:
    """What the mark beside a plate means, and what the bar rests on at small plates."""
    said = dict.fromkeys(
        sentence_for(one.code, one.numbers)
        for order in orders
        for one in order.remarks
        if one.code.startswith("small-plates")
    )
    marked = any(step.carried for order in orders for step in order.sets)
    return [*said, *([sentence_for("card-carried", {})] if marked else [])]


def _line(view: LineView, handling: tuple[PlateChange, ...]) -> CardLine:
    line = view.line
    loading = view.rig.loading
    unit = (
        f" {line.unit}" if line.unit != line.session.lifter.unit else ""
    )  # else the head of the column says it
    return CardLine(
        lift=lift_name(line.lift).capitalize() + (sentence_for("with-a-pause", {}) if line.pause else ""),
        set_up=_set_up(view),
        load=f"{number(plain(line.load))}{unit}" if line.load else "",
        work=f"{line.sets} × {line.reps}",
        sets=line.sets if line.role != Line.Role.USUAL else 0,
        plates=loading.per_side if loading else None,
        implement=_implement(line),
        warm_ups=tuple(f"{number(plain(slot.load))} × {slot.reps}" for slot in view.warm_ups),
        handling=handling,
        cue=_cue(line),
    )


def _set_up(view: LineView) -> str:
    line, rig = view.line, view.rig
    if line.first_time:
        first = sentence_for("card-first-time", {})
        where = _where(rig)
        return f"{first}; {where}" if where else first
    if line.role == Line.Role.USUAL:
        return sentence_for("card-as-usual", {})
    return _where(rig)


def _where(rig: Rig) -> str:
    if rig.stand is None:
        return ""
    blocks_mm = sum(float(block.thickness_mm) * count for block, count in rig.stand.blocks)
    return set_up_words(float(rig.stand.height_mm), blocks_mm, pins=rig.stand.pins is not None)


def _implement(line: Line) -> str:
    if line.bar is None:
        return ""
    collars = sentence_for("card-collars", {"collars": plain(line.collar.mass)}) if line.collar else ""
    return f"{line.bar.name}, {number(plain(line.bar.mass))} {line.bar.unit}{collars}"


def _cue(line: Line) -> str:
    parts = [line.cue]
    if line.tempo:
        parts.append(sentence_for("card-tempo", {"tempo": line.tempo}))
    if line.target_rpe is not None and line.role != Line.Role.USUAL:
        parts.append(sentence_for("card-rpe", {"rpe": plain(line.target_rpe)}))
    return " · ".join(part for part in parts if part)


def _cautions(lines: tuple[LineView, ...]) -> list[str]:
    stands_in = [view.line for view in lines if view.stands_in]
    return [
        sentence_for("card-stands-in", {"lift": lift_name(line.lift), "height": f"{line.height_mm / 10:g}"})
        for line in stands_in
    ]
