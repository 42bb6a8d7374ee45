"""From done sets to exposures.

An exposure is one session's work sets of one sore lift. Where a lift was done at several heights in one session, the lowest
is the exposure, because it is nearest the full range; the worst pain counts from all of them. Sets whose pain was not asked are
not read: nobody knows how they went.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from floorward.actions.mornings import NEW_SYMPTOMS
from floorward.actions.reach import snapped_mm
from floorward.core.days import morning_of
from floorward.core.rules import Exposure
from floorward.storage.models import BarRow, DoneSet, Episode, Line, MorningCheck, Session
from floorward.units import Unit

Checks = Mapping[date, MorningCheck]

READ: tuple[str, ...] = (
    "session_id",
    "line_id",
    "lift",
    "height_mm",
    "depth_deg",
    "box_mm",
    "bar_id",
    "load",
    "unit",
    "reps",
    "target_reps",
)
READ += ("rpe", "pain", "acceptable", "spreading", "at")


@dataclass(frozen=True, slots=True, kw_only=True)
class Trained:
    """An exposure with the rows it was read from.

    Attributes:
        pattern: the heaviest work set at the exposure's height; it says which bar and collars.
        spread_at: when spreading or new symptoms were reported; None where they were not.
    """

    session: Session
    lift: str
    exposure: Exposure
    unit: Unit
    pattern: DoneSet
    spread_at: datetime | None


def trained_since(
    episodes: Sequence[Episode], since: date, checks: Mapping[int, Checks]
) -> dict[int, list[Trained]]:
    """The exposures of each episode by its number, oldest first, in four queries.

    `checks` are the mornings of each episode by its number.
    """
    sessions = _sessions(episodes, since)
    groups: dict[tuple[int, str], list[DoneSet]] = defaultdict(list)
    for row in _sets(sessions):
        groups[row.session_id, row.lift].append(row)
    found: dict[int, list[Trained]] = {episode.pk: [] for episode in episodes}
    for (number, lift), sets in groups.items():
        session = sessions[number]
        assert session.episode_id is not None  # noqa: S101 - the query asked for episodes
        found[session.episode_id].append(_exposure(lift, sets, checks.get(session.episode_id, {})))
    _bring_collars([row.pattern for rows in found.values() for row in rows])
    for rows in found.values():
        rows.sort(key=lambda row: (row.session.day, row.session.started_at))
    return found


def _sessions(episodes: Sequence[Episode], since: date) -> dict[int, Session]:
    """Sessions by their number, with episode and lifter at hand."""
    known = {episode.pk: episode for episode in episodes}
    found = {}
    for row in Session.objects.filter(episode__in=list(known), day__gte=since):
        row.episode = known[row.episode_id or 0]
        row.lifter = row.episode.lifter
        found[row.pk] = row
    return found


def _sets(sessions: Mapping[int, Session]) -> Iterable[DoneSet]:
    """Work sets of sore lifts whose pain is known, in the order they were done, with session and bar at hand."""
    rows = DoneSet.objects.filter(
        session__in=list(sessions), kind=DoneSet.Kind.WORK, sore=True, undone_at=None
    )
    sets = list(rows.filter(pain__isnull=False).only(*READ).order_by("at", "id"))
    bars = BarRow.objects.in_bulk({row.bar_id for row in sets if row.bar_id is not None})
    for row in sets:
        row.session = sessions[row.session_id]
        if row.bar_id is not None:
            row.bar = bars[row.bar_id]
    return sets


def _bring_collars(patterns: Iterable[DoneSet]) -> None:
    """The lines of these sets with their collars."""
    by_line = {row.line_id: row for row in patterns if row.line_id is not None}
    lines = Line.objects.select_related("collar").in_bulk(list(by_line))
    for number, row in by_line.items():
        row.line = lines[number]


def _exposure(lift: str, sets: Sequence[DoneSet], checks: Checks) -> Trained:
    session, heights = sets[0].session, _heights(sets)
    lowest = min(heights.values())
    low = [row for row in sets if heights[row.height_mm, row.bar_id] == lowest]
    pattern = max(low, key=lambda row: (row.load, row.at))
    morning = checks.get(morning_of(session.day))
    spread = [row.at for row in sets if row.spreading]
    if morning is not None and morning.new_symptoms in NEW_SYMPTOMS:
        spread.append(morning.at)
    short, hardest = _shortest(low), max((row.rpe for row in low if row.rpe is not None), default=None)
    exposure = Exposure(
        day=session.day,
        load=pattern.load.normalize(),
        setup=f"{lift}/{pattern.depth_deg}/{pattern.box_mm}",
        height_mm=lowest,
        sets=len(low),
        before=session.before,
        during=max(row.pain or 0 for row in sets),
        after=session.after,
        morning=_score(morning),
        morning_of_day=_score(checks.get(session.day)),
        acceptable=all(row.acceptable is not False for row in sets),
        spreading=bool(spread),
        reps=short.reps,
        target_reps=_target(short),
        rpe=None if hardest is None else float(hardest),
    )
    spread_at = max(spread, default=None)
    return Trained(
        session=session,
        lift=lift,
        exposure=exposure,
        unit=Unit(pattern.unit),
        pattern=pattern,
        spread_at=spread_at,
    )


def _heights(sets: Iterable[DoneSet]) -> dict[tuple[int, int | None], int]:
    """Each height and bar with the height it counts as."""
    different = {(row.height_mm, row.bar_id): row for row in sets}
    return {key: snapped_mm(row) for key, row in different.items()}


def _shortest(sets: Sequence[DoneSet]) -> DoneSet:
    """The set that fell shortest of its target."""
    return min(sets, key=lambda row: (row.reps - _target(row), row.reps))


def _target(row: DoneSet) -> int:
    return row.reps if row.target_reps is None else row.target_reps


def _score(check: MorningCheck | None) -> int | None:
    return None if check is None else check.score
