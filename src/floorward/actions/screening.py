"""The warning-sign questions: what is to be asked, what the answers come to, and a clinician's word that lifts a lock.

Answers are kept with their time and who asked, and only with a consent in force: without one the questions are asked and the
outcome is shown, and nothing is stored.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from floorward.actions.lifters import consent_of
from floorward.actions.mornings import open_report
from floorward.core import screen
from floorward.core.days import age_years, training_day
from floorward.core.findings import Finding
from floorward.core.records import Sex
from floorward.core.screen import Answer, Outcome, OutcomeWords, Question, ScreenFacts, Verdict
from floorward.errors import Refused
from floorward.language import translated
from floorward.storage.models import Clearance, Episode, Lifter, Screening, Staff
from floorward.storage.place import atomic


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """What is to be asked now.

    Attributes:
        first: questions that want an answer each, one by one.
        rest: the others; sub-questions follow their parents in both.
        repeat: whether only the questions that come back are asked.
    """

    region: str
    facts: ScreenFacts
    first: tuple[Question, ...]
    rest: tuple[Question, ...]
    repeat: bool

    @property
    def asked(self) -> tuple[Question, ...]:
        """All of them."""
        return (*self.first, *self.rest)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A question with what was answered."""

    text: str
    answer: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcomes:
    """What the answers came to, in words.

    Attributes:
        reasons: what decided.
        also: what else was said, less urgent.
        ask_again: what they were not sure of and should be asked once more.
        answers: every question with its answer, for whoever takes over; empty on a page that keeps nothing.
        screening: the stored row, None where nothing is kept.
        cleared: the clinician's word that lifted the lock.
    """

    verdict: Verdict
    words: OutcomeWords
    reasons: tuple[str, ...]
    also: tuple[str, ...]
    ask_again: tuple[str, ...]
    answers: tuple[Line, ...] = ()
    reminders: tuple[date, ...] = ()
    screening: Screening | None = None
    cleared: Clearance | None = None

    @property
    def stops(self) -> bool:
        """Whether something may not be loaded now."""
        return self.verdict.locks != "none"

    @property
    def emergency(self) -> bool:
        """Whether it cannot wait."""
        return self.verdict.outcome is Outcome.EMERGENCY


def facts_of(lifter: Lifter, today: date, *, injury: bool, limb_symptoms: bool) -> ScreenFacts:
    """What is known without asking."""
    return ScreenFacts(
        age=age_years(lifter.born_year, today),
        injury=injury,
        limb_symptoms=limb_symptoms,
        pregnancy_possible=lifter.sex != Sex.MALE,
    )


def sheet_of(region: str, facts: ScreenFacts, *, repeat: bool = False) -> Sheet:
    """The questions for this region; those of the most urgent kind come first and want their own answer."""
    asked = screen.questions(
        region,
        age=facts.age,
        injury=facts.injury,
        limb_symptoms=facts.limb_symptoms,
        pregnancy_possible=facts.pregnancy_possible,
        repeat=repeat,
    )
    first = tuple(question for question in asked if question.tier == "E" and not question.parent)
    return Sheet(
        region=region,
        facts=facts,
        first=first,
        rest=tuple(question for question in asked if question not in first),
        repeat=repeat,
    )


def sheet_for(episode: Episode, now: datetime, *, limb_symptoms: bool, whole: bool) -> Sheet:
    """What to ask in this episode: everything at first and whenever `whole` is wanted, else what comes back."""
    today = training_day(now, ZoneInfo(episode.lifter.gym.time_zone))
    facts = facts_of(episode.lifter, today, injury=episode.after_injury, limb_symptoms=limb_symptoms)
    repeat = not whole and episode.screenings.exists() and not _something_new(episode)
    sheet = sheet_of(episode.region, facts, repeat=repeat)
    return sheet if sheet.asked else sheet_of(episode.region, facts)


def screen_due(episode: Episode, now: datetime) -> bool:
    """Whether questions must be asked before this region is loaded: none were yet, something is new, or they come back."""
    zone = ZoneInfo(episode.lifter.gym.time_zone)
    last = episode.screenings.first()
    if last is None or _something_new(episode):
        return True
    today = training_day(now, zone)
    facts = facts_of(episode.lifter, today, injury=episode.after_injury, limb_symptoms=episode.limb_symptoms)
    if not sheet_of(episode.region, facts, repeat=True).asked:
        return False
    return screen.repeat_due(training_day(last.at, zone), episode.limb_symptoms, today)


def judged(sheet: Sheet, answers: Mapping[str, Answer], emergency_number: str, today: date) -> Outcomes:
    """What `answers` come to, without keeping anything."""
    verdict = screen.judge(sheet.region, answers, sheet.facts, repeat=sheet.repeat)
    return _in_words(verdict, emergency_number, today)


def record_answers(
    episode: Episode, sheet: Sheet, answers: Mapping[str, Answer], *, by: Staff, now: datetime
) -> Screening | None:
    """Keep the answers with their outcome, time and asker; None where nothing may be kept."""
    with atomic():
        if consent_of(episode.lifter) is None:
            return None
        verdict = screen.judge(sheet.region, answers, sheet.facts, repeat=sheet.repeat)
        kept = {
            q.id: str(answers[q.id]) for q in sheet.asked if screen.is_open(q, answers) and q.id in answers
        }
        Episode.objects.filter(pk=episode.pk).update(limb_symptoms=sheet.facts.limb_symptoms)
        return Screening.objects.create(
            episode=episode,
            at=now,
            asked_by=by,
            is_repeat=sheet.repeat,
            answers=kept,
            outcome=verdict.outcome,
            locks=verdict.locks,
            reasons=list(verdict.reasons),
        )


def outcome_of(screening: Screening) -> Outcomes:
    """A stored screen in words, as it was judged on its day."""
    episode = screening.episode
    gym = episode.lifter.gym
    day = training_day(screening.at, ZoneInfo(gym.time_zone))
    facts = facts_of(episode.lifter, day, injury=episode.after_injury, limb_symptoms=episode.limb_symptoms)
    answers = {key: Answer(answer) for key, answer in screening.answers.items()}
    again = screen.judge(episode.region, answers, facts, repeat=screening.is_repeat)
    verdict = Verdict(
        outcome=Outcome(screening.outcome),
        reasons=tuple(screening.reasons),
        also=tuple(key for key in again.also if key not in screening.reasons),
        ask_again=again.ask_again,
        locks=screening.locks,
    )
    lines = tuple(
        Line(text=translated(screen.row_text(key)), answer=answer) for key, answer in answers.items()
    )
    return _in_words(verdict, gym.emergency_number, day, answers=lines, screening=screening)


def locking(episode: Episode) -> tuple[Screening, ...]:
    """Screens whose lock no clinician has lifted yet, newest first."""
    rows = episode.screenings.exclude(locks="none").filter(clearances=None)
    return tuple(rows.select_related("asked_by"))


def clearance_check(episode: Episode, *, day: date, role: str, today: date) -> tuple[Finding, ...]:
    """What is wrong with a clinician's word for every lock in force."""
    zone = ZoneInfo(episode.lifter.gym.time_zone)
    answered = max((row.at.astimezone(zone).date() for row in locking(episode)), default=day)
    return screen.clearance_findings(answered, day, role, today)


def record_clearance(
    episode: Episode, *, day: date, role: str, name: str, note: str, by: Staff, now: datetime
) -> None:
    """A clinician's dated word lifts the locks of this episode.

    Raises:
        Refused: `consent-needed`, `nothing-locked`, or the code of what `clearance_check` finds.
    """
    with atomic():
        if consent_of(episode.lifter) is None:
            raise Refused("consent-needed", name=episode.lifter.name)
        rows = locking(episode)
        if not rows:
            raise Refused("nothing-locked")
        today = now.astimezone(ZoneInfo(episode.lifter.gym.time_zone)).date()
        for finding in clearance_check(episode, day=day, role=role, today=today):
            raise Refused(finding.code, **finding.numbers)
        for row in rows:
            Clearance.objects.create(
                screening=row,
                day=day,
                clinician_role=role,
                clinician_name=name,
                note=note,
                entered_at=now,
                entered_by=by,
            )


def _something_new(episode: Episode) -> bool:
    """A morning or a set that told of new symptoms, or of symptoms that spread, which no screen has followed yet; or another region."""
    last = episode.screenings.first()
    if last is None or open_report(episode) is not None or _is_of_another_region(episode):
        return True
    sessions = episode.sessions.filter(
        done_sets__spreading=True, done_sets__undone_at=None, done_sets__at__gt=last.at
    )
    return sessions.exists()


def _is_of_another_region(episode: Episode) -> bool:
    """Whether no screen has asked what only this region is asked: the first report was mended since."""
    own = screen.own_questions(episode.region)
    answered = [row.answers for row in episode.screenings.all() if row.answers]
    return bool(answered) and not any(own & set(answers) for answers in answered)


def _in_words(
    verdict: Verdict,
    emergency_number: str,
    day: date,
    *,
    answers: tuple[Line, ...] = (),
    screening: Screening | None = None,
) -> Outcomes:
    return Outcomes(
        verdict=verdict,
        words=screen.outcome_words(verdict.outcome, emergency_number, translated),
        reasons=_texts(verdict.reasons),
        also=_texts(verdict.also),
        ask_again=_texts(verdict.ask_again),
        answers=answers,
        reminders=screen.reminders(verdict.outcome, day),
        screening=screening,
        cleared=screening.clearances.first() if screening else None,
    )


def _texts(row_ids: Sequence[str]) -> tuple[str, ...]:
    return tuple(translated(screen.row_text(row_id)) for row_id in row_ids)
