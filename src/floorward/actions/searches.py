"""Searching for a load: starting, logging a test, taking one back, ending."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from floorward.actions.done_sets import refuse_if_locked, undo_set
from floorward.actions.finding import is_open, next_step, rig_at, step_now
from floorward.actions.lifters import consent_of
from floorward.actions.rigging import handle_rise_mm, near, pulled_from_a_height, stock_of
from floorward.actions.screening import screen_due
from floorward.actions.sessions import open_session, say_before
from floorward.core.days import training_day
from floorward.core.findings import Finding, Weight
from floorward.core.ladder import Direction
from floorward.core.pain import acceptable_findings
from floorward.core.records import FULL_HEIGHT_MM
from floorward.core.search import usual_direction
from floorward.errors import Refused
from floorward.storage import reads
from floorward.storage.models import BarRow, CollarRow, DoneSet, Episode, Search, Session, Staff
from floorward.storage.place import atomic
from floorward.units import Mass, Unit, plain


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """What a search starts from.

    Attributes:
        rest_pain: pain now, before any set.
        hurt_load: the load that hurt; `usual_load` what they usually do for such a set. Any unit.
        manner: of a search by the model (usual, precise, gentle); empty for a plain ladder.
    """

    lift: str
    bar: BarRow
    collar: CollarRow | None
    direction: Direction
    rest_pain: int
    hurt_load: Mass
    usual_load: Mass
    manner: str = ""
    belt: bool = False
    straps: bool = False
    shoes: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TestReport:
    """What was said about one test; `seen` is how many tests the page knew of."""

    __test__ = False  # a word of the trade, not a test of this program

    load: Decimal
    reps: int
    pain: int
    acceptable: bool
    spreading: bool
    seen: int


def direction_for(episode: Episode, now: datetime) -> Direction:
    """Where a search begins today unless the coach chooses."""
    today = training_day(now, ZoneInfo(episode.lifter.gym.time_zone))
    return usual_direction((today - episode.since).days)


def searches_today(episode: Episode, now: datetime) -> tuple[Search, ...]:
    """Searches of this training day, the newest first."""
    day = training_day(now, ZoneInfo(episode.lifter.gym.time_zone))
    return tuple(Search.objects.filter(session__episode=episode, session__day=day))


def start_search(episode: Episode, start: Start, *, by: Staff, now: datetime) -> Search:
    """A new search in today's session; the one under way where this lift is being searched on this bar already.

    Raises:
        Refused: `consent-needed`, `locked-person`, `locked-region`, `screen-first` when the warning-sign questions are due, or
            `session-other-episode` when today's session holds sets of another spell of pain.
    """
    with atomic():
        lifter = episode.lifter
        if consent_of(lifter) is None:
            raise Refused("consent-needed", name=lifter.name)
        session = open_session(lifter, by=by, now=now)
        _take_session(session, episode)
        refuse_if_locked(session, sore=True)
        if screen_due(episode, now):
            raise Refused("screen-first", name=lifter.name)
        running = session.searches.filter(lift=start.lift, bar=start.bar, collar=start.collar).first()
        if running and running.tests.exists():
            return running
        session.searches.filter(tests=None, ended_at=None).delete()
        if session.before is None:  # pain before any set is the score before the warm-up
            say_before(session, start.rest_pain, by=by, now=now)
        return _create(session, start, now)


def log_warm_ups(row: Search, *, by: Staff, now: datetime) -> None:
    """Write down the warm-up sets that the page listed; they are not tests."""
    with atomic():
        _refuse_if_over(row, now)
        refuse_if_locked(row.session, sore=True)
        for one in step_now(row).warm_ups:
            height_mm = round(one.rig.stand.height_mm) if one.rig.stand else row.height_mm
            _store(row, DoneSet.Kind.WARM_UP, height_mm, by, now, load=one.load, reps=one.reps)


def agree_lower_start(row: Search) -> None:
    """The coach has seen that the bar starts lower than full height, and goes on from there."""
    with atomic():
        row.lower_start_agreed = True
        row.save(update_fields=["lower_start_agreed"])


def report_findings(row: Search, report: TestReport) -> tuple[Finding, ...]:
    """What to ask or refuse before a test is kept."""
    unloadable = load_findings(row, report.load)
    if unloadable:
        return unloadable
    found = list(acceptable_findings(report.pain, acceptable=report.acceptable))
    working = step_now(row)
    proposed = working.step.load
    if proposed is not None and report.load > proposed and report.seen == working.seen:
        numbers = {"load": _said(row, report.load), "proposed": _said(row, proposed)}
        found.append(Finding(code="heavier-than-proposed", field="load", weight=Weight.ASK, numbers=numbers))
    return tuple(found)


def load_findings(row: Search, load: Decimal) -> tuple[Finding, ...]:
    """Whether the gym can make this load on this bar; with its neighbours where it cannot."""
    bar = row.bar
    beside = near(stock_of(row.session.lifter.gym), bar, row.collar, load) if bar else None
    if bar is None or beside is None:
        return ()
    codes = {(False, True): "load-under", (True, False): "load-over", (True, True): "load-between"}
    sides = (beside.below is not None, beside.above is not None)
    loads = {"below": beside.below, "above": beside.above}
    numbers = {name: plain(found.normalize()) for name, found in loads.items() if found is not None}
    numbers |= {"load": _said(row, load), "bar": bar.name, "unit": bar.unit}
    return (Finding(code=codes[sides], field="load", weight=Weight.REFUSE, numbers=numbers),)


def log_test(row: Search, report: TestReport, *, by: Staff, now: datetime) -> DoneSet:
    """Write down a test. The same press twice is kept once; the search ends when nothing is left to test.

    Raises:
        Refused: `search-over`, `search-other-day`, `consent-needed`, `locked-person`, `locked-region`, or `test-meanwhile`
            when a colleague logged a test that this page did not know of.
    """
    with atomic():
        row = (
            Search.objects.select_for_update(of=("self",))
            .select_related("session__lifter__gym", "bar", "collar")
            .get(pk=row.pk)
        )
        press = f"search-{row.pk}-{report.seen}"
        stored = DoneSet.objects.filter(client_id=press).first()
        if stored is not None:
            return _same_press(stored, report)
        _refuse_if_over(row, now)
        refuse_if_locked(row.session, sore=True)
        if consent_of(row.session.lifter) is None:
            raise Refused("consent-needed", name=row.session.lifter.name)
        test = _store_test(row, report, press, by, now)
        _end_if_done(row, now)
        return test


def undo_test(test: DoneSet, *, by: Staff, now: datetime) -> None:
    """Take back a test that was logged by mistake: it stays, marked, and the search goes on without it."""
    with atomic():
        undo_set(test, by=by, now=now)
        row = test.search
        if row is not None:
            row.ended_at = None
            row.save(update_fields=["ended_at"])
            _end_if_done(row, now)


def end_search(row: Search, *, now: datetime) -> None:
    """No more tests: what was accepted so far stands."""
    if row.ended_at is None:
        with atomic():
            row.ended_at = now
            row.save(update_fields=["ended_at"])


def _take_session(session: Session, episode: Episode) -> None:
    """Today's session is this episode's; one that already holds sets of another spell stays with that."""
    if session.episode_id == episode.pk:
        return
    if session.done_sets.exists():
        raise Refused("session-other-episode", name=episode.lifter.name)
    session.episode = episode
    session.save(update_fields=["episode"])


def _said(row: Search, load: Decimal) -> str:
    return str(Mass(load, Unit(row.bar.unit if row.bar else Unit.KG)))


def _create(session: Session, start: Start, now: datetime) -> Search:
    unit, gym = Unit(start.bar.unit), session.lifter.gym
    rise_mm = handle_rise_mm(reads.bar(start.bar), start.lift)
    return Search.objects.create(
        session=session,
        lift=start.lift,
        bar=start.bar,
        collar=start.collar,
        height_mm=FULL_HEIGHT_MM + rise_mm if pulled_from_a_height(start.lift) else 0,
        direction=start.direction,
        manner=start.manner,
        rest_pain=start.rest_pain,
        hurt_load=round(start.hurt_load.to(unit).value, 4),
        usual_load=round(start.usual_load.to(unit).value, 4),
        ceiling=gym.ceiling_finding,
        rung_percent=gym.rung_percent,
        belt=start.belt,
        straps=start.straps,
        shoes=start.shoes,
        started_at=now,
    )


def _same_press(stored: DoneSet, report: TestReport) -> DoneSet:
    said = (report.load, report.pain, report.acceptable, report.spreading)
    if (stored.load, stored.pain, stored.acceptable, stored.spreading) != said:
        load = str(Mass(stored.load, Unit(stored.unit)))
        raise Refused("test-meanwhile", load=load, pain=stored.pain)
    return stored


def _store_test(row: Search, report: TestReport, press: str, by: Staff, now: datetime) -> DoneSet:
    step = next_step(row)
    ready, _ = rig_at(row, stock_of(row.session.lifter.gym), report.load, step.height_mm)
    height_mm = round(ready.stand.height_mm) if ready.stand else row.height_mm
    said = {name: getattr(report, name) for name in ("load", "reps", "pain", "acceptable", "spreading")}
    return _store(row, DoneSet.Kind.TEST, height_mm, by, now, client_id=press, **said)


def _store(row: Search, kind: str, height_mm: int, by: Staff, now: datetime, **said: object) -> DoneSet:
    return DoneSet.objects.create(
        session=row.session,
        search=row,
        kind=kind,
        sore=True,
        lift=row.lift,
        height_mm=height_mm,
        belt=row.belt,
        straps=row.straps,
        shoes=row.shoes,
        bar=row.bar,
        unit=row.bar.unit if row.bar else Unit.KG,
        at=now,
        logged_by=by,
        **said,
    )


def _end_if_done(row: Search, now: datetime) -> None:
    if not is_open(next_step(row)):
        end_search(row, now=now)


def _refuse_if_over(row: Search, now: datetime) -> None:
    if row.ended_at is not None:
        raise Refused("search-over")
    if training_day(now, ZoneInfo(row.session.lifter.gym.time_zone)) != row.session.day:
        raise Refused("search-other-day")
