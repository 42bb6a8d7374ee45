"""The lines of a session's plan: adding, changing, ordering, leaving and lowering them, and what is to be said about one.

A line of the sore lift is held to what was decided or found: heavier, deeper or more on a first day is refused. Only loads that
the gym can make are planned; a load in between is refused with its two neighbours. What the coach adds beyond the reckoning of a
variation is asked about, and then stands.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from floorward.actions.rigging import Stock, bar_kind, loads_of, near, pulled_from_a_height, rig
from floorward.actions.sessions import barred
from floorward.actions.standing import Source, Standing
from floorward.actions.versions import take_changes
from floorward.core.equipment import unit_slip
from floorward.core.findings import Finding, Weight
from floorward.core.loadable import rung_below
from floorward.errors import Refused
from floorward.storage.models import BarRow, CollarRow, DoneSet, Line, Session
from floorward.storage.place import atomic
from floorward.tables import value
from floorward.units import Mass, Unit, plain


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A line as it is about to be planned."""

    role: str
    lift: str
    bar: BarRow | None
    collar: CollarRow | None
    load: Mass
    sets: int
    reps: int
    height_mm: int = 0

    @property
    def in_bar_unit(self) -> Mass:
        """The load as the bar counts it."""
        return self.load.to(Unit(self.bar.unit)) if self.bar else self.load


def draft_findings(
    draft: Draft,
    *,
    stock: Stock,
    standing: Standing | None = None,
    first_load: Mass | None = None,
    expected: Mass | None = None,
) -> tuple[Finding, ...]:
    """What is to be said before `draft` is planned.

    Args:
        draft: the line.
        stock: what the gym owns.
        standing: where the sore lift stands, for its full-range line; else None.
        first_load: what a variation would begin with by reckoning, where there is a reckoning.
        expected: about what the load should be: the one planned before, or what is usual.
    """
    found = [*_bar(draft, stock), *_stand(draft, stock)]
    if draft.role == Line.Role.FULL_RANGE and standing is not None:
        found += _within_standing(draft, standing)
    slip = unit_slip(draft.load.value, draft.load.unit, expected, "load") if expected else None
    found += [slip] if slip else []
    if first_load is not None and draft.load > first_load:
        numbers = {"load": str(draft.load), "most": str(first_load)}
        found.append(Finding(code="over-first-load", field="load", weight=Weight.ASK, numbers=numbers))
    return tuple(found)


def done_findings(line: Line, load: Mass, stock: Stock) -> tuple[Finding, ...]:
    """What is to be said about a load that was done instead of the planned one: it must be one that this bar can carry."""
    found: list[Finding] = []
    if line.bar is not None:
        draft = Draft(
            role=line.role, lift=line.lift, bar=line.bar, collar=line.collar, load=load, sets=1, reps=1
        )
        found += _unmade(draft, line.bar, stock)
    planned = Mass(line.load, Unit(line.unit))
    if not found and load > planned * Decimal(str(value("session", "entered", "most_ratio"))):
        numbers = {"load": str(load), "planned": str(planned)}
        found.append(Finding(code="load-far-off", field="load", weight=Weight.ASK, numbers=numbers))
    return tuple(found)


def add_line(session: Session, values: Mapping[str, Any]) -> Line:
    """A new line at the end of the plan; one of the sore lift before those that go as usual.

    Raises:
        Refused: the code of why nothing of the sore lift may be planned now; `first-time-taken` where another lift of this
            session is already done for the first time.
    """
    with atomic():
        session = (
            Session.objects.select_for_update(of=("self",))
            .select_related("lifter__gym", "episode")
            .get(pk=session.pk)
        )
        _refuse_barred(session, values["role"])
        if values.get("first_time") and session.lines.filter(first_time=True).exists():
            raise Refused("first-time-taken")
        rows = list(session.lines.select_for_update())
        place = len(rows)
        if values["role"] != Line.Role.USUAL:
            place = sum(row.role != Line.Role.USUAL for row in rows)
        row = Line.objects.create(session=session, order=0, **values)
        _number([*rows[:place], row, *rows[place:]])
        return row


def _number(rows: list[Line]) -> None:
    """Write down the order of a plan's lines."""
    for order, row in enumerate(rows, start=1):
        row.order = order
    Line.objects.bulk_update(rows, ["order"])


def change_line(line: Line, *, seen_version: int, changes: Mapping[str, Any]) -> Line:
    """The line with `changes`.

    Raises:
        Refused: `changed-meanwhile` if a colleague changed it since `seen_version`, or why the sore lift is barred.
    """
    with atomic():
        row = (
            Line.objects.select_for_update(of=("self",))
            .select_related("session__lifter__gym")
            .get(pk=line.pk)
        )
        _refuse_barred(row.session, row.role)
        return take_changes(row, seen_version=seen_version, changes=changes)


def remove_line(line: Line) -> None:
    """Take a line out of the plan; sets that were done of it stay."""
    line.delete()


def reorder(line: Line, *, up: bool) -> None:
    """Swap a line with its neighbour above or below; nothing at the end."""
    with atomic():
        rows = list(line.session.lines.select_for_update())
        place = next(i for i, row in enumerate(rows) if row.pk == line.pk)
        other = place - 1 if up else place + 1
        if 0 <= other < len(rows):
            rows[place], rows[other] = rows[other], rows[place]
        _number(rows)


def leave_line(line: Line, now: datetime) -> None:
    """Nothing more of this lift today."""
    Line.objects.filter(pk=line.pk).update(ended_at=now)


def resume_line(line: Line) -> None:
    """It goes on after all."""
    Line.objects.filter(pk=line.pk).update(ended_at=None)


def lower_line(line: Line, stock: Stock) -> Line:
    """One rung down for the rest of today's sets; once, however often it is pressed.

    Raises:
        Refused: `nothing-lighter` at the lightest load there is.
    """
    with atomic():
        rows = Line.objects.select_for_update(of=("self",)).select_related(
            "session__lifter__gym", "bar", "collar"
        )
        row = rows.get(pk=line.pk)
        hurt = must_ease(row, sets_of(row))
        if hurt is None:
            return row
        lighter = rung_under(row, hurt.load, stock)
        if lighter is None:
            raise Refused("nothing-lighter")
        row.load = lighter
        row.version += 1
        row.save()
        return row


def sets_of(line: Line) -> list[DoneSet]:
    """The sets of a line that stand, in order, its warm-ups too."""
    return list(line.done_sets.filter(undone_at=None).order_by("at", "id"))


def rung_under(line: Line, load: Decimal, stock: Stock) -> Decimal | None:
    """The load one rung under `load`, in the line's unit; None where nothing is lighter. Without a bar any lighter load can be had."""
    percent = Decimal(line.session.lifter.gym.rung_percent)
    loads = loads_of(stock, line.bar, line.collar)
    if not loads:
        return None
    lighter = rung_below(loads, load, percent)
    return lighter if lighter < load else None


def must_ease(line: Line, sets: Sequence[DoneSet]) -> DoneSet | None:
    """The lightest set of the line that was too much, while the line is no lighter than it; of several the last.

    No later set takes that back, be it lighter and fine, or logged on a phone that was away. After a warm-up too: whoever is hurt
    by it is not asked for the heavier ones.
    """
    ceiling = line.session.lifter.gym.ceiling_set
    hurt = [row for row in sets if _too_much(row, ceiling)]
    lightest = min(reversed(hurt), key=lambda row: row.load, default=None)
    if lightest is None or line.ended_at or line.load < lightest.load:
        return None
    return lightest


def _too_much(row: DoneSet, ceiling: int) -> bool:
    return row.acceptable is False or row.spreading or (row.pain is not None and row.pain > ceiling)


def _refuse_barred(session: Session, role: str) -> None:
    code = barred(session)
    if code == "locked-person" or (code is not None and role != Line.Role.USUAL):
        raise Refused(code, name=session.lifter.name)


def _bar(draft: Draft, stock: Stock) -> Iterator[Finding]:
    kind = bar_kind(draft.lift)
    if draft.bar is None:
        if kind is not None:
            yield Finding(code="bar-needed", field="bar", weight=Weight.REFUSE)
        return
    if draft.bar.kind != kind and kind is not None:
        yield Finding(
            code="bar-other-kind", field="bar", weight=Weight.REFUSE, numbers={"bar": draft.bar.name}
        )
        return
    yield from _unmade(draft, draft.bar, stock)


def _unmade(draft: Draft, bar: BarRow, stock: Stock) -> Iterator[Finding]:
    """The refusal of a load that this bar cannot carry, with its neighbours."""
    load = draft.in_bar_unit
    unmade = near(stock, bar, draft.collar, load.value)
    if unmade is None:
        return
    below, above = (plain(side) if side is not None else "" for side in (unmade.below, unmade.above))
    numbers = {
        "below": below,
        "above": above,
        "load": str(draft.load),
        "bar": bar.name,
        "unit": str(load.unit),
    }
    code = "load-between" if below and above else "load-over" if below else "load-under"
    yield Finding(code=code, field="load", weight=Weight.REFUSE, numbers=numbers)


def _stand(draft: Draft, stock: Stock) -> Iterator[Finding]:
    if not draft.height_mm or not pulled_from_a_height(draft.lift):
        return
    built = rig(
        stock, draft.bar, draft.collar, draft.in_bar_unit.value, lift=draft.lift, height_mm=draft.height_mm
    )
    if built.stand is not None and built.off_mm:
        numbers = {
            "wanted_cm": plain(Decimal(draft.height_mm) / 10),
            "built_cm": plain(round(built.stand.height_mm / 10, 1)),
        }
        yield Finding(code="other-height", field="height_mm", weight=Weight.ASK, numbers=numbers)


def _within_standing(draft: Draft, standing: Standing) -> Iterator[Finding]:
    if standing.load is None:
        yield Finding(code="no-load-yet-plan", field="load", weight=Weight.REFUSE)
        return
    most = Mass(standing.load, Unit(standing.unit))
    if draft.load > most:
        code = {Source.FOUND: "over-training-load", Source.DECIDED: "over-decided"}.get(
            standing.source, "over-last"
        )
        yield Finding(code=code, field="load", weight=Weight.REFUSE, numbers={"most": str(most)})
    tolerance = value("equipment", "full_height_tolerance")
    if not standing.full_range and draft.height_mm < standing.height_mm - tolerance:
        numbers = {"height_cm": f"{standing.height_mm / 10:g}"}
        yield Finding(code="deeper-than-accepted", field="height_mm", weight=Weight.REFUSE, numbers=numbers)
    first = standing.first_day
    if first is not None and draft.sets > first.sets:
        yield Finding(code="first-day-sets", field="sets", weight=Weight.REFUSE, numbers={"most": first.sets})
    if first is not None and draft.reps > first.reps:
        yield Finding(code="first-day-reps", field="reps", weight=Weight.REFUSE, numbers={"most": first.reps})
