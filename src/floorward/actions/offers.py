"""Which other pulls a lifter may do today in this gym, each with its first load: rows in, the ranking of core/variations out."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from floorward.actions.figures import figure_of
from floorward.actions.rigging import (
    Rig,
    Stock,
    handle_rise_mm,
    loads_of,
    pulled_from_a_height,
    rig,
    stands_of,
    stock_of,
    usual_bar,
)
from floorward.actions.standing import Source, Standing, standing_of
from floorward.actions.usual import best_as_usual
from floorward.core.demand import Demand, demand_of
from floorward.core.heights import Stand, stand_for
from floorward.core.lifts import Family, Fixes, Lift, catalogue
from floorward.core.records import FULL_HEIGHT_MM, STANDARD_PLATE_MM, Region, SetUp
from floorward.core.variations import Accepted, Candidate, Option, ranked
from floorward.reports.drawings.bands import band
from floorward.reports.drawings.figure import two_figures
from floorward.reports.drawings.svg import Drawing
from floorward.reports.wording import lift_name
from floorward.storage import reads
from floorward.storage.models import BarRow, DoneSet, Episode, Lifter, Line, Session
from floorward.tables import value
from floorward.units import Mass, Unit, plain, to_kg

SUMO = "sumo-deadlift"
CONVENTIONAL = "deadlift"
DEMAND_SCALE = (0.4, 1.2)
BEND_SCALE_DEG = (70.0, 145.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """A pull as it stands on the page.

    Attributes:
        key: lift and height, to choose it by.
        load: to plan today: the first load, or what was trained here last in this episode if that is less.
        notes: codes of what else to say, in the order of the page.
    """

    key: str
    option: Option
    bar: BarRow
    height_mm: int
    load: Decimal
    unit: str
    sets: int
    reps: int
    rpe: Decimal
    rig: Rig
    notes: tuple[str, ...]
    raised: bool
    planned: bool
    demand_band: Drawing
    bend_band: Drawing


@dataclass(frozen=True, slots=True, kw_only=True)
class Offers:
    """The page of variations.

    Attributes:
        accepted: the pull that all is read off; None where none is accepted.
        standing: where the sore lift stands.
        start: what mechanics say of the accepted pull; None where this body cannot reach it.
        rise_mm: the accepted pull's handles above the sleeves.
        stand: what its plates stand on.
        anew: lifts whose load is found by a search of their own.
        first_taken: whether a lift of today's session is done for the first time already.
    """

    episode: Episode
    accepted: Accepted | None
    standing: Standing
    offers: tuple[Offer, ...]
    anew: tuple[str, ...]
    first_taken: bool
    start: Demand | None
    rise_mm: int = 0
    stand: Stand | None = None


def offers_for(episode: Episode, session: Session | None) -> Offers:
    """Every pull that this gym can set up, ranked for this lifter, and the lifts that are found anew."""
    standing = standing_of(episode, episode.lift, session)
    accepted = accepted_pull(episode, standing)
    lines = list(session.lines.all()) if session else []
    offers = _offers(episode, accepted, lines, session) if accepted else ()
    ready, rise_mm = _ready(episode, accepted, standing) if accepted else (Rig(), 0)
    return Offers(
        episode=episode,
        accepted=accepted,
        standing=standing,
        offers=offers,
        anew=tuple(
            key for key, lift in catalogue().items() if lift.family is not Family.PULL and key != episode.lift
        ),
        first_taken=any(line.first_time for line in lines),
        start=_start(episode, accepted) if accepted else None,
        rise_mm=rise_mm,
        stand=ready.stand,
    )


def drawing_of(page: Offers, offer: Offer, *, most_px: float | None = None) -> Drawing | None:
    """The start of the accepted pull and that of an offer, side by side on one floor."""
    if page.accepted is None or page.start is None:
        return None
    setup, load = page.accepted.setup, page.accepted.load
    first = figure_of(page.start, label=_label(setup.lift, str(load)), stand=page.stand, rise_mm=page.rise_mm)
    second = figure_of(
        offer.option.start,
        label=_label(offer.option.candidate.setup.lift, f"{plain(offer.load)} {offer.unit}"),
        stand=offer.rig.stand,
        rise_mm=handle_rise_mm(reads.bar(offer.bar), offer.option.candidate.setup.lift),
    )
    return two_figures(first, second, most_px=most_px) if most_px else two_figures(first, second)


def _start(episode: Episode, accepted: Accepted) -> Demand | None:
    found = demand_of(reads.person(episode.lifter), accepted.setup, to_kg(accepted.load))
    return found if isinstance(found, Demand) else None


def _ready(episode: Episode, accepted: Accepted, standing: Standing) -> tuple[Rig, int]:
    """The accepted pull's bar, and how far its handles are above the sleeves."""
    bar = standing.pattern.bar if standing.pattern else None
    lift, height_mm = accepted.setup.lift, accepted.setup.height_mm
    if bar is None or not pulled_from_a_height(lift):
        return Rig(), 0
    stock = stock_of(episode.lifter.gym)
    ready = rig(stock, bar, standing.collar, accepted.load.value, lift=lift, height_mm=height_mm)
    return ready, handle_rise_mm(reads.bar(bar), lift)


def _label(lift: str, load: str) -> str:
    return f"{lift_name(lift).capitalize()}, {load}"


def accepted_pull(episode: Episode, standing: Standing) -> Accepted | None:
    """The pull that first loads are read off: what a search accepted, or what was decided and trained since."""
    lift = catalogue().get(episode.lift)
    load = standing.accepted or standing.load
    if lift is None or lift.family is not Family.PULL or load is None or standing.source is Source.STOPPED:
        return None
    setup = SetUp(lift=episode.lift, height_mm=standing.height_mm)
    mass = Mass(load, Unit(standing.unit))
    return Accepted(setup=setup, load=mass, region=Region(episode.region), full_range=standing.full_range)


def line_values(offer: Offer) -> dict[str, Any]:
    """The columns of an offer's line."""
    return {
        "role": Line.Role.VARIATION,
        "lift": offer.option.candidate.setup.lift,
        "bar": offer.bar,
        "height_mm": offer.height_mm,
        "load": offer.load,
        "unit": offer.unit,
        "sets": offer.sets,
        "reps": offer.reps,
        "target_rpe": offer.rpe,
        "first_time": offer.option.first_time,
    }


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
    candidate = _candidate(episode, session, stock, bar, SetUp(lift=lift, height_mm=height_mm))
    options = ranked(reads.person(episode.lifter), accepted, [candidate])
    return Mass(options[0].load, candidate.unit) if options else None


def _offers(
    episode: Episode, accepted: Accepted, lines: list[Line], session: Session | None
) -> tuple[Offer, ...]:
    stock = stock_of(episode.lifter.gym)
    found = {
        candidate: (bar, height_mm)
        for candidate, bar, height_mm in _candidates(episode, accepted, stock, session)
    }
    options = ranked(reads.person(episode.lifter), accepted, tuple(found))
    planned = {(line.lift, line.height_mm) for line in lines}
    return tuple(_offer(episode, option, *found[option.candidate], stock, planned) for option in options)


def _candidates(
    episode: Episode, accepted: Accepted, stock: Stock, session: Session | None
) -> Iterator[tuple[Candidate, BarRow, int]]:
    for lift in catalogue().values():
        bar = usual_bar(episode.lifter.gym, lift.key, episode.lifter.unit)
        if (
            lift.family is not Family.PULL
            or not lift.modelled
            or lift.fixes is not Fixes.HEIGHT
            or bar is None
        ):
            continue
        for height_mm in _heights(lift, bar, stock):
            if lift.key == accepted.setup.lift and abs(height_mm - accepted.setup.height_mm) <= _within():
                continue
            setup = SetUp(lift=lift.key, height_mm=height_mm)
            yield _candidate(episode, session, stock, bar, setup), bar, height_mm


def _heights(lift: Lift, bar: BarRow, stock: Stock) -> Iterator[int]:
    """Where the hands may start: at full height and, for the plain pull, raised as far as the gym can build."""
    if not pulled_from_a_height(lift.key):
        yield 0
        return
    record = reads.bar(bar)
    rise_mm = handle_rise_mm(record, lift.key)
    high = lift.default_height_mm > FULL_HEIGHT_MM
    if high and len(record.handle_rise_mm) < 2 and rise_mm < (lift.default_height_mm - FULL_HEIGHT_MM) / 2:
        return
    yield FULL_HEIGHT_MM + rise_mm
    if lift.key == CONVENTIONAL:
        stands = stands_of(stock, record, lift.key, STANDARD_PLATE_MM)
        built = (
            stand_for(FULL_HEIGHT_MM + up_mm, stands, _within()) for up_mm in value("variations", "raised")
        )
        yield from (int(stand.height_mm) for stand in built if stand)


def _candidate(
    episode: Episode, session: Session | None, stock: Stock, bar: BarRow, setup: SetUp
) -> Candidate:
    return Candidate(
        setup=setup,
        loads=loads_of(stock, bar, None),
        unit=Unit(bar.unit),
        usual=_usual(episode, stock, setup),
        done_in_episode=_done(episode.lifter, setup)
        .filter(session__episode=episode)
        .exclude(session=session)
        .exists(),
        in_contest=episode.lifter.sumo_allowed or setup.lift != SUMO,
    )


def _usual(episode: Episode, stock: Stock, setup: SetUp) -> Mass | None:
    """What this lifter did there before the pain: the heaviest set written down, or the best set made usual."""
    done = _done(episode.lifter, setup).filter(session__day__lt=episode.since)
    known = [Mass(row.load.normalize(), Unit(row.unit)) for row in done]
    if not _is_raised(setup):
        best = best_as_usual(episode.lifter, stock).get(setup.lift)
        known += [Mass(best.load, Unit(best.unit))] if best else []
    return max(known, default=None)


def _done(lifter: Lifter, setup: SetUp) -> Any:
    near = (setup.height_mm - _within(), setup.height_mm + _within())
    rows = DoneSet.objects.filter(
        session__lifter=lifter, lift=setup.lift, kind=DoneSet.Kind.WORK, undone_at=None
    )
    return rows.filter(height_mm__range=(max(near[0], 0), near[1]))


def _is_raised(setup: SetUp) -> bool:
    return setup.lift == CONVENTIONAL and setup.height_mm > FULL_HEIGHT_MM + _within()


def _within() -> int:
    return int(value("variations", "raised_within"))


def _offer(
    episode: Episode, option: Option, bar: BarRow, height_mm: int, stock: Stock, planned: set[tuple[str, int]]
) -> Offer:
    setup = option.candidate.setup
    volume = "first_time" if option.first_time else "variation"
    since = standing_of(episode, setup.lift) if option.candidate.done_in_episode else None
    load = option.load
    if (
        since is not None
        and since.load is not None
        and since.unit == bar.unit
        and since.height_mm == height_mm
    ):
        load = min(load, since.load)
    return Offer(
        key=f"{setup.lift}:{height_mm}",
        option=option,
        bar=bar,
        height_mm=height_mm,
        load=load.normalize(),
        unit=bar.unit,
        sets=value("session", volume, "sets"),
        reps=value("session", volume, "reps"),
        rpe=Decimal(value("session", volume, "rpe")),
        rig=rig(stock, bar, None, load, lift=setup.lift, height_mm=height_mm),
        notes=tuple(_notes(episode, option)),
        raised=_is_raised(setup),
        planned=(setup.lift, height_mm) in planned,
        demand_band=band(
            option.demand_band.p10,
            option.demand_share,
            option.demand_band.p90,
            scale=DEMAND_SCALE,
            reference=1.0,
        ),
        bend_band=band(
            option.bend_band.p10,
            option.bend_deg,
            option.bend_band.p90,
            scale=BEND_SCALE_DEG,
            reference=option.bend_was_deg,
        ),
    )


def _notes(episode: Episode, option: Option) -> Iterator[str]:
    setup, lifter = option.candidate.setup, episode.lifter
    if option.first_time:
        yield "first-time"
    yield from option.cautions
    if option.too_heavy:
        yield "too-heavy"
    if not option.candidate.in_contest:
        yield "not-in-contest"
    if lifter.conventional_required and setup.lift == CONVENTIONAL and not _is_raised(setup):
        yield "contest-pull"
    if lifter.conventional_required and setup.lift == SUMO and option.candidate.in_contest:
        yield "contest-conventional"
    if _is_raised(setup):
        yield "raised-bar"
