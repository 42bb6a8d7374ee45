"""Sessions: opening today's, planning its full-range line, the scores around it, ending it.

A session belongs to its training day: what starts at 23:30 stays on its evening, also after midnight. There is one a day for
each lifter, whether it began with a search or with a plan.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db.models import F

from floorward.actions.lifters import consent_of
from floorward.actions.locks import lock_of
from floorward.actions.mornings import open_report
from floorward.actions.outdated import mark_outdated
from floorward.actions.overview import open_episode
from floorward.actions.standing import Source, Standing, standing_today
from floorward.core.days import training_day
from floorward.core.findings import Finding, Weight
from floorward.reports.reasons import other_setup
from floorward.storage.models import Decision, DoneSet, Gym, Lifter, Line, Session, Staff, Trace
from floorward.storage.models.fields import SET_UP
from floorward.storage.place import atomic
from floorward.tables import value


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """A lifter who trains today: one tap leads to their session."""

    session: Session
    sets_done: int


def today_of(gym: Gym, now: datetime) -> date:
    """The training day on the gym's wall clock."""
    return training_day(now, ZoneInfo(gym.time_zone))


def session_today(lifter: Lifter, now: datetime) -> Session | None:
    """Today's session of a lifter: the one under way, else the last that is over."""
    rows = lifter.sessions.filter(day=today_of(lifter.gym, now))
    return rows.order_by(F("ended_at").desc(nulls_first=True), "-started_at").first()


def planned_today(lifter: Lifter, now: datetime) -> Session | None:
    """Today's session of a lifter where something stands on its plan."""
    row = session_today(lifter, now)
    return row if row is not None and row.lines.exists() else None


def open_session(lifter: Lifter, *, by: Staff | None, now: datetime) -> Session:
    """Today's session that is not over, begun if there is none. One begun before the pain joins the episode."""
    with atomic():
        row = session_today(lifter, now)
        if row is not None and row.ended_at is None:
            if row.episode_id is None:
                row.episode = open_episode(lifter)
                row.save(update_fields=["episode"])
            return row
        return Session.objects.create(
            lifter=lifter,
            episode=open_episode(lifter),
            day=today_of(lifter.gym, now),
            started_at=now,
            made_by=by,
        )


def plan_today(lifter: Lifter, *, by: Staff | None, now: datetime) -> Session:
    """Today's session with its full-range line, the first of all; without one where a lock or a stop forbids it."""
    with atomic():
        session = open_session(lifter, by=by, now=now)
        if session.lines.filter(role=Line.Role.FULL_RANGE).exists() or session.episode is None:
            return session
        standing = standing_today(session)
        if standing.load is not None and barred(session) is None:
            _make_room_first(session)
            _full_range(session, standing)
        return session


def barred(session: Session) -> str | None:
    """Why nothing of the sore lift may be planned now: the code of its sentence, or None."""
    lock = lock_of(session.lifter)
    if lock is not None:
        return "locked-person" if lock.whole_person else "locked-region"
    if session.episode is not None and open_report(session.episode) is not None:
        return "report-open"
    return None


def standing_notes(session: Session) -> tuple[Finding, ...]:
    """What the coach should know about where the sore lift stands."""
    if session.episode is None:
        return ()
    name = {"name": session.lifter.name}
    code = barred(session)
    if code is not None:
        return (Finding(code=code, weight=Weight.REFUSE, numbers=name),)
    standing = standing_today(session)
    notes = {
        Source.NOTHING: "no-load-yet",
        Source.STOPPED: "lift-stopped",
        Source.LAST: "undecided-holds",
        Source.EASED: "undecided-eases",
    }
    if consent_of(session.lifter) is None:  # whether a decision waits hangs on what was answered
        notes = {Source.NOTHING: "no-load-yet", Source.STOPPED: "lift-stopped"}
    found = [Finding(code=notes[standing.source], numbers=name)] if standing.source in notes else []
    if not standing.full_range:
        found.append(Finding(code="range-stands-in", numbers={"height_cm": f"{standing.height_mm / 10:g}"}))
    return (*found, *_onward_note(session))


def onward_decided(session: Session) -> Decision | None:
    """The newest decision of the episode, where it adds a set-up that no set was done of since."""
    episode = session.episode
    decision = episode.decisions.first() if episode is not None else None
    if decision is None or not decision.numbers.get("onward"):
        return None
    to = decision.numbers["to"]
    same = {name: to[name] for name in ("lift", "height_mm", "depth_deg", "box_mm")}
    done = DoneSet.objects.filter(session__episode=episode, at__gt=decision.at, undone_at=None, **same)
    return None if done.exists() else decision


def _onward_note(session: Session) -> tuple[Finding, ...]:
    decision = onward_decided(session)
    if decision is None:
        return ()
    to = decision.numbers
    numbers = {"to_name": other_setup(to), "to_load": to["to_load"], "lift": to["to"]["lift"]}
    return (Finding(code="turn-decided", numbers=numbers),)


def say_before(session: Session, score: int, *, by: Staff, now: datetime) -> bool:
    """Keep the pain before the warm-up; False where nothing may be kept."""
    return _say(session, "before", score, by=by, now=now)


def say_after(session: Session, score: int, *, by: Staff | None, now: datetime) -> bool:
    """Keep the pain within the hour after; False where nothing may be kept."""
    return _say(session, "after", score, by=by, now=now)


def after_findings(session: Session, now: datetime) -> tuple[Finding, ...]:
    """Asks when the hour after the last set is over: the score may be another than the one meant."""
    last = max((row.at for row in session.done_sets.filter(undone_at=None)), default=session.started_at)
    gone = now - last
    within = timedelta(minutes=value("session", "after", "within"))
    if gone <= within:
        return ()
    hours, minutes = divmod(int(gone.total_seconds() // 60), 60)
    numbers = {"hours": hours, "minutes": minutes}
    return (Finding(code="after-late", field="score", weight=Weight.ASK, numbers=numbers),)


def end_session(session: Session, now: datetime) -> None:
    """The session is over; sets can still be mended and entered late."""
    Session.objects.filter(pk=session.pk, ended_at=None).update(ended_at=now)


def turns(gym: Gym, now: datetime) -> tuple[Turn, ...]:
    """Everybody whose session of today is not over, in the order they began."""
    rows = Session.objects.filter(lifter__gym=gym, day=today_of(gym, now), ended_at=None)
    rows = rows.select_related("lifter").prefetch_related("done_sets").order_by("started_at", "pk")
    return tuple(
        Turn(session=row, sets_done=sum(one.undone_at is None for one in row.done_sets.all())) for row in rows
    )


def _say(session: Session, name: str, score: int, *, by: Staff | None, now: datetime) -> bool:
    with atomic():
        row = (
            Session.objects.select_for_update(of=("self",))
            .select_related("lifter__gym", "episode")
            .get(pk=session.pk)
        )
        if consent_of(row.lifter) is None:
            return False
        before = getattr(row, name)
        if before is not None and before != score:
            Trace.objects.create(
                gym=row.lifter.gym,
                at=now,
                by=by,
                what=f"{name}-changed",
                subject="session",
                subject_id=row.pk,
                before={name: before},
            )
        if before != score and row.episode is not None:
            mark_outdated(row.episode, (row.day,))
        setattr(row, name, score)
        if name == "after":
            row.after_at = now
        row.save()
        return True


def _make_room_first(session: Session) -> None:
    for place, line in enumerate(session.lines.all(), start=1):
        line.order = place
        line.save(update_fields=["order"])


def _full_range(session: Session, standing: Standing) -> Line:
    first = standing.first_day
    sets = standing.sets or value("session", "full_range", "sets")
    reps = standing.reps or value("session", "full_range", "reps")
    pattern = {name: getattr(standing.pattern, name) for name in SET_UP}
    return Line.objects.create(
        session=session,
        order=0,
        role=Line.Role.FULL_RANGE,
        collar=standing.collar,
        load=standing.load,
        unit=standing.unit,
        sets=min(sets, first.sets) if first else sets,
        reps=min(reps, first.reps) if first else reps,
        target_rpe=Decimal(value("session", "full_range", "rpe")),
        **pattern | {"height_mm": standing.height_mm},
    )
