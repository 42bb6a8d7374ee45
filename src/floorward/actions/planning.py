"""What a coach may choose for one line of a plan, and what is said to the choice."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet

from floorward.actions.lines import Draft, draft_findings
from floorward.actions.pulls import first_load_for
from floorward.actions.rigging import bar_kind, pulled_from_a_height, stands_of, stock_of, usual_bar
from floorward.actions.sessions import onward_decided
from floorward.actions.standing import standing_of, standing_today
from floorward.actions.usual import best_as_usual, sore_now
from floorward.core.findings import Finding
from floorward.core.lifts import Fixes, catalogue
from floorward.core.records import FULL_HEIGHT_MM, STANDARD_PLATE_MM
from floorward.core.sore_lifts import is_unaffected
from floorward.language import height
from floorward.storage import reads
from floorward.storage.models import BarRow, DoneSet, Gym, Line, PastSet, Session
from floorward.tables import value
from floorward.units import Mass, Unit, parse_mass

HIGHEST_MM = 700


@dataclass(frozen=True, slots=True, kw_only=True)
class Choices:
    """What a line's form offers. `heights` pairs the hands in mm with what the coach reads; empty where none applies."""

    bars: QuerySet[BarRow]
    heights: tuple[tuple[int, str], ...]
    with_depth: bool


def blank_line(session: Session, lift: str) -> Line:
    """A line that is not stored yet: a usual one for an unaffected lift, else a variation."""
    lifter = session.lifter
    unaffected = is_unaffected(lift, sore_now(lifter))
    role = Line.Role.USUAL if unaffected else Line.Role.VARIATION
    stock = stock_of(lifter.gym)
    known = best_as_usual(lifter, stock).get(lift) if role == Line.Role.USUAL else None
    bar = usual_bar(lifter.gym, lift, lifter.unit)
    volume = "usual" if known else "variation"
    height_mm = FULL_HEIGHT_MM if pulled_from_a_height(lift) else 0
    if bar is not None and height_mm and catalogue()[lift].default_height_mm > FULL_HEIGHT_MM:
        height_mm += max(reads.bar(bar).handle_rise_mm)
    line = Line(
        session=session,
        order=0,
        role=role,
        lift=lift,
        bar=bar,
        load=known.load if known else bar.mass if bar else Decimal(10),
        unit=bar.unit if bar else lifter.unit,
        sets=value("session", volume, "sets"),
        reps=known.reps if known else value("session", "variation", "reps"),
        height_mm=height_mm,
        target_rpe=Decimal(value("session", volume, "rpe")),
    )
    return _as_decided(_as_found(line))


def _as_found(line: Line) -> Line:
    """The line at the load that this episode's own search or training has for it, where the lift starts from no height."""
    session = line.session
    if session.episode is None or line.role != Line.Role.VARIATION or line.height_mm:
        return line
    found = standing_of(session.episode, line.lift, session)
    if found.load is not None and found.unit == line.unit:
        line.load = found.load
    return line


def _as_decided(line: Line) -> Line:
    """The line at the start and load at which the newest decision adds this lift."""
    decision = onward_decided(line.session)
    if decision is None or decision.numbers["to"]["lift"] != line.lift:
        return line
    to, load = decision.numbers["to"], parse_mass(decision.numbers["to_load"], Unit(line.unit))
    if load is not None:
        line.load, line.unit = load.value, load.unit
    line.height_mm, line.depth_deg, line.box_mm = to["height_mm"], to["depth_deg"], to["box_mm"]
    return line


def choices_for(gym: Gym, line: Line) -> Choices:
    """Bars of the lift's kind, and the heights that the gym can build for it."""
    lift = catalogue().get(line.lift)
    bars = gym.bars.filter(kind=bar_kind(line.lift) or "")
    bar = line.bar or bars.first()
    return Choices(
        bars=bars,
        heights=tuple(_heights(gym, line, bar)) if bar and pulled_from_a_height(line.lift) else (),
        with_depth=lift is not None and lift.fixes is Fixes.THIGH,
    )


def columns_of(line: Line, said: Mapping[str, Any]) -> dict[str, Any]:
    """The columns of a line from what the form took. A load is kept in the unit of its bar."""
    draft = _draft(line, said)
    columns = {name: new for name, new in said.items() if name not in {"load", "version"}}
    if "height_mm" in columns:
        columns["height_mm"] = columns["height_mm"] or 0
    columns["depth_deg"] = said.get("depth_deg") or 0
    load = draft.in_bar_unit
    fixed = {} if line.pk else {"lift": line.lift, "role": line.role, "first_time": _is_new(line)}
    return {**columns, **fixed, "load": load.value, "unit": str(load.unit)}


def findings_for(line: Line, said: Mapping[str, Any]) -> tuple[Finding, ...]:
    """What is said to a line as it was typed."""
    draft = _draft(line, said)
    session = line.session
    standing = None
    if session.episode is not None and line.role == Line.Role.FULL_RANGE:
        at_stake = line.lift == session.episode.lift
        standing = standing_today(session) if at_stake else standing_of(session.episode, line.lift, session)
    return draft_findings(
        draft,
        stock=stock_of(session.lifter.gym),
        standing=standing,
        first_load=first_load_of(line, bar=draft.bar, height_mm=draft.height_mm),
        expected=Mass(line.load, Unit(line.unit)) if line.pk else None,
    )


def first_load_of(line: Line, *, bar: BarRow | None = None, height_mm: int = 0) -> Mass | None:
    """What the reckoning gives a variation of this plan to begin with; None where there is none."""
    session = line.session
    if session.episode is None or line.role != Line.Role.VARIATION:
        return None
    return first_load_for(session.episode, session, line.lift, bar or line.bar, height_mm or line.height_mm)


def _draft(line: Line, said: Mapping[str, Any]) -> Draft:
    return Draft(
        role=line.role,
        lift=line.lift,
        bar=said.get("bar"),
        collar=said.get("collar"),
        load=said["load"],
        sets=said["sets"],
        reps=said["reps"],
        height_mm=int(said.get("height_mm") or 0),
    )


def _heights(gym: Gym, line: Line, bar: BarRow) -> list[tuple[int, str]]:
    stands = stands_of(stock_of(gym), reads.bar(bar), line.lift, STANDARD_PLATE_MM)
    found = {int(stand.height_mm) for stand in stands if stand.height_mm <= HIGHEST_MM}
    found |= {line.height_mm} if line.height_mm else set()
    return [(mm, height(Decimal(mm))) for mm in sorted(found)]


def _is_new(line: Line) -> bool:
    """Whether the lifter never did this lift: no best set, no set on record or in an imported log."""
    lifter = line.session.lifter
    if line.role == Line.Role.USUAL or lifter.best_sets.filter(lift=line.lift).exists():
        return False
    if PastSet.objects.filter(lifter=lifter, lift=line.lift).exists():
        return False
    done = DoneSet.objects.filter(session__lifter=lifter, lift=line.lift, undone_at=None)
    return not done.exclude(session=line.session).exists()
