"""What a lifter did, written as rows: an episode and evenings of training. Scores in the order before, during, after."""

from datetime import date, datetime
from decimal import Decimal

from floorward.actions.episodes import start_episode
from floorward.storage.models import DoneSet, Episode, Lifter, Session, Staff
from tests.conftest import at


def sore_back(lifter: Lifter, by: Staff, *, started: str = "2026-11-23 18:10", **about: object) -> Episode:
    """A low back that went at 200 kg, pain 7."""
    report = {
        "region": "low-back",
        "since": at(started).date(),
        "lift": "deadlift",
        "load": Decimal(200),
        "unit": "kg",
        "reps": 1,
        "pain": 7,
        "usual_load": Decimal(200),
        **about,
    }
    return start_episode(lifter, by=by, now=at(started), about=report)


WORKED_SEARCH = (("20", 0), ("45", 0), ("70", 1), ("95", 2), ("107.5", 3))


def searched(episode: Episode) -> Episode:
    """The tests of the worked evening, as the log keeps them: with these the model bears out what the rules lead to from 95 kg."""
    session = Session.objects.create(
        lifter=episode.lifter,
        episode=episode,
        day=episode.since,
        started_at=episode.started_at,
        ended_at=episode.started_at,
        before=1,
    )
    DoneSet.objects.bulk_create(
        DoneSet(
            session=session,
            lift="deadlift",
            height_mm=225,
            bar=episode.lifter.gym.bars.filter(kind="straight", unit="kg").first(),
            kind="test",
            sore=True,
            load=Decimal(load),
            unit="kg",
            reps=3,
            pain=pain,
            acceptable=True,
            at=episode.started_at,
        )
        for load, pain in WORKED_SEARCH
    )
    return episode


def trained(
    episode: Episode,
    day: str,
    load: str,
    scores: tuple[int | None, int | None, int | None] = (1, 2, 1),
    *,
    reps: int = 5,
    target: int = 5,
    rpe: float | None = 7,
    lift: str = "deadlift",
    height_mm: int = 225,
    unit: str = "kg",
    sets: int = 3,
    acceptable: bool = True,
    spreading: bool = False,
    started: datetime | None = None,
) -> Session:
    """An evening of `sets` × `reps` of the sore lift, ended within the hour; `day` is the training day."""
    before, during, after = scores
    began = started or at(f"{day} 18:30")
    session = Session.objects.create(
        lifter=episode.lifter,
        episode=episode,
        day=date.fromisoformat(day),
        started_at=began,
        ended_at=began,
        before=before,
        after=after,
        after_at=began,
    )
    bar = episode.lifter.gym.bars.filter(kind="straight", unit=unit).first()
    for _ in range(sets):
        DoneSet.objects.create(
            session=session,
            lift=lift,
            height_mm=height_mm,
            bar=bar,
            kind="work",
            sore=True,
            load=Decimal(load),
            unit=unit,
            reps=reps,
            target_reps=target,
            rpe=rpe,
            pain=during,
            acceptable=acceptable,
            spreading=spreading,
            at=began,
        )
    return session
