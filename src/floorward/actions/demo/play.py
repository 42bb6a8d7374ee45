"""Lets the demo's stories happen: sets, answers and decisions through the actions that a coach would call, or their neighbours for many at once."""

from dataclasses import dataclass
from datetime import datetime, time, timedelta
from decimal import Decimal
from math import exp, log
from zoneinfo import ZoneInfo

from floorward.actions import (
    done_sets,
    episodes,
    finding,
    lifters,
    mornings,
    reviews,
    screening,
    searches,
    sessions,
)
from floorward.actions.decisions import accept_all
from floorward.actions.demo.cast import Character, Trouble
from floorward.core import clock
from floorward.core.days import morning_of, training_day
from floorward.core.screen import Answer
from floorward.core.search import StepKind
from floorward.storage.models import DoneSet, Episode, Lifter, Line, Search, Staff
from floorward.units import Mass, Unit

EVENING, MORNING = time(18, 10), time(6, 50)
SLOPE = 6.0  # pain points from a load that hurts 3 to one e times as heavy; invented, like everybody here


@dataclass(frozen=True, slots=True, kw_only=True)
class Life:
    """Somebody's story being played: who, by which coach, until when."""

    lifter: Lifter
    coach: Staff
    trouble: Trouble
    now: datetime

    def at(self, days_ago: int, clock: time, minutes: int = 0) -> datetime:
        """A moment some days ago on the gym's wall clock; never later than now."""
        zone = ZoneInfo(self.lifter.gym.time_zone)
        day = training_day(self.now, zone) - timedelta(days=days_ago)
        return min(datetime.combine(day, clock, zone) + timedelta(minutes=minutes), self.now)

    def felt(self, load: Decimal, rise_mm: int, days_ago: int) -> int:
        """How much a set of `load` hurts."""
        t = self.trouble
        gone = t.began - days_ago
        bears = t.will_bear - (t.will_bear - t.bears) * exp(-gone / t.days)
        bears *= 1 + t.per_cm * rise_mm / 10
        return max(0, min(10, round(3 + SLOPE * log(float(load) / bears))))


def live(character: Character, coach: Staff, now: datetime) -> Lifter:
    """Let one character join the gym, and their story happen."""
    lifter = _join(character, coach, now - timedelta(days=59))
    if character.trouble:
        _suffer(Life(lifter=lifter, coach=coach, trouble=character.trouble, now=now))
    return lifter


def _join(who: Character, coach: Staff, at: datetime) -> Lifter:
    lifter = lifters.add_lifter(
        coach.gym,
        coach=coach,
        now=at,
        name=who.name,
        born_year=who.born_year,
        sex=who.sex,
        stature_m=who.stature_m,
        mass_kg=who.mass_kg,
        unit=who.unit,
        contest=who.contest,
        contest_day=at.date() + timedelta(days=59 + who.contest_in) if who.contest else None,
        conventional_required=who.conventional_required,
        sumo_allowed=who.sumo_allowed,
    )
    lifters.record_consent(
        lifter, given_by="lifter", guardian_name="", share_with_clinician=True, by=coach, now=at
    )
    for lift, load, reps in who.bests:
        lifters.add_best_set(lifter, lift=lift, load=Decimal(load), unit=who.unit, reps=reps, day=at.date())
    return lifter


def _suffer(life: Life) -> None:
    episode = _report(life)
    if life.trouble.screen and not life.trouble.cleared:
        return
    _find(life, episode)
    for days_ago in life.trouble.trained:
        _ask_again(life, episode, life.at(days_ago, EVENING, -25))
        _decide_all(life, episode, life.at(days_ago, EVENING, -20))
        _review(life, episode, life.at(days_ago, EVENING, -15))
        _train(life, episode, days_ago)
    if life.trouble.closed is not None:
        _decide_all(life, episode, life.at(life.trouble.closed, EVENING))
        episodes.close_episode(episode, now=life.at(life.trouble.closed, EVENING))


def _report(life: Life) -> Episode:
    trouble, at = life.trouble, life.at(life.trouble.began, EVENING)
    best = life.lifter.best_sets.filter(lift=trouble.lift).first()
    about = {
        "region": trouble.region,
        "since": at.date(),
        "lift": trouble.lift,
        "load": Decimal(trouble.load),
        "usual_load": Decimal(trouble.load),
        "unit": best.unit if best else life.lifter.unit,
        "reps": 3,
        "pain": trouble.pain,
    }
    episode = episodes.start_episode(life.lifter, by=life.coach, now=at, about=about)
    _screen(life, episode, at)
    return episode


def _screen(life: Life, episode: Episode, at: datetime) -> None:
    sheet = screening.sheet_for(episode, at, limb_symptoms=False, whole=True)
    answers = {q.id: Answer.YES if q.id in life.trouble.screen else Answer.NO for q in sheet.asked}
    screening.record_answers(episode, sheet, answers, by=life.coach, now=at)
    if life.trouble.cleared:
        seen = at + timedelta(days=2)
        screening.record_clearance(
            episode,
            day=seen.date(),
            role="Physiotherapist",
            name="R. Inwood",
            note="May load within comfort.",
            by=life.coach,
            now=seen,
        )


def _ask_again(life: Life, episode: Episode, at: datetime) -> None:
    """The questions that come back each week, all answered with no."""
    if screening.screen_due(episode, at):
        sheet = screening.sheet_for(episode, at, limb_symptoms=False, whole=False)
        answers = dict.fromkeys((q.id for q in sheet.asked), Answer.NO)
        screening.record_answers(episode, sheet, answers, by=life.coach, now=at)


def _find(life: Life, episode: Episode) -> None:
    days_ago = min(life.trouble.began, (life.trouble.trained or (0,))[0] + 1)
    at = life.at(days_ago, EVENING, 10)
    unit = Unit(episode.unit)
    bar = life.lifter.gym.bars.filter(kind="straight", unit=unit).order_by("-mass").first()
    assert bar is not None  # noqa: S101 - the stage has one of each unit
    start = searches.Start(
        lift=episode.lift,
        bar=bar,
        collar=None,
        direction=searches.direction_for(episode, at),
        rest_pain=1,
        hurt_load=Mass(episode.load, unit),
        usual_load=Mass(episode.usual_load, unit),
    )
    row = searches.start_search(episode, start, by=life.coach, now=at)
    searches.agree_lower_start(row)
    for number in range(20):
        if not _test(life, row, number, days_ago, at + timedelta(minutes=3 * number)):
            break
    _wake(life, episode, days_ago, 1)


def _test(life: Life, row: Search, done: int, days_ago: int, at: datetime) -> bool:
    """Do the test that is proposed after `done` others; False when nothing is left to test."""
    row.refresh_from_db(fields=["ended_at"])
    if row.ended_at:
        return False
    step = finding.next_step(row)
    if step.kind in {StepKind.DONE, StepKind.STOP} or step.load is None:
        return False
    pain = life.felt(step.load, max(0, step.height_mm - row.height_mm), days_ago)
    report = searches.TestReport(
        load=step.load,
        reps=3,
        pain=pain,
        acceptable=pain <= 3,
        spreading=False,
        seen=done,
    )
    searches.log_test(row, report, by=life.coach, now=at)
    return True


def _decide_all(life: Life, episode: Episode, at: datetime) -> None:
    """Accept whatever is proposed."""
    accept_all(episode, by=life.coach, now=at)


def _review(life: Life, episode: Episode, at: datetime) -> None:
    """Hold the reviews that are due, where this coach holds them."""
    today = training_day(at, ZoneInfo(life.lifter.gym.time_zone))
    for due in clock.to_hold(reviews.reviews_of(episode, at), today) if life.trouble.reviewed else ():
        score = max(1, life.trouble.pain - 4)
        reviews.hold_review(
            episode, due.code, score=score, lifts_blocked=False, note="", by=life.coach, now=at
        )


def _train(life: Life, episode: Episode, days_ago: int) -> None:
    last = days_ago == life.trouble.trained[-1]
    at = life.at(days_ago, EVENING)
    session = sessions.plan_today(life.lifter, by=life.coach, now=at)
    sessions.say_before(session, 1, by=life.coach, now=at)
    done = [row for line in session.lines.all() for row in _sets(life, line, at, days_ago, last=last)]
    worst = max((row.pain or 0 for row in done), default=0)
    if days_ago:
        over = life.at(days_ago, EVENING, 60)
        sessions.say_after(session, min(worst, 2), by=life.coach, now=over)
        sessions.end_session(session, over)
        _wake(life, episode, days_ago, life.trouble.last_morning if last else 1)


def _sets(life: Life, line: Line, at: datetime, days_ago: int, *, last: bool) -> list[DoneSet]:
    pain = life.felt(line.load, max(0, line.height_mm - 225), days_ago)
    if last and life.trouble.last_pain is not None:
        pain = life.trouble.last_pain
    report = done_sets.SetReport(
        kind="work",
        load=line.load,
        unit=line.unit,
        reps=line.reps,
        rpe=Decimal(7),
        pain=pain,
        acceptable=pain <= 5,
    )
    moments = (at + timedelta(minutes=12 + 4 * number) for number in range(line.sets))
    return done_sets.log_sets(line, dict.fromkeys(moments, report), by=life.coach)


def _wake(life: Life, episode: Episode, days_ago: int, score: int | None) -> None:
    """Answer the morning after, if it has come and is answered at all."""
    if score is None or days_ago < 1:
        return
    at = life.at(days_ago - 1, MORNING)
    day = morning_of(training_day(life.at(days_ago, EVENING), ZoneInfo(life.lifter.gym.time_zone)))
    mornings.record_morning(episode, mornings.Answer(day=day, score=score), now=at)
