"""What the pages of a session show: the plan line by line, and the one set to do now, down to the plates.

Everything is read from the plan and the sets that stand, so that two phones on one session show the same next set.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal

from floorward.actions.done_sets import last_set
from floorward.actions.lifters import consent_of
from floorward.actions.line_sets import LineView, Slot, line_view, rig_of, sleeve_of
from floorward.actions.lines import must_ease, rung_under
from floorward.actions.load_reasons import LoadReason, load_reason
from floorward.actions.plate_order import SlotKey, as_ordered, rigs_of, slot_key
from floorward.actions.rests import Rest, rest_now, rest_seconds
from floorward.actions.rigging import (
    Rig,
    Stock,
    change_between,
    stock_of,
)
from floorward.actions.sessions import Turn, barred, standing_notes, turns
from floorward.core.findings import Finding
from floorward.core.loading_order import someone_else_loads
from floorward.core.plates import Change
from floorward.core.records import Region
from floorward.reports.drawings.bands import set_sign
from floorward.reports.drawings.svg import Drawing
from floorward.storage.models import DoneSet, Line, Session


@dataclass(frozen=True, slots=True, kw_only=True)
class SetNow:
    """A set to do, with what the hands do to the bar before it.

    Attributes:
        change: plates off and on a side against what is on the bar then; None without a bar, or where what is on it is not known.
        carried: those of them that someone else should lift while the low back is sore.
        rest_s: seconds to rest after it.
    """

    view: LineView
    slot: Slot
    rig: Rig
    change: Change | None
    sleeve: Drawing | None
    carried: tuple[Decimal, ...] = ()
    rest_s: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Ease:
    """A set hurt too much, or symptoms spread in it: one rung down now, or nothing more of this lift.

    `lighter` is None at the lightest load, and where symptoms spread.
    """

    row: DoneSet
    lighter: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One set on the strip of the line: its sign, and whether it is done, now or next."""

    sign: Drawing
    slot: Slot
    state: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LogPage:
    """The page between sets.

    Attributes:
        ahead: every set still to do, in order, for a phone that goes on while the server is away.
        lowered: of each line the next work set one rung down, for that phone after a set that was too much.
        ask_before: whether the score before the warm-up is still to be asked.
        last: the set that "Undo" takes back.
        rest: the rest since the last set, while another is to come.
        kept: whether scores may be kept.
        limit: highest pain allowed in any training set.
    """

    session: Session
    lines: tuple[LineView, ...]
    way: tuple[Mark, ...]
    now: SetNow | None
    then: SetNow | None
    ahead: tuple[SetNow, ...]
    lowered: tuple[SetNow, ...]
    ease: Ease | None
    sets: tuple[DoneSet, ...]
    last: DoneSet | None
    rest: Rest | None
    turns: tuple[Turn, ...]
    ask_before: bool
    kept: bool
    barred: str | None
    limit: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPage:
    """The plan as the coach changes it. `reason` is why the sore lift has its load; None where nothing is kept or known."""

    session: Session
    lines: tuple[LineView, ...]
    notes: tuple[Finding, ...]
    barred: str | None
    kept: bool
    reason: LoadReason | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bars:
    """The bar of every set, loaded so that through the whole session the fewest plates are carried."""

    stock: Stock
    rigs: Mapping[SlotKey, Rig]
    sore: str | None = None

    def of(self, view: LineView, slot: Slot) -> Rig:
        """The bar of a set."""
        return self.rigs.get(slot_key(view, slot)) or rig_of(view.line, slot.load, self.stock)

    def standing(self, view: LineView, views: Iterable[LineView], sets: Sequence[DoneSet]) -> Rig | None:
        """What the last set on this line's bar left there, a search's own set too."""
        bar = view.line.bar_id
        last = next((row for row in reversed(sets) if bar and row.bar_id == bar), None)
        if last is None:
            return None
        planned = next(((one, slot) for one in views for slot in one.slots if slot.done == last), None)
        return self.of(*planned) if planned else rig_of(view.line, last.load, self.stock)


def sore_region(session: Session) -> str | None:
    """What hurts, for whoever loads the bar: the low back before all else; None too where no consent is in force, as then nobody is told."""
    if session.episode is None or consent_of(session.lifter) is None:
        return None
    backs = session.lifter.episodes.filter(closed_at=None, region=Region.LOW_BACK)
    return str(Region.LOW_BACK) if backs.exists() else session.episode.region


def plan_page(session: Session) -> PlanPage:
    """Everything on the plan of a session."""
    stock = stock_of(session.lifter.gym)
    sets = _sets(session)
    kept = consent_of(session.lifter) is not None
    return PlanPage(
        session=session,
        lines=as_ordered([line_view(line, sets, stock) for line in _lines(session)], stock),
        notes=standing_notes(session),
        barred=barred(session),
        kept=kept,
        reason=load_reason(session) if kept else None,
    )


def log_page(
    session: Session, now: datetime, *, line_id: int | None = None, work: bool = False, shown: bool = True
) -> LogPage:
    """The set to do now and the one after it.

    Args:
        session: the session.
        now: this moment, for the lifters of today.
        line_id: the line that the coach turned to; else the first that is not over.
        work: whether the warm-ups of that line are left out.
        shown: whether scores that were given may be shown to whoever looks.
    """
    stock = stock_of(session.lifter.gym)
    sets = _sets(session)
    shut = barred(session)
    views = tuple(line_view(line, sets, stock, work=work and line.pk == line_id) for line in _lines(session))
    on_offer = [one for one in views if may_go_on(one.line, shut)]
    view = _turned_to(on_offer, line_id)
    turned = _turned(on_offer, view)
    rigs = rigs_of((*turned, *(one for one in views if one not in on_offer)), stock)
    bars = Bars(stock=stock, rigs=rigs, sore=sore_region(session))
    current = _set_now(view, view.now, bars.standing(view, views, sets), bars) if view and view.now else None
    kept = consent_of(session.lifter) is not None
    return LogPage(
        session=session,
        lines=views,
        way=tuple(_way(view, kept=kept and shown)) if view else (),
        now=current,
        then=_set_after(on_offer, current, bars) if current else None,
        ahead=tuple(_ahead(turned, current, bars)) if current else (),
        lowered=tuple(_lowered(turned, bars)) if current else (),
        ease=_ease(view, views, sets, stock) if kept else None,
        sets=tuple(sets),
        last=last_set(session),
        rest=rest_now(sets, (one.line for one in views), now) if current else None,
        turns=turns(session.lifter.gym, now),
        ask_before=kept and session.episode is not None and session.before is None and not sets,
        kept=kept,
        barred=shut,
        limit=session.lifter.gym.ceiling_set,
    )


def may_go_on(line: Line, shut: str | None) -> bool:
    """Whether a lock leaves this line open: the whole person's none, a region's those that do not load it."""
    return shut is None or (shut != "locked-person" and line.role == Line.Role.USUAL)


def _lines(session: Session) -> list[Line]:
    return list(session.lines.select_related("bar", "collar", "session__lifter__gym", "session__episode"))


def _sets(session: Session) -> list[DoneSet]:
    rows = session.done_sets.filter(undone_at=None).select_related("line", "bar").order_by("at", "id")
    return list(rows)


def _turned_to(views: Sequence[LineView], line_id: int | None) -> LineView | None:
    asked = next((view for view in views if view.line.pk == line_id), None)
    return asked if asked and not asked.over else next((view for view in views if not view.over), None)


def _way(view: LineView, *, kept: bool) -> Iterator[Mark]:
    """The line's sets in order, each as a disc, a square or a ring; without consent no scores in them."""
    for slot in view.slots:
        state = "done" if slot.done else "now" if slot is view.now else "next"
        pain = slot.done.pain if slot.done and kept else None
        sign = ("ok" if slot.good or not kept else "not") if slot.done else state
        yield Mark(sign=set_sign(sign, pain), slot=slot, state=state)


def _turned(views: Sequence[LineView], first: LineView | None) -> tuple[LineView, ...]:
    """The lines in the order in which they are to be done: `first`, those after it, then those passed over."""
    if first is None:
        return tuple(views)
    order = first.line.order
    return tuple(sorted(views, key=lambda one: (one is not first, one.line.order < order, one.line.order)))


def _set_now(
    view: LineView, slot: Slot, before: Rig | None, bars: Bars, *, ahead: bool = False, drawn: bool = True
) -> SetNow:
    """A set with its bar. What comes off is drawn only while the set is `ahead`; at the set itself it is gone."""
    ready = bars.of(view, slot)
    change = change_between(before, ready)
    marked = change if ahead or change is None else replace(change, off=())
    sleeve = sleeve_of(ready, marked if before else None) if drawn else None
    return SetNow(
        view=view,
        slot=slot,
        rig=ready,
        change=change,
        sleeve=sleeve,
        carried=_carried(change, bars.sore) if change else (),
        rest_s=rest_seconds(view.line, slot.kind),
    )


def _carried(change: Change, region: str | None) -> tuple[Decimal, ...]:
    return tuple(dict.fromkeys(plate.mass.value for plate in someone_else_loads(change, region)))


def _set_after(views: Sequence[LineView], current: SetNow, bars: Bars) -> SetNow | None:
    ahead = [slot for slot in current.view.slots if slot.done is None]
    if len(ahead) > 1:
        return _set_now(current.view, ahead[1], current.rig, bars, ahead=True)
    later = [view for view in views if view is not current.view and view.now]
    after = [view for view in later if view.line.order > current.view.line.order]
    view = next(iter(after or later), None)
    return _set_now(view, view.now, current.rig, bars, ahead=True) if view and view.now else None


def _ahead(turned: Sequence[LineView], current: SetNow, bars: Bars) -> Iterator[SetNow]:
    """From the set to do now to the last of the plan, in the order in which they are to be done."""
    on_bar: dict[int | None, Rig | None] = {}
    for view in turned:
        for slot in () if view.over else view.slots:
            if slot is current.slot:
                yield current
                on_bar[view.line.bar_id] = current.rig
            elif slot.done is None:
                one = _set_now(view, slot, on_bar.get(view.line.bar_id), bars, drawn=False)
                on_bar[view.line.bar_id] = one.rig
                yield one


def _lowered(turned: Sequence[LineView], bars: Bars) -> Iterator[SetNow]:
    for view in turned:
        slots = () if view.over else view.slots
        slot = next((one for one in slots if one.done is None and one.kind == DoneSet.Kind.WORK), None)
        lighter = rung_under(view.line, slot.load, bars.stock) if slot else None
        if slot and lighter is not None:
            ready = rig_of(view.line, lighter, bars.stock)
            eased = replace(slot, load=lighter)
            rest_s = rest_seconds(view.line, slot.kind)
            yield SetNow(view=view, slot=eased, rig=ready, change=None, sleeve=None, rest_s=rest_s)


def _ease(
    view: LineView | None, views: Sequence[LineView], sets: Sequence[DoneSet], stock: Stock
) -> Ease | None:
    """Symptoms that spread stop their lift, whichever set told of them; pain asks about the sets of the lift still to come."""
    if spread := _spread(views):
        return Ease(row=spread, lighter=None)
    if view is None:
        return None
    row = must_ease(view.line, [one for one in sets if one.line_id == view.line.pk])
    return Ease(row=row, lighter=rung_under(view.line, row.load, stock)) if row else None


def _spread(views: Sequence[LineView]) -> DoneSet | None:
    """The newest set in which symptoms of a lift that goes on spread, a warm-up too; no later set takes that back."""
    told = (row for one in views if not one.line.ended_at for row in one.spread)
    return max(told, key=lambda row: (row.at, row.pk), default=None)
