"""Which other pulls a lifter may do today in this gym, each with its first load: rows in, the ranking of core/variations out."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from floorward.actions.figures import figure_of
from floorward.actions.first_loads import Learned, learned_of
from floorward.actions.probes import Try, tries_of
from floorward.actions.pulls import CONVENTIONAL, SUMO, accepted_pull, candidates, is_raised
from floorward.actions.rigging import (
    Rig,
    Stock,
    bar_kind,
    handle_rise_mm,
    pulled_from_a_height,
    rig,
    stock_of,
)
from floorward.actions.standing import Standing, standing_of
from floorward.actions.usual import arms_beside
from floorward.core.demand import Demand, demand_of
from floorward.core.heights import Stand
from floorward.core.records import SetUp
from floorward.core.sore_lifts import Sore, is_unaffected, kin_of, loads_any
from floorward.core.variations import Accepted, Option, ranked
from floorward.language import height, weight
from floorward.reports.drawings.bands import band
from floorward.reports.drawings.figure import two_figures
from floorward.reports.drawings.svg import Drawing
from floorward.reports.wording import lift_name
from floorward.storage import reads
from floorward.storage.models import BarRow, Episode, Line, Session
from floorward.tables import value
from floorward.units import to_kg

DEMAND_SCALE = (0.5, 1.5)
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
        tries: while nothing is accepted after a search, the set-ups that tell most, first the one to try.
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
    tries: tuple[Try, ...] = ()


def offers_for(episode: Episode, session: Session | None, today: date | None = None) -> Offers:
    """Every pull that this gym can set up, ranked for this lifter, and the lifts that are found anew.

    `today` is the day that is looked at where no session is planned.
    """
    standing = standing_of(episode, episode.lift, session)
    accepted = accepted_pull(episode, standing)
    lines = list(session.lines.all()) if session else []
    offers = _offers(episode, accepted, lines, session, today) if accepted else ()
    ready, rise_mm = _ready(episode, accepted, standing) if accepted else (Rig(), 0)
    return Offers(
        episode=episode,
        accepted=accepted,
        standing=standing,
        offers=offers,
        anew=tuple(_found_anew(episode)),
        first_taken=any(line.first_time for line in lines),
        start=_start(episode, accepted) if accepted else None,
        rise_mm=rise_mm,
        stand=ready.stand,
        tries=() if accepted else _tries(episode, session, today),
    )


def _tries(episode: Episode, session: Session | None, today: date | None) -> tuple[Try, ...]:
    """Only once something was searched for and nothing accepted."""
    searched = episode.sessions.filter(searches__tests__undone_at=None, searches__lift=episode.lift)
    day = session.day if session else today
    if day is None or not searched.exists():
        return ()
    return tries_of(episode, stock_of(episode.lifter.gym), day)


def drawing_of(page: Offers, offer: Offer, *, most_px: float | None = None) -> Drawing | None:
    """The start of the accepted pull and that of an offer, side by side on one floor."""
    if page.accepted is None or page.start is None:
        return None
    setup, load = page.accepted.setup, page.accepted.load
    first = figure_of(
        page.start,
        label=_label(setup.lift, weight(load.value, load.unit)),
        stand=page.stand,
        rise_mm=page.rise_mm,
    )
    where = f"{height(Decimal(offer.height_mm))}, " if offer.raised else ""
    second = figure_of(
        offer.option.start,
        label=_label(offer.option.candidate.setup.lift, f"{where}{weight(offer.load, offer.unit)}"),
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


def _found_anew(episode: Episode) -> Iterator[str]:
    """Lifts whose loads follow from no other, that this gym has the bar for and that what is sore does not leave alone anyway."""
    kinds = {bar.kind for bar in episode.lifter.gym.bars.all()}
    sore = Sore(spells=frozenset({(episode.region, episode.lift)}))
    arms = arms_beside(episode)
    for key in kin_of(episode.region, episode.lift):
        if key == episode.lift or bar_kind(key) not in kinds or is_unaffected(key, sore):
            continue
        if not loads_any(key, arms):
            yield key


def _label(lift: str, load: str) -> str:
    return f"{lift_name(lift).capitalize()}, {load}"


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


def _offers(
    episode: Episode, accepted: Accepted, lines: list[Line], session: Session | None, today: date | None
) -> tuple[Offer, ...]:
    stock = stock_of(episode.lifter.gym)
    found = {
        candidate: (bar, height_mm)
        for candidate, bar, height_mm in candidates(episode, accepted, stock, session)
    }
    options = ranked(reads.person(episode.lifter), accepted, tuple(found))
    planned = {(line.lift, line.height_mm) for line in lines}
    setups = [option.candidate.setup for option in options]
    learned = learned_of(episode, accepted, setups, session, today)
    return tuple(
        _offer(episode, option, *found[option.candidate], stock, planned, learned) for option in options
    )


def _offer(
    episode: Episode,
    option: Option,
    bar: BarRow,
    height_mm: int,
    stock: Stock,
    planned: set[tuple[str, int]],
    learned: Learned | None,
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
    mechanics, even_lightest = load, False
    if learned is not None:
        load, even_lightest = learned.first_load(setup, option.candidate.loads, bar.unit, load)
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
        notes=(
            *_learned_notes(learned, setup, eased=load < mechanics, even_lightest=even_lightest),
            *_notes(episode, option),
        ),
        raised=is_raised(setup),
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


def _learned_notes(
    learned: Learned | None, setup: SetUp, *, eased: bool, even_lightest: bool
) -> Iterator[str]:
    """What this lifter's own sets say of a set-up."""
    if even_lightest:
        yield "likely-too-much"
    elif eased:
        yield "eased-by-sets"
    leans = learned.leaning(setup) if learned else 0
    if leans:
        yield "takes-better" if leans > 0 else "takes-worse"


def _notes(episode: Episode, option: Option) -> Iterator[str]:
    setup, lifter = option.candidate.setup, episode.lifter
    if option.first_time:
        yield "first-time"
    yield from option.cautions
    if option.too_heavy:
        yield "too-heavy"
    if not option.candidate.in_contest:
        yield "not-in-contest"
    if lifter.conventional_required and setup.lift == CONVENTIONAL and not is_raised(setup):
        yield "contest-pull"
    if lifter.conventional_required and setup.lift == SUMO and option.candidate.in_contest:
        yield "contest-conventional"
    if is_raised(setup):
        yield "raised-bar"
