"""Lifts that the sore region does not limit: what they usually are, so that they go on as usual.

The last session in which a lift was done says it; else the best set, with as many repetitions and more left in them.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from floorward.actions.locks import lock_of_episode
from floorward.actions.rigging import Stock, loads_of, usual_bar
from floorward.core.loadable import at_or_under
from floorward.core.records import ARM_REGIONS
from floorward.core.repetitions import share_for
from floorward.core.sore_lifts import Sore, is_unaffected
from floorward.storage.models import (
    BarRow,
    BestSet,
    CollarRow,
    DoneSet,
    Episode,
    Lifter,
    Line,
    PastSet,
    Session,
)
from floorward.tables import value

MOST_SETS = 10  # of a usual lift: a log that counts warm-ups as sets would plan an evening of them


@dataclass(frozen=True, slots=True, kw_only=True)
class Usual:
    """A lift as it usually is. `day`: of the session or the best set it is read from; `from_best` tells which."""

    lift: str
    load: Decimal
    unit: str
    sets: int
    reps: int
    rpe: Decimal | None
    day: date
    from_best: bool
    bar: BarRow | None = None
    collar: CollarRow | None = None


def sore_now(lifter: Lifter) -> Sore:
    """Where it hurts now and in which lifts, by every open episode."""
    rows = list(lifter.episodes.filter(closed_at=None))
    return Sore(
        spells=frozenset((row.region, row.lift) for row in rows),
        arm_locked=any(row.region in ARM_REGIONS and lock_of_episode(row) is not None for row in rows),
    )


def arms_beside(episode: Episode) -> frozenset[str]:
    """Arm regions that are sore besides `episode`, which no lift beside its own may load."""
    rows = episode.lifter.episodes.filter(closed_at=None, region__in=ARM_REGIONS).exclude(pk=episode.pk)
    return frozenset(rows.values_list("region", flat=True))


def usual_lifts(session: Session, stock: Stock) -> tuple[Usual, ...]:
    """Unaffected lifts that this lifter does and that are not planned today, the ones done last first."""
    planned = {line.lift for line in session.lines.all()}
    return tuple(one for one in unaffected_lifts(session, stock) if one.lift not in planned)


def unaffected_lifts(session: Session, stock: Stock) -> tuple[Usual, ...]:
    """Unaffected lifts that this lifter does, planned today or not, the ones done last first."""
    lifter = session.lifter
    sore = sore_now(lifter)
    known = {
        **best_as_usual(lifter, stock),
        **_from_past(lifter, session, stock),
        **_from_sessions(lifter, session),
    }
    found = [one for one in known.values() if is_unaffected(one.lift, sore)]
    return tuple(sorted(found, key=lambda one: one.day, reverse=True))


def values_of(usual: Usual) -> dict[str, Any]:
    """The columns of its line."""
    return {
        "role": Line.Role.USUAL,
        "lift": usual.lift,
        "bar": usual.bar,
        "collar": usual.collar,
        "load": usual.load,
        "unit": usual.unit,
        "sets": usual.sets,
        "reps": usual.reps,
        "target_rpe": usual.rpe,
    }


def _from_sessions(lifter: Lifter, session: Session) -> dict[str, Usual]:
    since = session.day - timedelta(days=value("session", "usual", "remembered"))
    rows = DoneSet.objects.filter(
        session__lifter=lifter,
        session__day__gte=since,
        session__day__lt=session.day,
        kind=DoneSet.Kind.WORK,
        sore=False,
        undone_at=None,
    )
    found: dict[str, list[DoneSet]] = {}
    for row in rows.select_related("session", "bar", "line__collar").order_by("-session__day", "-at"):
        same_day = found.setdefault(row.lift, [])
        if not same_day or same_day[0].session_id == row.session_id:
            same_day.append(row)
    return {lift: _as_done(sets) for lift, sets in found.items()}


def _from_past(lifter: Lifter, session: Session, stock: Stock) -> dict[str, Usual]:
    """By the newest day of each lift in an imported log, if it is not too long ago."""
    since = session.day - timedelta(days=value("session", "usual", "remembered"))
    found: dict[str, list[PastSet]] = {}
    rows = PastSet.objects.filter(lifter=lifter, day__gte=since, day__lt=session.day)
    for row in rows.order_by("-day", "id"):
        same_day = found.setdefault(row.lift, [])
        if not same_day or same_day[0].day == row.day:
            same_day.append(row)
    return {lift: _as_past(lifter, rows, stock) for lift, rows in found.items()}


def _as_past(lifter: Lifter, rows: list[PastSet], stock: Stock) -> Usual:
    heaviest = max(rows, key=lambda row: (row.load, row.reps))
    bar = usual_bar(lifter.gym, heaviest.lift, heaviest.unit)
    bar = bar if bar and bar.unit == heaviest.unit else None
    loads = loads_of(stock, bar, None)
    return Usual(
        lift=heaviest.lift,
        load=(at_or_under(loads, heaviest.load) or loads[0]) if loads else heaviest.load.normalize(),
        unit=heaviest.unit,
        sets=min(sum(row.sets for row in rows), MOST_SETS),
        reps=heaviest.reps,
        rpe=heaviest.rpe,
        day=heaviest.day,
        from_best=False,
        bar=bar,
    )


def _as_done(sets: list[DoneSet]) -> Usual:
    heaviest = max(sets, key=lambda row: row.load)
    return Usual(
        lift=heaviest.lift,
        load=heaviest.load.normalize(),
        unit=heaviest.unit,
        sets=len(sets),
        reps=heaviest.reps,
        rpe=heaviest.line.target_rpe if heaviest.line else None,
        day=heaviest.session.day,
        from_best=False,
        bar=heaviest.bar,
        collar=heaviest.line.collar if heaviest.line else None,
    )


def best_as_usual(lifter: Lifter, stock: Stock) -> dict[str, Usual]:
    """Each lift's newest best set, eased to what is usual."""
    found: dict[str, Usual] = {}
    for best in lifter.best_sets.all():
        bar = usual_bar(lifter.gym, best.lift, best.unit)
        bar = bar if bar and bar.unit == best.unit else None
        loads = loads_of(stock, bar, None)
        wanted = best.load * _easier(best)
        found.setdefault(
            best.lift,
            Usual(
                lift=best.lift,
                load=(at_or_under(loads, wanted) or loads[0]) if loads else Decimal(round(wanted * 2)) / 2,
                unit=best.unit,
                sets=value("session", "usual", "sets"),
                reps=best.reps,
                rpe=Decimal(value("session", "usual", "rpe")),
                day=best.day,
                from_best=True,
                bar=bar,
            ),
        )
    return found


def _easier(best: BestSet) -> Decimal:
    """The share of a best set's load that leaves as much in them as is usual, for the same repetitions."""
    hardest = float(best.rpe) if best.rpe is not None else 10.0
    usual = float(value("session", "usual", "rpe"))
    return Decimal(str(round(min(share_for(best.reps, usual) / share_for(best.reps, hardest), 1.0), 3)))
