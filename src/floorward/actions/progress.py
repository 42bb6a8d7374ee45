"""Progress: what was trained, how it hurt, what was decided and by which rule; newest first, a page at a time."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from floorward.actions.exposures import Trained
from floorward.actions.histories import in_unit, trained_between
from floorward.actions.lifters import consent_of
from floorward.actions.mornings import gym_day
from floorward.actions.outlook import Outlook, outlook_of
from floorward.actions.proposals import all_proposals
from floorward.actions.reach import full_mm, snapped_mm
from floorward.actions.reviews import ReviewLine, review_lines, reviews_of
from floorward.actions.rigging import stock_of
from floorward.actions.tolerances import log_of, scored
from floorward.actions.tracks import Track, tracks_of
from floorward.core.days import morning_of
from floorward.core.findings import Finding
from floorward.core.general_course import general_course
from floorward.core.lifts import catalogue
from floorward.core.records import Region
from floorward.core.rules import Exposure
from floorward.language import block
from floorward.reports.drawings.height_load import height_load_map
from floorward.reports.drawings.map_scale import HeightLoadMap, MapSet
from floorward.reports.drawings.map_table import map_table
from floorward.reports.drawings.mark import sign
from floorward.reports.drawings.pain_chart import PainCourse, PainDay, pain_chart, pain_table
from floorward.reports.drawings.svg import Drawing
from floorward.reports.reasons import reasons
from floorward.reports.wording import lift_name, word
from floorward.storage.models import Decision, DoneSet, Episode, Lifter, MorningCheck
from floorward.tables import value
from floorward.units import Unit

Checks = Mapping[date, MorningCheck]

_MOST_SETS = 400  # the map shows the heaviest of a day; older sets than these are in the list


@dataclass(frozen=True, slots=True, kw_only=True)
class Pictures:
    """A drawing in its wide version and its phone version, and its numbers as a table."""

    wide: Drawing
    narrow: Drawing
    table: Drawing


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One exposure of one lift, and what was decided after it.

    Attributes:
        rise_mm: the bar above full height as trained; `next_rise_mm` as decided.
        reasons: the rule that decided and its numbers, as they were when it was decided.
        other: whether the coach chose otherwise than proposed.
    """

    lift: str
    exposure: Exposure
    unit: Unit
    rise_mm: int
    morning: MorningCheck | None
    decision: Decision | None
    next_rise_mm: int = 0
    sign: Drawing | str = ""
    reasons: tuple[Finding, ...] = ()
    other: bool = False
    session_id: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgressView:
    """The page.

    Attributes:
        first, newest: the oldest and newest exposure of the provoking lift among those drawn.
        steps: of this page, newest first; `older` is where the next page begins, None at the end.
        pain, height_load: None while nothing was trained; the map only of lifts pulled from a height.
        outlook: when the old load should be back; None where nothing can be said.
        tracks: the full lift and every other set-up side by side.
        kept: whether a consent is in force; without one the page is empty.
    """

    episode: Episode
    day_number: int
    others: tuple[Episode, ...]
    first: Trained | None
    newest: Trained | None
    steps: tuple[Step, ...]
    older: date | None
    is_newest_page: bool
    pain: Pictures | None
    height_load: Pictures | None
    reviews: tuple[ReviewLine, ...]
    today: date
    kept: bool
    outlook: Outlook | None = None
    tracks: tuple[Track, ...] = ()

    @property
    def is_reckoned(self) -> bool:
        """Whether mechanics know the painful lift and region, so that there may be a map and a way back."""
        lift = catalogue().get(self.episode.lift)
        return lift is not None and lift.linked and self.episode.modelled_region is not None

    @property
    def has_beside(self) -> bool:
        """Whether the map has sets of other lifts."""
        return any(track.lift != self.episode.lift and track.newest.height_mm for track in self.tracks)

    @property
    def shown_episode(self) -> Episode | None:
        """The episode where its region may be shown."""
        return self.episode if self.kept else None

    @property
    def open_episode(self) -> Episode | None:
        """The episode while it is open."""
        return None if self.episode.closed_at else self.episode


def progress_view(
    lifter: Lifter, now: datetime, *, episode_id: int | None = None, before: date | None = None
) -> ProgressView | None:
    """The progress of the episode named, else of the open one, else of the newest; None when there never was one."""
    episodes = sorted(lifter.episodes.all(), key=lambda row: row.closed_at is not None)
    episode = next((row for row in episodes if episode_id in {None, row.pk}), None)
    if episode is None:
        return None
    today = gym_day(lifter.gym, now)
    kept = consent_of(lifter) is not None
    until = before or today
    steps, older = _page(episode, until) if kept else ((), None)
    drawn, checks = (
        trained_between(episode, _last_day(episode, today) - _days("charts"), today) if kept else ((), {})
    )
    main = [row for row in drawn if row.lift == episode.lift]
    sets = scored([episode]) if kept else []
    return ProgressView(
        episode=episode,
        day_number=(today - episode.since).days,
        others=tuple(row for row in episodes if row.pk != episode.pk),
        first=main[0] if main else None,
        newest=main[-1] if main else None,
        steps=steps,
        older=older,
        is_newest_page=before is None,
        pain=_pain(episode, drawn, checks, today) if drawn or checks else None,
        height_load=_map(episode, main, sets, today),
        reviews=review_lines(reviews_of(episode, now), today) if kept and episode.closed_at is None else (),
        today=today,
        kept=kept,
        outlook=_outlook(episode, main, now) if main and episode.closed_at is None else None,
        tracks=tracks_of(episode, sets, log_of(episode), stock_of(lifter.gym), today) if sets else (),
    )


def _outlook(episode: Episode, rows: Sequence[Trained], now: datetime) -> Outlook | None:
    proposals = all_proposals(episode, now)
    proposal = next((row for row in proposals if row.lift == episode.lift), None)
    return outlook_of(proposal, rows, gym_day(episode.lifter.gym, now))


def _days(name: str) -> timedelta:
    return timedelta(days=value("decisions", "progress", name))


def _last_day(episode: Episode, today: date) -> date:
    """The last day of an episode that is over, so that its pictures end with it."""
    newest = episode.sessions.order_by("-day").values_list("day", flat=True).first()
    return min(newest or today, today)


def _page(episode: Episode, until: date) -> tuple[tuple[Step, ...], date | None]:
    """The steps of one page, from its newest session on back, and where the page before it begins."""
    sore = episode.sessions.filter(
        done_sets__sore=True, done_sets__kind=DoneSet.Kind.WORK, done_sets__undone_at=None
    )
    last = sore.filter(day__lte=until).order_by("-day").values_list("day", flat=True).first()
    if last is None:
        return (), None
    since = last - _days("page")
    rows, checks = trained_between(episode, since, last)
    decisions = Decision.objects.filter(
        episode=episode, session__day__gte=since, session__day__lte=last
    ).select_related("by")
    decided = {(row.session_id, row.lift): row for row in decisions}
    steps = tuple(_step(row, decided.get((row.session.pk, row.lift)), checks) for row in reversed(rows))
    older = sore.filter(day__lt=since).order_by("-day").values_list("day", flat=True).first()
    return steps, older


def _step(row: Trained, decision: Decision | None, checks: Checks) -> Step:
    full = full_mm(row.pattern)
    morning = checks.get(morning_of(row.exposure.day))
    step = Step(
        lift=row.lift,
        exposure=row.exposure,
        unit=row.unit,
        rise_mm=max(row.exposure.height_mm - full, 0),
        morning=morning,
        decision=decision,
        session_id=row.session.pk,
    )
    if decision is None:
        return step
    taken = (decision.change, decision.load, decision.height_mm, decision.sets)
    return replace(
        step,
        next_rise_mm=max(decision.height_mm - full, 0),
        sign=sign("send" if decision.change == "stop" else decision.change),
        reasons=reasons(decision.rule, decision.numbers),
        other=taken
        != (
            decision.proposed_change,
            decision.proposed_load,
            decision.proposed_height_mm,
            decision.proposed_sets,
        ),
    )


def _pain(episode: Episode, rows: Sequence[Trained], checks: Checks, today: date) -> Pictures:
    by_day: dict[date, list[Exposure]] = {}
    for row in rows:
        by_day.setdefault(row.exposure.day, []).append(row.exposure)
    days = sorted({*by_day, *(day for day, check in checks.items() if check.score is not None)})
    gym = episode.lifter.gym
    course = PainCourse(
        days=tuple(
            _pain_day((day - episode.since).days, by_day.get(day, []), checks.get(day)) for day in days
        ),
        today=(_last_shown(episode, days, today) - episode.since).days,
        ceiling=gym.ceiling_finding,
        limit=gym.ceiling_set,
        general=_general(episode, today),
        general_who=word("drawing", "clinic"),
    )
    return Pictures(
        wide=pain_chart(course, wide=True), narrow=pain_chart(course, wide=False), table=pain_table(course)
    )


def _general(episode: Episode, today: date) -> tuple[tuple[float, float, float], ...]:
    """The general course, known for the low back only, a little beyond today."""
    if episode.region != Region.LOW_BACK:
        return ()
    return general_course(tuple(range((today - episode.since).days + 15)))


def _last_shown(episode: Episode, days: Sequence[date], today: date) -> date:
    return today if episode.closed_at is None else max(days, default=today)


def _pain_day(number: int, exposures: Sequence[Exposure], check: MorningCheck | None) -> PainDay:
    after = [row.after for row in exposures if row.after is not None]
    return PainDay(
        day=number,
        morning=check.score if check else None,
        before=exposures[0].before if exposures else None,
        worst=max((row.during for row in exposures), default=None),
        after=max(after, default=None),
        acceptable=all(row.acceptable for row in exposures),
    )


def _map(episode: Episode, rows: Sequence[Trained], sets: Sequence[DoneSet], today: date) -> Pictures | None:
    """The map of the provoking lift, where it is pulled from a height: every scored set that has a height, of other lifts too."""
    if not rows or not rows[-1].exposure.height_mm:
        return None
    unit, floor = rows[-1].unit, full_mm(rows[-1].pattern)
    since = rows[0].exposure.day
    drawn = [row for row in sets if row.height_mm and row.session.day >= since]
    marks = [mark_of(row, episode, unit, today) for row in drawn[-_MOST_SETS:]]
    usual = float(in_unit(episode.usual_load, episode.unit, unit))
    chart = HeightLoadMap(
        sets=tuple(marks),
        old_load=(usual, floor) if usual else None,
        floor_mm=floor,
        top_mm=_top(marks, floor),
        unit=unit,
    )
    return Pictures(
        wide=height_load_map(chart, wide=True),
        narrow=height_load_map(chart, wide=False),
        table=map_table(chart),
    )


def _top(sets: Sequence[MapSet], floor_mm: int) -> float:
    """Room for the highest start, in steps of the staff that is drawn: of centimetres or of inches."""
    step_mm, _, _ = block()
    highest = max(row.height_mm for row in sets)
    return floor_mm + step_mm * max(3, int((highest - floor_mm) // step_mm) + 2)


def mark_of(row: DoneSet, episode: Episode, unit: Unit, today: date) -> MapSet:
    """A scored set as it stands on a map in `unit`."""
    return MapSet(
        load=float(in_unit(row.load, row.unit, unit)),
        height_mm=snapped_mm(row),
        pain=row.pain or 0,
        acceptable=row.acceptable is not False and not row.spreading,
        day=(row.session.day - episode.since).days,
        reps=row.reps,
        today=row.session.day == today,
        name="" if row.lift == episode.lift else lift_name(row.lift),
    )
