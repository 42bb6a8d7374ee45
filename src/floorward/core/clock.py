"""The clock: review points of an episode, and what calls for a clinician on any day.

A review that is due and failed books somebody by itself; one whose numbers are missing says which. Days and thresholds are
rows of tables/clock.toml.
"""

from collections.abc import Callable, Iterable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise
from types import MappingProxyType

from floorward.core.pain import improved
from floorward.core.screen import Outcome
from floorward.tables import load, value


@dataclass(frozen=True, slots=True, kw_only=True)
class EpisodeHistory:
    """What the clock reads of an episode.

    Attributes:
        first_score: pain 0–10 when the episode began; `now_score` the same question lately.
        activities_change: change of the mean of the lifter's own activities [points, higher is better]; None when not asked.
        mornings: morning scores by day.
        rest_scores: pain at rest by day.
        nights_lost: mornings after a night in which the pain cost sleep.
        unwell: mornings on which they felt ill as well.
        lifts_blocked: whether the main lifts are still blocked; `plateau` whether nothing has moved lately.
        reviewed: days on which a review was held, by its code.
    """

    region: str
    injury: bool = False
    first_score: int | None = None
    now_score: int | None = None
    activities_change: Decimal | None = None
    mornings: Mapping[date, int] = field(default_factory=dict, hash=False)
    rest_scores: Mapping[date, int] = field(default_factory=dict, hash=False)
    nights_lost: frozenset[date] = frozenset()
    unwell: frozenset[date] = frozenset()
    lifts_blocked: bool | None = None
    plateau: bool = False
    reviewed: Mapping[str, date] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    """One review point.

    Attributes:
        due: first day to hold it, `last` the last.
        done: the day it was held, None while open.
        outcome: what the numbers say once due: go on, or somebody should look; None before, or while numbers are missing.
        within_days: how soon somebody should look; 0 when nobody need.
        missing: what must be asked before an outcome can be told.
    """

    code: str
    due: date
    last: date
    done: date | None = None
    outcome: Outcome | None = None
    within_days: int = 0
    missing: tuple[str, ...] = ()


Verdict = bool | str
"""True when a review is failed, False when passed, or the name of the number that is missing."""


def reviews(episode_start: date, history: EpisodeHistory, today: date) -> tuple[Review, ...]:
    """Every review point of the episode in the order of its days, then what calls for help today."""
    planned = tuple(
        _planned(code, judge, episode_start, history, today)
        for code, judge in PLANNED.items()
        if code != "knee" or _is_hurt_knee(history)
    )
    return planned + tuple(
        _any_day(code, history, today) for code, met in ANY_DAY.items() if met(history, today)
    )


def to_hold(found: Iterable[Review], today: date) -> tuple[Review, ...]:
    """What is to be held now: the latest planned review that is due, which stands for those before it, and calls of any day."""
    due = [row for row in found if row.due <= today]
    planned = [row for row in due if row.code in PLANNED][-1:]
    called = [row for row in due if row.code not in PLANNED]
    return tuple(row for row in (*planned, *called) if row.done is None)


def codes_to_hold(episode_start: date, history: EpisodeHistory, today: date) -> tuple[str, ...]:
    """The names of what `to_hold` would return, for lists of hundreds: nothing is judged."""
    due = [
        code
        for code in PLANNED
        if (code != "knee" or _is_hurt_knee(history)) and _days(episode_start, code)[0] <= today
    ]
    planned = [code for code in due[-1:] if code not in history.reviewed]
    called = [code for code, met in ANY_DAY.items() if met(history, today)]
    return (*planned, *(code for code in called if _held(code, history, today) is None))


def _planned(
    code: str,
    judge: Callable[[EpisodeHistory, date], Verdict],
    start: date,
    history: EpisodeHistory,
    today: date,
) -> Review:
    first, last = _days(start, code)
    done = history.reviewed.get(code)
    if today < first:
        return Review(code=code, due=first, last=last, done=done)
    verdict = judge(history, today)
    if isinstance(verdict, str):
        return Review(code=code, due=first, last=last, done=done, missing=(verdict,))
    row = load("clock")[code]
    outcome = Outcome(row["outcome"]) if verdict else Outcome.GO_ON
    within = row["within_days"] if verdict else 0
    return Review(code=code, due=first, last=last, done=done, outcome=outcome, within_days=within)


def _any_day(code: str, history: EpisodeHistory, today: date) -> Review:
    row = load("clock")[code]
    ill = _feels_ill(history, today)
    name = row.get("outcome_when_unwell", row["outcome"]) if ill else row["outcome"]
    within = 0 if name == Outcome.SAME_DAY else row["within_days"]
    held = _held(code, history, today)
    last = today + timedelta(days=within)
    return Review(code=code, due=today, last=last, done=held, outcome=Outcome(name), within_days=within)


def _days(start: date, code: str) -> tuple[date, date]:
    """First and last day to hold a planned review."""
    first, last = value("clock", code)
    return start + timedelta(days=first), start + timedelta(days=last)


def _held(code: str, history: EpisodeHistory, today: date) -> date | None:
    """The day a call of any day was answered; None when that is so long ago that it calls again."""
    done = history.reviewed.get(code)
    return done if done and (today - done).days < load("clock")[code]["within_days"] else None


def _is_hurt_knee(history: EpisodeHistory) -> bool:
    return history.region == "knee" and history.injury


def _clearly_worse(history: EpisodeHistory, _: date) -> Verdict:
    if history.first_score is None or history.now_score is None:
        return "score"
    return bool(history.now_score - history.first_score >= value("clock", "first_worse_by"))


def _no_better(history: EpisodeHistory, _: date) -> Verdict:
    """Not better by any test that counts; one that was not asked can't save it."""
    if history.first_score is None or history.now_score is None:
        return "score"
    more_able = (history.activities_change or Decimal(0)) >= value("clock", "month_activities")
    return not (more_able or improved(history.first_score, history.now_score))


def _still_blocked(history: EpisodeHistory, _: date) -> Verdict:
    """A plateau is read from the log and fails by itself; whether a main lift is blocked must be asked."""
    if history.plateau:
        return True
    return "lifts_blocked" if history.lifts_blocked is None else history.lifts_blocked


def _sore_most_days(history: EpisodeHistory, today: date) -> Verdict:
    since = today - timedelta(days=value("clock", "most_days_window"))
    scores = [score for day, score in history.mornings.items() if since < day <= today]
    if len(scores) < value("clock", "most_days_answers"):
        return "mornings"
    return bool(sum(score > 0 for score in scores) > value("clock", "most_days") * len(scores))


def _rests_badly(history: EpisodeHistory, today: date) -> bool:
    bad = {day for day, score in history.rest_scores.items() if score >= value("clock", "rest_pain")}
    return bool(len(_run(bad, today)) >= value("clock", "rest_pain_days"))


def _mornings_rise(history: EpisodeHistory, today: date) -> bool:
    days = _run(history.mornings.keys(), today)[: value("clock", "rising_mornings")]
    scores = [history.mornings[day] for day in days]
    enough = len(scores) == value("clock", "rising_mornings")
    return enough and all(later > earlier for later, earlier in pairwise(scores))


def _sleeps_badly(history: EpisodeHistory, today: date) -> bool:
    return bool(len(_run(history.nights_lost, today)) >= value("clock", "sleep_lost"))


def _feels_ill(history: EpisodeHistory, today: date) -> bool:
    return bool(_run(history.unwell, today))


def _run(days: AbstractSet[date], today: date) -> list[date]:
    """The latest unbroken run of days up to `today`, the last day first; empty when it ended too long ago."""
    past = sorted((day for day in days if day <= today), reverse=True)
    if not past or (today - past[0]).days > value("clock", "recent"):
        return []
    return [day for place, day in enumerate(past) if day == past[0] - timedelta(days=place)]


PLANNED: Mapping[str, Callable[[EpisodeHistory, date], Verdict]] = MappingProxyType(
    {
        "first": _clearly_worse,
        "knee": _no_better,
        "month": _no_better,
        "six_weeks": _still_blocked,
        "twelve_weeks": _sore_most_days,
    }
)
ANY_DAY: Mapping[str, Callable[[EpisodeHistory, date], bool]] = MappingProxyType(
    {
        "rest_pain": _rests_badly,
        "rising_mornings": _mornings_rise,
        "sleep_lost": _sleeps_badly,
        "ill": _feels_ill,
    }
)
