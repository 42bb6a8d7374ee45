"""A search for an accepted load, read from its log: the next set down to the plates, and what has been found.

The log is the truth: what is accepted is worked out anew from the sets that stand, each time it is asked for.
"""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import Q

from floorward.actions.model_search import Known, known_of, step_of
from floorward.actions.probes import Try, tries_of
from floorward.actions.rigging import Rig, Stock, change_between, loads_of, rig, stands_of, stock_of
from floorward.actions.why import why
from floorward.core import ladder
from floorward.core.findings import Finding
from floorward.core.ladder import Step, StepKind
from floorward.core.loadable import rung_below
from floorward.core.plates import Change
from floorward.core.raised_start import raised_heights_mm
from floorward.core.search import Direction, is_raised
from floorward.core.warm_up import warm_ups
from floorward.storage import reads
from floorward.storage.models import DoneSet, Episode, Search
from floorward.tables import value
from floorward.units import Unit


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmUpSet:
    """A warm-up set with its plates."""

    load: Decimal
    reps: int
    rig: Rig


@dataclass(frozen=True, slots=True, kw_only=True)
class DoneTest:
    """A test that counts, whether it was acceptable, and whether it was done from a raised start."""

    row: DoneSet
    good: bool
    raised: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Working:
    """What the page of a running search shows.

    Attributes:
        lightest: what the bar can carry least.
        load: of the set to do now: the one proposed, or another that the coach asked for (`is_other`).
        change: plates off and on a side, against what is on the bar; None where the bar stays as it is.
        lower_mm: how much lower than planned the bar starts, because the gym can't bring it up.
        ask_lower: whether to ask before it starts there.
        warm_ups: to do first; empty once one is logged or a test is.
        cold: whether nothing of this lift was done today yet.
        seen: how many tests this page knows of, taken back or not: a stale page is told apart by it.
        ceiling: highest pain of an acceptable set here.
        limit: highest pain allowed in any set.
        known: what the model makes of it, where the search goes by the model.
        tries: once the lightest load failed in full, the set-ups that tell most, first the one to try.
    """

    row: Search
    step: Step
    why: Finding
    lightest: Decimal
    load: Decimal
    is_other: bool
    rig: Rig
    change: Change | None
    lower_mm: Decimal
    ask_lower: bool
    warm_ups: tuple[WarmUpSet, ...]
    cold: bool
    tests: tuple[DoneTest, ...]
    seen: int
    ceiling: int
    limit: int
    known: Known | None = None
    tries: tuple[Try, ...] = ()

    @property
    def number(self) -> int:
        """Which test this is."""
        return len(self.tests) + 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Accepted:
    """A load that a search found.

    Attributes:
        unit: of both loads.
        height_mm: of the hands; 0 where the lift itself fixes it.
        full_range: false for a raised start.
        training_load: one rung under it; where training starts.
        reason: how the search ended; `rest-pain` means the lightest load on a day that hurt at rest.
    """

    lift: str
    load: Decimal
    unit: Unit
    height_mm: int
    full_range: bool
    at: datetime
    training_load: Decimal
    pain: int
    reps: int
    reason: str
    search: Search


def record_of(row: Search, stock: Stock) -> ladder.Search:
    """The search as the ladder understands it. Sets of the same lift done earlier that day count as tests too."""
    loads = loads_of(stock, row.bar, row.collar)
    return ladder.Search(
        loads=loads,
        provoking_load=row.hurt_load,
        usual_load=row.usual_load,
        direction=Direction(row.direction),
        ceiling=row.ceiling,
        rung_percent=Decimal(row.rung_percent),
        rest_pain=row.rest_pain,
        heights_mm=_raised_heights(row, stock, loads[0]) if row.height_mm else (),
        full_height_mm=row.height_mm,
        tests=tuple(map(_test, counted_tests(row))),
    )


def is_open(step: Step) -> bool:
    """Whether a set is still to be done; on a day that hurts at rest the lightest load is only on offer."""
    return step.kind in {StepKind.TEST, StepKind.REPEAT, StepKind.RAISE} or step.load is not None


def counted_tests(row: Search) -> list[DoneSet]:
    """Tests of this lift on this day that stand, in order: those of this search and of earlier ones on other bars."""
    tests = DoneSet.objects.filter(
        search__session=row.session_id,
        search__lift=row.lift,
        kind=DoneSet.Kind.TEST,
        unit=unit_of(row),
        undone_at=None,
    )
    return list(tests.filter(search__started_at__lte=row.started_at).order_by("at", "id"))


def next_step(row: Search) -> Step:
    """The step alone: what the ladder or the model says comes next, however it goes on the bar."""
    return step_of(row, record_of(row, stock_of(row.session.lifter.gym)))


def step_now(row: Search, load: Decimal | None = None) -> Working:
    """The set to do now, at the load proposed or at `load`.

    Args:
        row: a search that has not ended.
        load: another load that the gym can make; None takes the proposal.
    """
    stock = stock_of(row.session.lifter.gym)
    record = record_of(row, stock)
    step = step_of(row, record)
    done = _done_today(row)
    shown = load or step.load or record.loads[0]
    ready, lower_mm = rig_at(row, stock, shown, step.height_mm)
    return Working(
        row=row,
        step=step,
        why=why(record, step, unit_of(row)),
        lightest=record.loads[0],
        load=shown,
        is_other=load is not None and load != step.load,
        rig=ready,
        change=change_between(_on_the_bar(row, stock, done), ready),
        lower_mm=lower_mm,
        ask_lower=lower_mm > 0 and not row.lower_start_agreed,
        warm_ups=_warm_ups(row, stock, record, step, done),
        cold=not any(one.lift == row.lift for one in done),
        tests=done_tests(row, record),
        seen=row.tests.filter(kind=DoneSet.Kind.TEST).count(),
        ceiling=ceiling_of(record),
        limit=row.session.lifter.gym.ceiling_set,
        known=known_of(row, record, shown) if row.manner else None,
        tries=tries_after(row, stock) if step.kind is StepKind.RAISE else (),
    )


def tries_after(row: Search, stock: Stock) -> tuple[Try, ...]:
    """What to try now that the lightest load failed in full; nothing where the search is of another lift than the painful one."""
    episode = row.session.episode
    if episode is None or episode.lift != row.lift:
        return ()
    return tries_of(episode, stock, row.session.day)


def rig_at(row: Search, stock: Stock, load: Decimal, height_mm: int) -> tuple[Rig, Decimal]:
    """The bar of a set, and how much lower than `height_mm` it starts where nothing brings it up to there."""
    ready = rig(stock, row.bar, row.collar, load, lift=row.lift, height_mm=height_mm)
    if ready.stand is None or not ready.off_mm or ready.loading is None or row.bar is None:
        return ready, Decimal()
    stands = stands_of(stock, reads.bar(row.bar), row.lift, ready.loading.largest_diameter_mm)
    under = max(
        (one for one in stands if one.height_mm < height_mm), key=lambda one: one.height_mm, default=stands[0]
    )
    off = under.height_mm - height_mm
    return Rig(loading=ready.loading, stand=under, off_mm=off), max(-off, Decimal())


def ceiling_of(record: ladder.Search) -> int:
    """Highest pain of an acceptable set: the gym's ceiling, or on a day that hurts at rest what the ladder allows then."""
    if record.rest_pain is None or record.rest_pain < max(record.ceiling, 1):
        return record.ceiling
    allowed = (pain for pain in range(11) if ladder.acceptable_at_rest(pain, record.rest_pain))
    return max(allowed, default=record.ceiling)


def accepted_of(episode: Episode, lift: str) -> Accepted | None:
    """What the newest search of `lift` in this episode has found; None when it found nothing, or there was none.

    A search left unfinished counts by the tests that were done; one that was never begun does not.
    """
    begun = Q(tests__kind=DoneSet.Kind.TEST, tests__undone_at=None)
    rows = Search.objects.filter(~Q(ended_at=None) | begun, session__episode=episode, lift=lift)
    row = rows.select_related("session__lifter__gym", "bar", "collar").distinct().first()
    return accepted_in(row) if row else None


def accepted_in(row: Search) -> Accepted | None:
    """What one search has found so far."""
    record = record_of(row, stock_of(row.session.lifter.gym))
    return accepted_at(row, record, step_of(row, record))


def accepted_at(row: Search, record: ladder.Search, step: Step) -> Accepted | None:
    """What `step` says is accepted so far, with the test that showed it."""
    load, height_mm = step.accepted_load, step.accepted_height_mm
    if load is None or height_mm is None or row.bar is None:
        return None
    test = next(
        test
        for test in reversed(record.tests)
        if test.load == load and (not is_raised(record, height_mm) or test.height_mm == height_mm)
    )
    return Accepted(
        lift=row.lift,
        load=load.normalize(),
        unit=Unit(row.bar.unit),
        height_mm=height_mm,
        full_range=not is_raised(record, height_mm),
        at=row.ended_at or row.started_at,
        training_load=rung_below(record.loads, load, record.rung_percent),
        pain=test.pain,
        reps=test.reps,
        reason=step.reason,
        search=row,
    )


def unit_of(row: Search) -> Unit:
    """The unit of every load of a search: that of its bar."""
    return Unit(row.bar.unit) if row.bar else Unit.KG


def done_tests(row: Search, record: ladder.Search) -> tuple[DoneTest, ...]:
    """The tests that count, in order, each with whether it was acceptable."""
    ceiling = ceiling_of(record)
    return tuple(
        DoneTest(
            row=test,
            good=bool(test.acceptable) and (test.pain or 0) <= ceiling and not test.spreading,
            raised=bool(row.height_mm) and is_raised(record, test.height_mm),
        )
        for test in counted_tests(row)
    )


def _test(row: DoneSet) -> ladder.Test:
    return ladder.Test(
        load=row.load,
        height_mm=row.height_mm,
        reps=row.reps,
        pain=row.pain if row.pain is not None else value("pain", "scale", "most"),
        acceptable=bool(row.acceptable),
        spreading=row.spreading,
    )


def _raised_heights(row: Search, stock: Stock, lightest: Decimal) -> tuple[int, ...]:
    ready = rig(stock, row.bar, row.collar, lightest, lift=row.lift, height_mm=row.height_mm)
    if row.bar is None or ready.loading is None:
        return ()
    stands = stands_of(stock, reads.bar(row.bar), row.lift, ready.loading.largest_diameter_mm)
    return raised_heights_mm(reads.person(row.session.lifter), stands, row.height_mm)


def _done_today(row: Search) -> list[DoneSet]:
    """Every set of the session that stands, in order."""
    return list(row.session.done_sets.filter(undone_at=None).order_by("at", "id"))


def _on_the_bar(row: Search, stock: Stock, done: list[DoneSet]) -> Rig | None:
    """What the last set of this session left on the bar."""
    last = next((one for one in reversed(done) if one.bar_id == row.bar_id), None)
    if last is None:
        return None
    return rig(stock, row.bar, row.collar, last.load, lift=row.lift, height_mm=0)


def _warm_ups(
    row: Search, stock: Stock, record: ladder.Search, step: Step, done: list[DoneSet]
) -> tuple[WarmUpSet, ...]:
    if step.load is None or any(one.search_id == row.pk for one in done):
        return ()
    same = [one.load for one in done if one.lift == row.lift and one.unit == unit_of(row)]
    sets = warm_ups(record.loads, step.load, max(same, default=Decimal()))
    return tuple(
        WarmUpSet(load=one.load, reps=one.reps, rig=rig_at(row, stock, one.load, step.height_mm)[0])
        for one in sets
    )
