"""Done sets: logging one, taking it back, mending it, moving it to the lifter or lift it belongs to.

Nothing is lost: an undone set stays, marked, and every change leaves a trace of what stood there before. Scores are kept only
with a consent in force. A set logged twice by an impatient thumb carries the same `client_id` and is stored once.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Max
from django.forms.models import model_to_dict

from floorward.actions import audit
from floorward.actions.lifters import consent_of
from floorward.actions.locks import lock_of
from floorward.actions.mornings import open_report
from floorward.actions.outdated import mark_outdated
from floorward.core.findings import Finding
from floorward.core.pain import acceptable_findings
from floorward.errors import Refused
from floorward.storage.models import DoneSet, Line, Session, Staff, Trace
from floorward.storage.models.fields import SET_UP
from floorward.storage.place import atomic

MOMENT = timedelta(milliseconds=1)
HEALTH: Mapping[str, Any] = {"pain": None, "acceptable": None, "spreading": False}


@dataclass(frozen=True, slots=True, kw_only=True)
class SetReport:
    """What was said about one set.

    Attributes:
        kind: warm-up or work.
        acceptable: what the lifter called it; None where nobody asked, which is read off the pain.
        side: masses of the plates on one side, from the inside out, as the page told them; empty where it did not.
        client_id: made with the page, so that the same press is stored once.
    """

    kind: str
    load: Decimal
    unit: str
    reps: int
    rpe: Decimal | None = None
    pain: int | None = None
    acceptable: bool | None = None
    spreading: bool = False
    side: str = ""
    client_id: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Logged:
    """A stored set. `fresh` is false when this very press had been stored before; `kept` when its scores were."""

    row: DoneSet
    fresh: bool
    kept: bool


def set_findings(pain: int | None, *, acceptable: bool | None) -> tuple[Finding, ...]:
    """What to ask before a set is kept: whether a high score was really called acceptable."""
    return () if pain is None else acceptable_findings(pain, acceptable=bool(acceptable))


def log_set(line: Line, report: SetReport, *, by: Staff | None, now: datetime) -> Logged:
    """Store a set of `line` as it was done.

    Raises:
        Refused: `locked` while the screen keeps this lifter from such work.
    """
    with atomic():
        session = line.session
        stored = DoneSet.objects.filter(client_id=report.client_id).first() if report.client_id else None
        if stored is not None:
            return Logged(row=stored, fresh=False, kept=stored.pain is not None)
        kept = _may_be_kept(line)
        row = _row(line, report, kept=kept, by=by, now=now)
        row.save()
        _outdate(session)
        return Logged(row=row, fresh=True, kept=kept)


def log_sets(line: Line, reports: Mapping[datetime, SetReport], *, by: Staff | None) -> list[DoneSet]:
    """Store sets of `line` that are over, each by the moment it was done; what may be kept is asked once for all.

    Raises:
        Refused: `locked` while the screen keeps this lifter from such work.
    """
    with atomic():
        kept = _may_be_kept(line)
        rows = [_row(line, report, kept=kept, by=by, now=at) for at, report in reports.items()]
        _outdate(line.session)
        return DoneSet.objects.bulk_create(rows)


def _may_be_kept(line: Line) -> bool:
    """Whether scores of this line are kept; refuses the sets themselves while a lock is on."""
    refuse_if_locked(line.session, sore=line.role != Line.Role.USUAL)
    return consent_of(line.session.lifter) is not None


def _row(line: Line, report: SetReport, *, kept: bool, by: Staff | None, now: datetime) -> DoneSet:
    report = _with_planned_effort(line, report)
    return DoneSet(
        session=line.session,
        line=line,
        sore=line.role != Line.Role.USUAL,
        target_reps=line.reps if report.kind == DoneSet.Kind.WORK else None,
        at=now,
        logged_by=by,
        **{name: getattr(line, name) for name in SET_UP},
        **_columns(report if kept else replace(report, **HEALTH), line.session),
    )


def _with_planned_effort(line: Line, report: SetReport) -> SetReport:
    """A work set at the planned load and repetitions took the planned effort, unless something else was said."""
    as_planned = report.kind == DoneSet.Kind.WORK and (report.load, report.reps) == (line.load, line.reps)
    return replace(report, rpe=line.target_rpe) if as_planned and report.rpe is None else report


def undo_set(row: DoneSet, *, by: Staff, now: datetime) -> None:
    """Take a set back. It stays, marked, and leaves a trace."""
    with atomic():
        if row.undone_at is not None:
            return
        _trace(row, "set-undone", by, now)
        row.undone_at = now
        row.save(update_fields=["undone_at"])
        _outdate(row.session)


def change_set(row: DoneSet, *, changes: Mapping[str, Any], by: Staff, now: datetime) -> DoneSet:
    """Mend what was written down of a set. A decision that read it is marked, to be looked at again."""
    with atomic():
        row = (
            DoneSet.objects.select_for_update(of=("self",))
            .select_related("session__lifter__gym")
            .get(pk=row.pk)
        )
        if consent_of(row.session.lifter) is None:
            changes = {name: new for name, new in changes.items() if name not in HEALTH}
        if any(getattr(row, name) != new for name, new in changes.items()):
            _trace(row, "set-changed", by, now)
            for name, new in changes.items():
                setattr(row, name, new)
            row.save()
            _outdate(row.session)
        return row


def move_set(row: DoneSet, line: Line, *, by: Staff, now: datetime) -> DoneSet:
    """Give a set to the line it belongs to, of this lifter or of another. Load, repetitions and scores stay as they were done.

    Raises:
        Refused: `other-gym` if the line is not of the same gym.
    """
    with atomic():
        row = (
            DoneSet.objects.select_for_update(of=("self",))
            .select_related("session__lifter__gym")
            .get(pk=row.pk)
        )
        before = row.session
        if line.session.lifter.gym_id != before.lifter.gym_id:
            raise Refused("other-gym")
        _trace(row, "set-moved", by, now)
        row.session, row.line, row.sore = line.session, line, line.role != Line.Role.USUAL
        for name in SET_UP:
            setattr(row, name, getattr(line, name))
        row.target_reps = line.reps if row.kind == DoneSet.Kind.WORK else None
        if any(consent_of(one) is None for one in (before.lifter, line.session.lifter)):
            for name, nothing in HEALTH.items():  # what may be shown of neither may not get out by the other
                setattr(row, name, nothing)
        row.save()
        if line.session.lifter_id != before.lifter_id:
            audit.note(line.session.lifter, by, kind="session", changed=True, now=now)
        _outdate(before)
        _outdate(line.session)
        return row


def refuse_if_locked(session: Session, *, sore: bool) -> None:
    """Nothing heavy while the whole person is locked, nothing of the sore lift while its region is or new symptoms were reported.

    Raises:
        Refused: `locked-person`, `locked-region` or `report-open`.
    """
    lock = lock_of(session.lifter)
    if lock is not None and lock.whole_person:
        raise Refused("locked-person", name=session.lifter.name)
    if lock is not None and sore:
        raise Refused("locked-region", name=session.lifter.name)
    if sore and session.episode is not None and open_report(session.episode) is not None:
        raise Refused("report-open", name=session.lifter.name)


def last_set(session: Session) -> DoneSet | None:
    """The set that "undo" would take back."""
    return session.done_sets.filter(undone_at=None, search=None).order_by("-at", "-id").first()


def earliest_after(session: Session, client_ids: Collection[str]) -> datetime:
    """The earliest moment that a set of `session` can have: after its sets with these `client_ids`, where it has such.

    How long a sending took is not known to a phone, and the first to a server that just started takes seconds: by the time that each was
    held alone, the next set could come before it.
    """
    if not client_ids:
        return session.started_at
    last = session.done_sets.filter(client_id__in=client_ids).aggregate(last=Max("at"))["last"]
    return session.started_at if last is None else last + MOMENT


def _columns(report: SetReport, session: Session) -> dict[str, Any]:
    acceptable = report.acceptable
    if acceptable is None and report.pain is not None:
        acceptable = report.pain <= session.lifter.gym.ceiling_set and not report.spreading
    return {
        "kind": report.kind,
        "load": report.load,
        "unit": report.unit,
        "reps": report.reps,
        "rpe": report.rpe,
        "pain": report.pain,
        "acceptable": acceptable,
        "spreading": report.spreading,
        "side": report.side,
        "client_id": report.client_id or None,
    }


def _outdate(session: Session) -> None:
    if session.episode is not None:
        mark_outdated(session.episode, (session.day,))


def _trace(row: DoneSet, what: str, by: Staff, now: datetime) -> None:
    before = {name: _plain(value) for name, value in model_to_dict(row).items()}
    Trace.objects.create(
        gym=row.session.lifter.gym, at=now, by=by, what=what, subject="set", subject_id=row.pk, before=before
    )


def _plain(value: Any) -> Any:
    return value if value is None or isinstance(value, bool | int | str) else str(value)
