"""The tracks of an episode: the full lift and every variation beside it, each with where it stands and the best that was accepted."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from floorward.actions.reach import full_mm
from floorward.actions.rigging import Stock
from floorward.actions.tolerances import Log, kg, name_of, setup_of
from floorward.actions.usual import best_as_usual
from floorward.core.leaning import leaning
from floorward.core.lifts import catalogue
from floorward.storage.models import DoneSet, Episode


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """One set-up.

    Attributes:
        rise_mm: the hands above full height; 0 for the whole lift.
        full: whether it is the painful lift in full.
        newest: the heaviest set of its last day.
        best: the heaviest accepted set; None while there is none.
        percent: `best` of the old load of that lift, in hundredths; None where no old load is known.
        leaning: 1 where the lifter takes to it better than most, -1 worse, 0 while nobody can tell.
    """

    lift: str
    rise_mm: int
    full: bool
    newest: DoneSet
    best: DoneSet | None
    percent: int | None
    leaning: int = 0


def tracks_of(
    episode: Episode, rows: Sequence[DoneSet], log: Log | None, stock: Stock, today: date
) -> tuple[Track, ...]:
    """Every set-up among `rows` (scored sets, oldest first), the full lift in front, then the one done last."""
    groups: dict[str, list[DoneSet]] = defaultdict(list)
    for row in rows:
        groups[name_of(episode, row)].append(row)
    if not groups:
        return ()
    old = {lift: kg(usual.load, usual.unit) for lift, usual in best_as_usual(episode.lifter, stock).items()}
    if episode.usual_load:
        old[episode.lift] = kg(episode.usual_load, episode.unit)
    found = [_track(episode, name, sets, old, log, today) for name, sets in groups.items()]
    return tuple(sorted(found, key=lambda one: (one.full, one.newest.at), reverse=True))


def leaning_to(log: Log | None, name: str, row: DoneSet, today: date) -> int:
    """How the lifter takes to the set-up `name`, of which `row` is a set: 1 better than most, -1 worse, 0 not known.

    Only set-ups of the painful lift's own family are compared; across families nothing follows.
    """
    if log is None or name not in log.priors.variations:
        return 0
    own, other = (catalogue().get(lift) for lift in (log.episode.lift, row.lift))
    asked = log.asked(row)
    if own is None or other is None or own.family is not other.family or asked is None:
        return 0
    return leaning(log.tolerance(today), name, asked.bend - log.full.bend)


def _track(
    episode: Episode,
    name: str,
    sets: Sequence[DoneSet],
    old: Mapping[str, float],
    log: Log | None,
    today: date,
) -> Track:
    best = max((row for row in sets if _accepted(episode, row)), key=_kg, default=None)
    newest = max((row for row in sets if row.session.day == sets[-1].session.day), key=_kg)
    usual = old.get(sets[-1].lift)
    return Track(
        lift=sets[-1].lift,
        rise_mm=_rise(sets[-1]),
        full=not name,
        newest=newest,
        best=best,
        percent=round(100 * _kg(best) / usual) if best and usual else None,
        leaning=leaning_to(log, name, sets[-1], today),
    )


def _rise(row: DoneSet) -> int:
    return max(setup_of(row).height_mm - full_mm(row), 0)


def _accepted(episode: Episode, row: DoneSet) -> bool:
    calm = (row.pain or 0) <= episode.lifter.gym.ceiling_finding
    return calm and row.acceptable is not False and not row.spreading


def _kg(row: DoneSet) -> float:
    return kg(row.load, row.unit)
