"""Morning checks: the pain on waking, said by the lifter on their link, or entered by a coach and marked so.

A morning belongs to the day on the gym's wall clock, which begins at four: a session that ended after midnight is answered for by
the next day's morning, on the nights when the clocks change too.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from floorward.actions.lifters import consent_of
from floorward.actions.outdated import mark_outdated
from floorward.core.days import training_day
from floorward.core.findings import Finding, Weight
from floorward.errors import Refused
from floorward.storage.models import Episode, Gym, Lifter, MorningCheck, Staff, Trace
from floorward.storage.place import atomic
from floorward.tables import value

NEW_SYMPTOMS = ("yes", "unsure")
NOON = time(12)
_TOLD = ("score", "new_symptoms", "night_lost", "unwell", "sentence")


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What was said about one morning.

    Attributes:
        new_symptoms: numbness, weakness, bladder or bowel trouble that is new.
        night_lost: whether the pain cost sleep in the night before.
        unwell: whether they feel ill as well.
    """

    day: date
    score: int
    new_symptoms: str = "no"
    night_lost: bool = False
    unwell: bool = False
    sentence: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MorningView:
    """What the morning pages know before anything is typed.

    Attributes:
        days: the mornings that may be answered now, newest first; the first is today's.
        answered: scores already given for these days.
        several: whether the region must be named, because more than one episode is open.
        report: new symptoms that no screen has followed yet.
        kept: whether the answer will be stored (a consent is in force).
        late: whether it is noon or past it at the gym.
    """

    episode: Episode
    first_name: str
    late: bool
    several: bool
    today: date
    days: tuple[date, ...]
    answered: Mapping[date, int | None]
    answered_at: datetime | None
    report: MorningCheck | None
    kept: bool

    @property
    def due(self) -> bool:
        """Whether this morning still wants its answer."""
        return self.today not in self.answered


def gym_day(gym: Gym, now: datetime) -> date:
    """The day that it is on the gym's wall clock; before four in the morning still yesterday."""
    return training_day(now, ZoneInfo(gym.time_zone))


def morning_view(
    lifter: Lifter, now: datetime, *, by_coach: bool = False, episode_id: int | None = None
) -> MorningView | None:
    """What to ask: of the episode named, else of the first open one that still wants today's answer; None when none is open."""
    all_open = list(lifter.episodes.filter(closed_at=None))
    open_ones = [row for row in all_open if episode_id in {None, row.pk}]
    if not open_ones:
        return None
    today = gym_day(lifter.gym, now)
    answered = MorningCheck.objects.filter(episode__in=open_ones, day=today).values_list(
        "episode_id", flat=True
    )
    episode = next((row for row in open_ones if row.pk not in set(answered)), open_ones[0])
    days = _days(today, episode, value("links", "late_entry" if by_coach else "late_answer"), lifter.gym)
    checks = {check.day: check for check in episode.mornings.filter(day__in=days)}
    return MorningView(
        episode=episode,
        first_name=first_name(lifter),
        late=now.astimezone(ZoneInfo(lifter.gym.time_zone)).time() >= NOON,
        several=len(all_open) > 1,
        today=today,
        days=days,
        answered={day: check.score for day, check in checks.items()},
        answered_at=checks[today].at if today in checks else None,
        report=open_report(episode),
        kept=consent_of(lifter) is not None,
    )


def first_name(lifter: Lifter) -> str:
    """How a lifter is greeted."""
    return (lifter.name.split() or [lifter.name])[0]


def morning_findings(
    view: MorningView, answer: Answer, *, shown_day: date | None = None
) -> tuple[Finding, ...]:
    """What is to be asked about `answer` before it is kept.

    `shown_day` is the day that the page was opened on; a page left open overnight asks which morning is meant. Of an answer
    that nobody agreed to have kept nothing is asked: it is read, and forgotten.
    """
    if not view.kept:
        return ()
    if answer.day not in view.days:
        return (
            Finding(
                code="morning-out-of-reach", field="day", weight=Weight.REFUSE, numbers={"day": answer.day}
            ),
        )
    found = []
    if shown_day is not None and shown_day != view.today:
        found.append(
            Finding(code="morning-other-day", field="day", weight=Weight.ASK, numbers={"day": shown_day})
        )
    if view.answered.get(answer.day, answer.score) != answer.score:
        found.append(
            Finding(code="morning-answered", field="score", weight=Weight.ASK, numbers={"day": answer.day})
        )
    return tuple(found)


def record_morning(
    episode: Episode, answer: Answer, *, now: datetime, by: Staff | None = None
) -> MorningCheck | None:
    """Keep an answer; by a coach it is marked with their name. A second answer for a day replaces the first and leaves a trace.

    A yes to new symptoms is not taken back by a second answer: only a screen ends it. Decisions that read this morning are
    marked, to be looked at again.

    Returns:
        The row, or None where nothing may be kept without consent.

    Raises:
        Refused: `episode-closed`.
    """
    with atomic():
        if consent_of(episode.lifter) is None:
            return None
        if not Episode.objects.filter(pk=episode.pk, closed_at=None).exists():
            raise Refused("episode-closed", name=episode.lifter.name)
        row = MorningCheck.objects.filter(episode=episode, day=answer.day).first()
        if row is None:
            row = MorningCheck(episode=episode, day=answer.day)
        elif _said(row) == _told(answer):
            return row
        else:
            _leave_trace(row, by=by, now=now)
        _write(row, answer, now=now, by=by)
        mark_outdated(episode, (answer.day, answer.day - timedelta(days=1)))
        return row


def open_report(episode: Episode) -> MorningCheck | None:
    """The newest morning with new symptoms that no screen has followed yet: no heavy work until one has."""
    said = episode.mornings.filter(new_symptoms__in=NEW_SYMPTOMS).order_by("-at").first()
    if said is None or episode.screenings.filter(at__gt=said.at).exists():
        return None
    return said


def _days(today: date, episode: Episode, back: int, gym: Gym) -> tuple[date, ...]:
    first = gym_day(gym, episode.started_at)
    days = (today - timedelta(days=n) for n in range(back + 1))
    return tuple(day for day in days if day >= first) or (today,)


def _said(row: MorningCheck) -> dict[str, Any]:
    return {name: getattr(row, name) for name in _TOLD}


def _told(answer: Answer) -> dict[str, Any]:
    return {name: getattr(answer, name) for name in _TOLD}


def _write(row: MorningCheck, answer: Answer, *, now: datetime, by: Staff | None) -> None:
    if row.new_symptoms not in NEW_SYMPTOMS or row.episode.screenings.filter(at__gt=row.at).exists():
        row.new_symptoms = answer.new_symptoms
    row.score, row.sentence, row.at, row.entered_by = answer.score, answer.sentence, now, by
    row.night_lost, row.unwell = answer.night_lost, answer.unwell
    row.save()


def _leave_trace(row: MorningCheck, *, by: Staff | None, now: datetime) -> None:
    said = {"day": row.day.isoformat(), **_said(row)}
    gym = row.episode.lifter.gym
    Trace.objects.create(
        gym=gym, at=now, by=by, what="morning-changed", subject="morning", subject_id=row.pk, before=said
    )
