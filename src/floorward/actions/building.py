"""Building a session: wishes in, lines out, each change taken back on demand. What is pinned stays as it is when it is built again.

A session is built until its first set is logged; lines that the builder knows nothing of stay as they are, a sore lift first and all else at the end.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.forms.models import model_to_dict

from floorward.actions.build_request import Material, material_of
from floorward.actions.own_week import sessions_left
from floorward.actions.sessions import barred
from floorward.actions.unreckoned import key_of_line
from floorward.core.alternatives import best_left_out
from floorward.core.builder import Plan
from floorward.core.builder import build as best_plan
from floorward.core.edits import line_for
from floorward.core.exercises import Role
from floorward.core.findings import Finding, Weight
from floorward.core.plan_reasons import alternative_reason, left_out_reason, plan_reasons
from floorward.core.reckoning import PlannedLine
from floorward.core.session_request import Pin
from floorward.errors import Refused
from floorward.reports.wording import lift_name
from floorward.storage.models import BarRow, Build, CollarRow, Line, Session
from floorward.storage.place import atomic
from floorward.tables import value

WISHES = ("minutes", "sessions_left", "aim", "busy", "bans", "pins", "said", "as_built")
SHOWN = ("lift", "height_mm", "depth_deg", "box_mm", "load", "unit", "sets", "reps")


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """Numbers of one line as the coach typed them."""

    load: Decimal
    sets: int
    reps: int


def wishes_of(session: Session) -> Build:
    """What the session was built from, or what it would be by default; the latter is not stored yet."""
    row = Build.objects.filter(session=session).first()
    return row or Build(
        session=session,
        minutes=int(value("builder", "time", "session")),
        sessions_left=sessions_left(session),
        version=0,
    )


def shut(session: Session) -> str | None:
    """Why nothing can be built: the code of its sentence, or None."""
    if barred(session) == "locked-person":
        return "locked-person"
    if session.ended_at is not None or logged(session):
        return "build-begun"
    return None


def logged(session: Session) -> bool:
    """Whether a set of the plan is done."""
    return session.done_sets.filter(undone_at=None, search=None).exists()


def build(session: Session, wished: Mapping[str, Any], *, seen_version: int) -> Plan:
    """The session built anew with what the coach wishes.

    Raises:
        Refused: why nothing can be built, or `changed-meanwhile`.
    """
    _refuse(session)
    wishes = wishes_of(session)
    for name, new in wished.items():
        setattr(wishes, name, new)
    return _built(session, wishes, seen_version)


def take_day(session: Session, days: Sequence[int], minutes: int, *, seen_version: int) -> None:
    """The session's own lines as the plan of those days has them, with what is said of the whole; they are settled.

    Raises:
        Refused: why nothing can be built, or `changed-meanwhile`.
    """
    _refuse(session)
    wishes = wishes_of(session)
    wishes.minutes, wishes.sessions_left = minutes, max(wishes.sessions_left, len(days))
    material = material_of(session, wishes, days)
    plan = best_plan(material.request)
    today = replace(plan, lines=tuple(line for line in plan.lines if line.day == 0))
    said = [
        Finding(code="plan-of-week", numbers={"sessions": len(days)}),
        *(one for one in plan_reasons(plan) if one.code not in {"plan-best", "plan-within-gap"}),
    ]
    _keep(session, wishes, material, today, said, seen_version)


def pin(session: Session, key: str, *, seen_version: int) -> None:
    """Settle a line as it stands, or let it go again; the plan itself stays.

    Raises:
        Refused: why nothing can be built, `changed-meanwhile`.
    """
    _refuse(session)
    wishes = wishes_of(session)
    kept = [row for row in wishes.pins if row["exercise"] != key]
    if len(kept) == len(wishes.pins):
        kept += [_pinned(line) for line in session.lines.all() if key_of_line(line) == key]
    _store(session, wishes, seen_version, {"pins": kept})


def ban(session: Session, key: str, *, seen_version: int) -> Plan:
    """Leave an exercise out, or let it in again, and build anew.

    Raises:
        Refused: why nothing can be built, `changed-meanwhile`.
    """
    wishes = wishes_of(session)
    bans = [one for one in wishes.bans if one != key] if key in wishes.bans else [*wishes.bans, key]
    pins = [row for row in wishes.pins if row["exercise"] != key]
    return build(session, {"bans": bans, "pins": pins}, seen_version=seen_version)


def edit(session: Session, line: Line, typed: Edit, *, seen_version: int) -> tuple[Finding, ...]:
    """Other numbers for one line, settled from then on; nothing changes where a rule refuses them.

    Raises:
        Refused: why nothing can be built, `changed-meanwhile`, `build-unknown` for a line the builder knows nothing of.
    """
    _refuse(session)
    wishes, key = wishes_of(session), key_of_line(line)
    material = material_of(session, wishes)
    if material.request.exercise(key) is None:
        raise Refused("build-unknown")
    wanted = Pin(exercise=key, day=0, load=typed.load.normalize(), repetitions=typed.reps, sets=typed.sets)
    planned, findings = line_for(material.request, wanted)
    if planned is None:
        return findings

    def change() -> None:
        row = session.lines.get(pk=line.pk)
        _fill(row, planned, material)

    row = {"exercise": key, "load": str(typed.load.normalize()), "sets": typed.sets}
    pins = [one for one in wishes.pins if one["exercise"] != key]
    _store(
        session,
        wishes,
        seen_version,
        {"pins": [*pins, row | {"repetitions": typed.reps}]},
        change,
    )
    return ()


def take_back(session: Session, *, seen_version: int) -> None:
    """Undo the last change: lines and wishes as they stood before it; a second time does it again.

    Raises:
        Refused: why nothing can be built, `changed-meanwhile`, `nothing-before`.
    """
    _refuse(session)
    wishes = wishes_of(session)
    before = wishes.before
    if not before:
        raise Refused("nothing-before")
    _store(session, wishes, seen_version, before["wishes"], lambda: _put_back(session, before["lines"]))


def snapshot(session: Session) -> list[dict[str, Any]]:
    """The lines as far as a plan is made of them."""
    return [
        {name: _plain(getattr(line, name)) for name in SHOWN}
        for line in session.lines.order_by("order", "id")
    ]


def _built(session: Session, wishes: Build, seen_version: int) -> Plan:
    material = material_of(session, wishes)
    plan = best_plan(material.request)
    said = [*plan_reasons(plan), *(left_out_reason(one) for one in plan.left_out)]
    other = best_left_out(plan) if plan.lines else None
    said += [alternative_reason(other)] if other else []
    if {one.exercise for one in plan.left_out} & _painful(material):
        said = [one for one in said if one.code != "plan-no-range"]
    said += [
        Finding(code="plan-not-found", field=lift, numbers={"lift": lift_name(lift).capitalize()})
        for lift in material.not_found
        if lift not in wishes.bans
    ]
    _keep(session, wishes, material, plan, said, seen_version)
    return plan


def _keep(
    session: Session,
    wishes: Build,
    material: Material,
    plan: Plan,
    said: Iterable[Finding],
    seen_version: int,
) -> None:
    """Write the plan's lines and what was said of them; lines stay as they are where nothing could be planned."""
    changes = {name: getattr(wishes, name) for name in WISHES}
    changes["said"] = [_kept(one) for one in said]

    def change() -> None:
        if plan.lines:
            _write(session, plan, material)
        Build.objects.filter(session=session).update(as_built=snapshot(session))

    _store(session, wishes_of(session), seen_version, changes, change)


def _painful(material: Material) -> set[str]:
    return {one.key for one in material.request.exercises if one.role is Role.FULL_RANGE}


def _store(
    session: Session,
    wishes: Build,
    seen_version: int,
    changes: Mapping[str, Any],
    change: Callable[[], None] = lambda: None,
) -> None:
    """Write wishes and lines together, with how both stood before."""
    with atomic():
        Session.objects.select_for_update().get(pk=session.pk)
        row = Build.objects.select_for_update().filter(session=session).first()
        if (row.version if row else 0) != seen_version:
            raise Refused("changed-meanwhile")
        row = row or wishes
        before = {
            "wishes": {name: getattr(row, name) for name in WISHES},
            "lines": [_whole(line) for line in session.lines.order_by("order", "id")],
        }
        for name, new in changes.items():
            setattr(row, name, new)
        row.before, row.version = before, seen_version + 1
        row.save()
        change()


def _refuse(session: Session) -> None:
    code = shut(session)
    if code is not None:
        raise Refused(code, name=session.lifter.name)


def _write(session: Session, plan: Plan, material: Material) -> None:
    """The sore lift first, also where the builder knows nothing of it; the built lines in their order; then what else it does not know."""
    rows = {key_of_line(line): line for line in session.lines.all()}
    known = {exercise.key for exercise in material.request.exercises}
    kept = [line for key, line in rows.items() if key not in known]
    wanted = {line.key for line in plan.lines}
    for line in session.lines.all():
        key = key_of_line(line)
        if key in known and (key not in wanted or rows[key].pk != line.pk):
            line.delete()
    sore = [line for line in kept if line.role == Line.Role.FULL_RANGE]
    others = [line for line in kept if line not in sore]
    for order, planned in enumerate(plan.lines, start=len(sore) + 1):
        row = rows.get(planned.key) or Line(session=session)
        row.order = order
        _fill(row, planned, material)
    after = len(sore) + len(plan.lines) + 1
    for order, row in (*enumerate(sore, start=1), *enumerate(others, start=after)):
        row.order = order
        row.save(update_fields=["order"])


def _fill(row: Line, planned: PlannedLine, material: Material) -> None:
    exercise, choice = planned.choice.exercise, planned.choice
    new = row.pk is None
    columns = material.columns[planned.key]
    for name, given in columns.items():
        if new or name in {"height_mm", "bar_id"}:
            setattr(row, name, given)
    row.role, row.unit = str(exercise.role), str(exercise.unit)
    row.load, row.sets, row.reps = choice.load.load, planned.sets, choice.repetitions
    row.target_rpe, row.first_time = _target(planned), exercise.first_time
    row.version = 1 if new else row.version + 1
    row.save()


def _target(planned: PlannedLine) -> Decimal:
    """Where to stop: as the sore lift always has it, else as hard as the choice is meant to be, a little over at most."""
    if planned.choice.exercise.role is Role.FULL_RANGE:
        return Decimal(value("session", "full_range", "rpe"))
    if planned.choice.exercise.role is Role.USUAL:
        return Decimal(str(planned.choice.rpe))
    least = float(value("builder", "effort", "hard_enough"))
    return Decimal(str(max(planned.choice.rpe, least)))


def _pinned(line: Line) -> dict[str, Any]:
    return {
        "exercise": key_of_line(line),
        "load": _plain(line.load),
        "sets": line.sets,
        "repetitions": line.reps,
    }


def _whole(line: Line) -> dict[str, Any]:
    """Every column of a line."""
    found = model_to_dict(line, exclude=["id", "session"])
    return {name: _plain(one) for name, one in found.items()}


def _put_back(session: Session, rows: Iterable[Mapping[str, Any]]) -> None:
    session.lines.filter(done_sets=None).delete()
    bars = set(BarRow.objects.filter(gym=session.lifter.gym).values_list("pk", flat=True))
    collars = set(CollarRow.objects.filter(gym=session.lifter.gym).values_list("pk", flat=True))
    for row in rows:
        columns = dict(row)
        bar, collar = columns.pop("bar"), columns.pop("collar")
        ended = columns.pop("ended_at", None)
        Line.objects.create(
            session=session,
            bar_id=bar if bar in bars else None,
            collar_id=collar if collar in collars else None,
            ended_at=datetime.fromisoformat(ended) if ended else None,
            **columns,
        )


def _plain(one: Any) -> Any:
    if isinstance(one, Decimal):
        return f"{one.normalize():f}"
    return one.isoformat() if isinstance(one, datetime) else one


def _kept(finding: Finding) -> dict[str, Any]:
    return {
        "code": finding.code,
        "field": finding.field,
        "weight": str(finding.weight),
        "numbers": {name: _plain(one) for name, one in finding.numbers.items()},
    }


def said_of(wishes: Build) -> tuple[Finding, ...]:
    """What was said when the session was built."""
    return tuple(
        Finding(
            code=row["code"],
            field=row["field"],
            weight=Weight(row["weight"]),
            numbers={
                name: tuple(one) if isinstance(one, list) else one for name, one in row["numbers"].items()
            },
        )
        for row in wishes.said
    )
