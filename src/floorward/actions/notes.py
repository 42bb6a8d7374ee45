"""The note to a clinician: what is on record of an episode, gathered for the page and for the health-record file.

It is written only while the lifter's consent is in force and they have agreed that a note goes to a clinician, and every writing
leaves a line on the trail.
"""

from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.utils.crypto import salted_hmac

from floorward.actions import audit
from floorward.actions.exposures import Trained
from floorward.actions.finding import accepted_in
from floorward.actions.histories import trained_between
from floorward.actions.lifters import consent_of
from floorward.actions.mornings import gym_day
from floorward.core.screen import row_text
from floorward.errors import Refused
from floorward.language import number, translated
from floorward.reports.hand_off import (
    Act,
    Agreed,
    Answered,
    Evening,
    HandOff,
    Lifted,
    Moment,
    Score,
    Screened,
)
from floorward.reports.wording import day_and_month, lift_name, sentence_for, whole_day, word
from floorward.storage.models import Consent, DoneSet, Episode, Lifter, Screening, Search, Staff
from floorward.storage.place import atomic
from floorward.units import plain


def may_share(lifter: Lifter) -> bool:
    """Whether a note may go to a clinician."""
    consent = consent_of(lifter)
    return consent is not None and consent.share_with_clinician


def write_note(episode: Episode, *, question: str, by: Staff, now: datetime) -> HandOff:
    """The note as it stands now; the trail tells that it was written.

    Raises:
        Refused: `consent-needed` without a consent in force, `no-share` where it does not reach to clinicians.
    """
    with atomic():
        lifter = episode.lifter
        consent = consent_of(lifter)
        if consent is None:
            raise Refused("consent-needed", name=lifter.name)
        if not consent.share_with_clinician:
            raise Refused("no-share", name=lifter.name)
        audit.note(lifter, by, kind="note", changed=True, now=now)
        return _gathered(episode, consent, question=question, by=by, now=now)


def _gathered(episode: Episode, consent: Consent, *, question: str, by: Staff, now: datetime) -> HandOff:
    lifter, gym = episode.lifter, episode.lifter.gym
    zone = ZoneInfo(gym.time_zone)
    trained, _ = trained_between(episode, episode.since, gym_day(gym, now))
    return HandOff(
        key=_key("lifter", lifter.pk),
        episode_key=_key("episode", episode.pk),
        name=lifter.name,
        born_year=lifter.born_year,
        sex=lifter.sex,
        stature_m=lifter.stature_m,
        mass_kg=lifter.mass_kg,
        gym=gym.name,
        coach=by.name,
        written=now.astimezone(zone),
        region=episode.region,
        since=episode.since,
        provoking=_provoking(episode),
        was_warm_up=episode.was_warm_up,
        usual=episode.usual_load,
        said=tuple(_said(episode)),
        screens=tuple(_screened(row, zone) for row in _screenings(episode)),
        scores=tuple(sorted(_scores(episode, trained, zone), key=lambda row: _moment_of(row, zone))),
        evenings=tuple(_evening(row) for row in trained),
        accepted=tuple(_accepted(episode)),
        acts=tuple(sorted(_acts(episode, trained, zone), key=lambda act: act.day)),
        agreed=_agreed(consent, zone),
        question=question.strip(),
    )


def _key(kind: str, number: int) -> str:
    """A pseudonym: the same for the same row of this installation, and telling nothing of it."""
    return salted_hmac("floorward.hand-off", f"{kind} {number}", algorithm="sha256").hexdigest()


def _provoking(episode: Episode) -> Lifted:
    return Lifted(
        key=_key("episode", episode.pk),
        day=episode.since,
        lift=lift_name(episode.lift),
        load=episode.load,
        unit=episode.unit,
        reps=episode.reps,
        pain=episode.pain,
    )


def _said(episode: Episode) -> Iterator[str]:
    if episode.after_injury:
        yield sentence_for("note-after-injury", {})
    if episode.limb_symptoms:
        yield sentence_for("note-limb", {})
    if episode.eases:
        yield sentence_for("note-eases", {"text": episode.eases.rstrip(".")})
    if episode.worsens:
        yield sentence_for("note-worsens", {"text": episode.worsens.rstrip(".")})


def _screenings(episode: Episode) -> list[Screening]:
    return list(episode.screenings.select_related("asked_by").prefetch_related("clearances"))


def _screened(row: Screening, zone: ZoneInfo) -> Screened:
    cleared = row.clearances.first()
    return Screened(
        key=_key("screening", row.pk),
        at=row.at.astimezone(zone),
        by=row.asked_by.name if row.asked_by else "",
        outcome=row.outcome,
        answers=tuple(
            Answered(id=key, text=translated(row_text(key)), answer=answer)
            for key, answer in row.answers.items()
        ),
        cleared=""
        if cleared is None
        else sentence_for(
            "note-cleared",
            {
                "day": whole_day(cleared.day),
                "role": cleared.clinician_role,
                "name": cleared.clinician_name,
                "note": cleared.note,
            },
        ).strip(),
    )


def _scores(episode: Episode, trained: tuple[Trained, ...], zone: ZoneInfo) -> Iterator[Score]:
    if episode.pain is not None:
        yield Score(
            key=_key("report", episode.pk),
            at=episode.started_at.astimezone(zone),
            moment=Moment.REPORT,
            score=episode.pain,
        )
    for session in episode.sessions.all():
        if session.before is not None:
            at = session.started_at.astimezone(zone)
            yield Score(key=_key("before", session.pk), at=at, moment=Moment.BEFORE, score=session.before)
        if session.after is not None:
            at = (session.after_at or session.started_at).astimezone(zone)
            yield Score(key=_key("after", session.pk), at=at, moment=Moment.AFTER, score=session.after)
    for row in trained:
        yield Score(
            key=_key(f"during {row.lift}", row.session.pk),
            at=row.pattern.at.astimezone(zone),
            moment=Moment.DURING,
            score=row.exposure.during,
            about=f"{lift_name(row.lift)}, {number(plain(row.exposure.load))} {row.unit}",
        )
    yield from _tests(episode, zone)
    for check in episode.mornings.exclude(score=None):
        yield Score(
            key=_key("morning", check.pk), at=check.day, moment=Moment.MORNING, score=check.score or 0
        )
    for review in episode.reviews.exclude(score=None):
        at = review.at.astimezone(zone)
        yield Score(key=_key("review", review.pk), at=at, moment=Moment.REVIEW, score=review.score or 0)


def _tests(episode: Episode, zone: ZoneInfo) -> Iterator[Score]:
    rows = DoneSet.objects.filter(session__episode=episode, kind=DoneSet.Kind.TEST, undone_at=None)
    for row in rows.exclude(pain=None):
        yield Score(
            key=_key("test", row.pk),
            at=row.at.astimezone(zone),
            moment=Moment.TEST,
            score=row.pain or 0,
            about=f"{lift_name(row.lift)}, {number(plain(row.load))} {row.unit}",
        )


def _moment_of(row: Score, zone: ZoneInfo) -> datetime:
    if isinstance(row.at, datetime):
        return row.at
    return datetime(row.at.year, row.at.month, row.at.day, tzinfo=zone)


def _evening(row: Trained) -> Evening:
    done = row.exposure
    return Evening(
        day=done.day,
        lift=_with_height(row.lift, done.height_mm),
        load=done.load,
        unit=str(row.unit),
        sets=done.sets,
        reps=done.reps,
        before=done.before,
        during=done.during,
        after=done.after,
        morning=done.morning,
    )


def _with_height(lift: str, height_mm: int) -> str:
    name = lift_name(lift)
    if not height_mm:
        return name
    return sentence_for("note-lift-at", {"lift": name, "height": f"{height_mm / 10:g}"})


def _accepted(episode: Episode) -> Iterator[Lifted]:
    """What each search has found, oldest first."""
    rows = Search.objects.filter(session__episode=episode, tests__undone_at=None).distinct()
    for row in rows.select_related("session__lifter__gym", "bar", "collar").order_by("started_at", "pk"):
        found = accepted_in(row)
        if found is not None:
            yield Lifted(
                key=_key("search", row.pk),
                day=row.session.day,
                lift=_with_height(found.lift, found.height_mm),
                load=found.load,
                unit=str(found.unit),
                reps=found.reps,
                pain=found.pain,
            )


def _acts(episode: Episode, trained: tuple[Trained, ...], zone: ZoneInfo) -> Iterator[Act]:
    days = sorted({row.session.day for row in trained})
    if days:
        numbers = {"count": len(days), "first": day_and_month(days[0]), "last": day_and_month(days[-1])}
        yield Act(day=days[-1], text=sentence_for("note-act-sessions", numbers))
    for row in episode.decisions.all():
        load = row.load if row.change != "stop" else None
        numbers = {
            "change": word("change", row.change),
            "lift": _with_height(row.lift, row.height_mm),
            "load": plain(load or Decimal()),
            "unit": row.unit,
        }
        code = "note-act-decided" if load is not None else "note-act-decided-stop"
        yield Act(day=row.at.astimezone(zone).date(), text=sentence_for(code, numbers))
    for held in episode.reviews.all():
        numbers = {"review": word("review", held.code), "outcome": word("outcome", held.outcome)}
        yield Act(day=held.day, text=sentence_for("note-act-review", numbers))
    for asked in episode.screenings.all():
        numbers = {"outcome": word("outcome", asked.outcome)}
        yield Act(day=asked.at.astimezone(zone).date(), text=sentence_for("note-act-screen", numbers))


def _agreed(consent: Consent, zone: ZoneInfo) -> Agreed:
    guardian = consent.given_by == "guardian"
    by = word("note", "guardian").format(name=consent.guardian_name) if guardian else word("note", "lifter")
    return Agreed(at=consent.given_at.astimezone(zone), by=by, wording=consent.wording_version)
