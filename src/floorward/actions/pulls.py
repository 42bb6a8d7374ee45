"""The pulls that a gym can set up for a sore lifter, as the ranking wants them: rows in, candidates out."""

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from django.db.models import prefetch_related_objects

from floorward.actions.first_loads import learned_of
from floorward.actions.rigging import (
    Stock,
    handle_rise_mm,
    loads_of,
    pulled_from_a_height,
    stands_of,
    stock_of,
    usual_bar,
)
from floorward.actions.standing import Source, Standing, standing_of
from floorward.actions.usual import Usual, arms_beside, best_as_usual
from floorward.core.heights import stand_for
from floorward.core.lifts import Family, Lift, catalogue
from floorward.core.records import FULL_HEIGHT_MM, STANDARD_PLATE_MM, Bar, BarKind, SetUp
from floorward.core.sore_lifts import loads_any
from floorward.core.variations import Accepted, Candidate, ranked
from floorward.storage import reads
from floorward.storage.models import BarRow, DoneSet, Episode, Lifter, Session
from floorward.tables import value
from floorward.units import Mass, Unit

SUMO = "sumo-deadlift"
CONVENTIONAL = "deadlift"


def accepted_pull(episode: Episode, standing: Standing) -> Accepted | None:
    """The pull that first loads are read off: what a search accepted, or what was decided and trained since."""
    lift = catalogue().get(episode.lift)
    load = standing.accepted or standing.load
    if lift is None or lift.family is not Family.PULL or load is None or standing.source is Source.STOPPED:
        return None
    region = episode.modelled_region
    if region is None:
        return None
    setup = SetUp(lift=episode.lift, height_mm=standing.height_mm)
    mass = Mass(load, Unit(standing.unit))
    return Accepted(setup=setup, load=mass, region=region, full_range=standing.full_range)


def first_load_for(
    episode: Episode, session: Session, lift: str, bar: BarRow | None, height_mm: int
) -> Mass | None:
    """The most that the reckoning gives a pull today; None where nothing is reckoned."""
    if bar is None or lift not in catalogue() or catalogue()[lift].family is not Family.PULL:
        return None
    accepted = accepted_pull(episode, standing_of(episode, episode.lift, session))
    if accepted is None:
        return None
    stock = stock_of(episode.lifter.gym)
    loads, best = loads_of(stock, bar, None), best_as_usual(episode.lifter, stock)
    candidate = _candidate(episode, session, loads, bar, SetUp(lift=lift, height_mm=height_mm), best)
    options = ranked(reads.person(episode.lifter), accepted, [candidate])
    if not options:
        return None
    learned = learned_of(episode, accepted, [candidate.setup], session, session.day)
    most = options[0].load
    if learned is not None:
        most, _ = learned.first_load(candidate.setup, candidate.loads, candidate.unit, most)
    return Mass(most, candidate.unit)


def candidates(
    episode: Episode, accepted: Accepted, stock: Stock, session: Session | None
) -> Iterator[tuple[Candidate, BarRow, int]]:
    """Every pull that this gym has the iron for, with its bar and the hands' height; 0 where the lift fixes it."""
    prefetch_related_objects([episode.lifter.gym], "bars")
    best = best_as_usual(episode.lifter, stock)
    arms = arms_beside(episode)
    for lift in catalogue().values():
        bar = usual_bar(episode.lifter.gym, lift.key, episode.lifter.unit)
        if lift.family is not Family.PULL or not lift.linked or bar is None:
            continue
        if loads_any(lift.key, arms):
            continue
        for height_mm in _heights(lift, bar, stock):
            setup = SetUp(lift=lift.key, height_mm=height_mm)
            found = _candidate(episode, session, loads_of(stock, bar, None), bar, setup, best)
            if _is_offered(found, accepted):
                yield found, bar, height_mm


def _is_offered(candidate: Candidate, accepted: Accepted) -> bool:
    """Other than the accepted pull, no deeper start than it, and no rare pull that this lifter never did."""
    setup, from_mm = candidate.setup, accepted.setup.height_mm
    if setup.lift == accepted.setup.lift and setup.height_mm <= from_mm + _within():
        return False
    if setup.height_mm and setup.height_mm < from_mm - _within():
        return False
    return setup.lift in value("variations", "offered") or candidate.usual is not None


def _heights(lift: Lift, bar: BarRow, stock: Stock) -> Iterator[int]:
    """Where the hands may start: at full height and, for the plain pull, raised as far as the gym can build."""
    if not pulled_from_a_height(lift.key):
        yield 0
        return
    record = reads.bar(bar)
    if record.kind == BarKind.TRAP:
        yield from _handles(lift, record)
        return
    raised = value("variations", "raised") if lift.key == CONVENTIONAL else ()
    stands = stands_of(stock, record, lift.key, STANDARD_PLATE_MM)
    wanted = (lift.default_height_mm, *(FULL_HEIGHT_MM + up_mm for up_mm in raised))
    built = (stand_for(int(mm), stands, _within()) for mm in wanted)
    yield from (int(stand.height_mm) for stand in built if stand)


def _handles(lift: Lift, bar: Bar) -> Iterator[int]:
    """The height of the handles that the lift is named for; none where the bar has no high ones."""
    rise_mm = handle_rise_mm(bar, lift.key)
    wanted_mm = lift.default_height_mm - FULL_HEIGHT_MM
    if rise_mm >= wanted_mm / 2:
        yield FULL_HEIGHT_MM + rise_mm


def _candidate(
    episode: Episode,
    session: Session | None,
    loads: tuple[Decimal, ...],
    bar: BarRow,
    setup: SetUp,
    best: Mapping[str, Usual],
) -> Candidate:
    done = _done(episode.lifter, setup).filter(session__episode=episode).exclude(session=session)
    return Candidate(
        setup=setup,
        loads=loads,
        unit=Unit(bar.unit),
        usual=usual_there(episode, setup, best),
        done_in_episode=done.exists(),
        in_contest=episode.lifter.sumo_allowed or setup.lift != SUMO,
    )


def usual_there(episode: Episode, setup: SetUp, best: Mapping[str, Usual]) -> Mass | None:
    """What this lifter did there before the pain: the heaviest set written down, or the best set made usual."""
    done = _done(episode.lifter, setup).filter(session__day__lt=episode.since)
    known = [Mass(row.load.normalize(), Unit(row.unit)) for row in done]
    if not is_raised(setup) and setup.lift in best:
        known.append(Mass(best[setup.lift].load, Unit(best[setup.lift].unit)))
    return max(known, default=None)


def _done(lifter: Lifter, setup: SetUp) -> Any:
    near = (setup.height_mm - _within(), setup.height_mm + _within())
    rows = DoneSet.objects.filter(
        session__lifter=lifter, lift=setup.lift, kind=DoneSet.Kind.WORK, undone_at=None
    )
    return rows.filter(height_mm__range=(max(near[0], 0), near[1]))


def is_raised(setup: SetUp) -> bool:
    """Whether the plain pull starts higher than standard plates stand."""
    return setup.lift == CONVENTIONAL and setup.height_mm > FULL_HEIGHT_MM + _within()


def _within() -> int:
    return int(value("variations", "raised_within"))
