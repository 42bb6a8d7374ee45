"""Review points of an episode: what the clock asks for, and what was said when one was held."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Max

from floorward.actions.histories import is_open, screened_at
from floorward.actions.lifters import consent_of
from floorward.actions.mornings import gym_day
from floorward.actions.opened import AnEpisode
from floorward.actions.plateaus import on_a_plateau
from floorward.core import clock
from floorward.core.clock import EpisodeHistory
from floorward.core.screen import Outcome
from floorward.errors import Refused
from floorward.storage.models import Episode, MorningCheck, Review, Staff
from floorward.storage.place import atomic


def clock_history(
    episode: AnEpisode,
    *,
    mornings: Mapping[date, int],
    rests: Mapping[date, int],
    nights_lost: Iterable[date] = (),
    unwell: Iterable[date] = (),
    plateau: bool = False,
    held: Iterable[Review],
) -> EpisodeHistory:
    """What the clock reads, from rows that were loaded already. Pain at rest is the score before the warm-up."""
    rows = sorted(held, key=lambda row: (row.day, row.pk))
    scored = [row.score for row in rows if row.score is not None]
    blocked = [row.lifts_blocked for row in rows if row.lifts_blocked is not None]
    return EpisodeHistory(
        region=episode.region,
        injury=episode.after_injury,
        first_score=episode.pain,
        now_score=scored[-1] if scored else None,
        mornings=mornings,
        rest_scores=rests,
        nights_lost=frozenset(nights_lost),
        unwell=frozenset(unwell),
        plateau=plateau,
        lifts_blocked=blocked[-1] if blocked else None,
        reviewed={row.code: row.day for row in rows},
    )


def ill_mornings(told: Iterable[MorningCheck], screened: datetime | None) -> frozenset[date]:
    """The mornings that told of feeling ill and that no screen has followed: its answers outrank the tick."""
    return frozenset(row.day for row in told if row.unwell and is_open(row.at, screened))


def reviews_of(episode: Episode, now: datetime) -> tuple[clock.Review, ...]:
    """Every review point of one episode, done, due and to come."""
    today = gym_day(episode.lifter.gym, now)
    told = list(episode.mornings.order_by("-day")[:120])
    history = clock_history(
        episode,
        mornings={row.day: row.score for row in told if row.score is not None},
        nights_lost=(row.day for row in told if row.night_lost),
        unwell=ill_mornings(told, screened_at([episode.pk]).get(episode.pk)),
        plateau=bool(on_a_plateau([episode], today)),
        rests=_worst_before(episode),
        held=episode.reviews.all(),
    )
    return clock.reviews(episode.since, history, today)


def _worst_before(episode: Episode) -> dict[date, int]:
    """The worst score before a warm-up of each of the last days trained; a day may have two sessions."""
    rows = episode.sessions.exclude(before=None).order_by("-day").values("day").annotate(worst=Max("before"))
    return {row["day"]: row["worst"] for row in rows[:40]}


def review_of(episode: Episode, code: str, now: datetime) -> clock.Review | None:
    """One review point, or None where the episode has none of this name."""
    return next((row for row in reviews_of(episode, now) if row.code == code), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewLine:
    """A review point in a list. `state`: done, now, passed (a later one stands for it) or ahead."""

    review: clock.Review
    state: str


def review_lines(found: Sequence[clock.Review], today: date) -> tuple[ReviewLine, ...]:
    """Every review point with where it stands."""
    now = clock.to_hold(found, today)
    return tuple(ReviewLine(review=row, state=_state(row, now, today)) for row in found)


def _state(row: clock.Review, now: Sequence[clock.Review], today: date) -> str:
    if row.done is not None:
        return "done"
    if row in now:
        return "now"
    return "passed" if row.due <= today else "ahead"


def hold_review(
    episode: Episode,
    code: str,
    *,
    score: int | None,
    lifts_blocked: bool | None,
    note: str,
    by: Staff,
    now: datetime,
) -> Review:
    """Keep what was said at a review, with what the clock makes of it.

    Raises:
        Refused: `consent-needed`, or `no-such-review` when the episode has no review of this name that is due.
    """
    with atomic():
        if consent_of(episode.lifter) is None:
            raise Refused("consent-needed", name=episode.lifter.name)
        today = gym_day(episode.lifter.gym, now)
        row = Review.objects.filter(episode=episode, code=code, day=today).first() or Review(
            episode=episode, code=code, day=today
        )
        row.score, row.lifts_blocked, row.note, row.at, row.by = score, lifts_blocked, note, now, by
        row.outcome = Outcome.GO_ON
        row.save()
        judged = review_of(episode, code, now)
        if judged is None or judged.due > today:
            raise Refused("no-such-review")
        row.outcome = judged.outcome or Outcome.GO_ON
        row.save(update_fields=["outcome"])
        return row
