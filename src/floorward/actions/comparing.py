"""Set-ups side by side for one lifter in one gym: rows in; figures, bars with bands, words and loads out."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from floorward.actions.buildable import Built, all_built
from floorward.actions.figures import figure_of
from floorward.actions.lifters import consent_of
from floorward.actions.locks import Lock, lock_of
from floorward.actions.overview import open_episode
from floorward.actions.read_off import Start, accepted_start, usual_load
from floorward.actions.rigging import Stock, loads_of, stock_of
from floorward.core.comparison import Side, sides
from floorward.core.demand import Band, Unreachable
from floorward.core.findings import Finding
from floorward.core.lifts import Family, catalogue
from floorward.core.loadable import at_or_under
from floorward.core.records import FULL_HEIGHT_MM, Region
from floorward.core.variations import Compared
from floorward.reports.drawings.bands import band
from floorward.reports.drawings.figure import StandingFigure
from floorward.reports.drawings.figure_row import figure_row, most_px_per_m
from floorward.reports.drawings.svg import Drawing
from floorward.reports.wording import word
from floorward.storage import reads
from floorward.storage.models import Episode, Lifter
from floorward.tables import value
from floorward.units import Mass, Unit, plain, to_kg

DEADLIFT = "deadlift"
PHONE_PX, WIDE_PX = 358.0, 1180.0
DEMAND_SCALE = (0.5, 1.5)
BEND_SCALE_DEG = {Region.LOW_BACK: (60.0, 150.0), Region.HIP: (60.0, 150.0), Region.KNEE: (0.0, 130.0)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the page is asked for; None or empty takes what is usual.

    Attributes:
        keys: of the set-ups, as `Built.key` names them.
    """

    keys: tuple[str, ...] = ()
    load: Mass | None = None
    region: Region | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One set-up on the page.

    Attributes:
        side: what mechanics say; None where this body does not reach it, and `unreached` says why.
        said: what a coach would say.
        load: of equal demand, rounded down to what can be loaded, with its band; None where `no_load` says why.
        no_load: anew, loose, nothing-accepted, stopped, too-light or none-asks-the-same; empty where there is one.
    """

    built: Built
    side: Side | None
    unreached: str = ""
    said: Finding | None = None
    demand_band: Drawing | str = ""
    bend_band: Drawing | str = ""
    load: Decimal | None = None
    low: Decimal | None = None
    high: Decimal | None = None
    no_load: str = ""

    @property
    def trunk_deg(self) -> Band | None:
        """How the trunk may lean over level, kept to what a back can do."""
        found = self.side.start.bands["trunk_deg"] if self.side else None
        return found and Band(p10=max(found.p10, 0.0), p90=found.p90)

    @property
    def squats(self) -> bool:
        """Whether it is a squat, whose posture the model finds worse than a pull's."""
        return catalogue()[self.built.setup.lift].family is Family.SQUAT


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """The page.

    Attributes:
        compared: the set-up whose demand counts as 100.
        start: None where no loads are given.
        built: everything there is to choose from.
        wide, rows: the figures in one row, and for a phone in pairs.
        lock: what stops this lifter's heavy work or region, if anything.
        episode: the open one where it may be shown.
    """

    region: Region
    load: Mass
    compared: Built
    start: Start | None
    columns: tuple[Column, ...]
    built: tuple[Built, ...]
    wide: Drawing | None
    rows: tuple[Drawing, ...]
    lock: Lock | None
    episode: Episode | None

    @property
    def any_raised(self) -> bool:
        """Whether a bar starts higher than in full, which nobody has measured."""
        return any(column.built.rise_mm for column in self.columns)

    @property
    def any_squat(self) -> bool:
        """Whether a squat is among them."""
        return any(column.squats for column in self.columns)

    @property
    def any_two_ways(self) -> bool:
        """Whether one of them can be done in two clearly different postures for about the same effort."""
        return any(column.side.start.two_ways for column in self.columns if column.side)

    @property
    def any_loose(self) -> bool:
        """Whether the compared pull's own demand is too loose to compare by."""
        return any(column.side.demand is None for column in self.columns if column.side)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Question:
    """What every column answers."""

    lifter: Lifter
    stock: Stock
    compared: Built
    load: Mass
    region: Region
    start: Start | None
    why_none: str


def choices_of(lifter: Lifter) -> tuple[Built, ...]:
    """Everything that this gym can build to compare."""
    return all_built(lifter.gym, stock_of(lifter.gym), lifter.unit)


def comparison_of(lifter: Lifter, asked: Asked) -> Comparison | None:
    """Set-ups side by side; None in a gym without a bar that a posture is known for."""
    stock = stock_of(lifter.gym)
    built = all_built(lifter.gym, stock, lifter.unit)
    if not built:
        return None
    hurting = open_episode(lifter)
    episode = hurting if hurting and consent_of(lifter) else None
    lock = lock_of(lifter)
    compared = _compared(built, episode)
    accepted = accepted_start(episode, stock) if episode else None
    load = asked.load or (accepted.load if accepted else usual_load(lifter, compared.setup.lift))
    start = _start(accepted, load) if accepted else None if hurting else Start(built=compared, load=load)
    question = _Question(
        lifter=lifter,
        stock=stock,
        compared=compared,
        load=load,
        region=asked.region or (Region(episode.region) if episode else Region.LOW_BACK),
        start=None if lock else start,
        why_none=_why_none(lock, hurting, start),
    )
    columns = _columns(question, _chosen(asked.keys, built, compared, accepted))
    figures = [_figure(column) for column in columns if column.side]
    return Comparison(
        region=question.region,
        load=load,
        compared=compared,
        start=question.start,
        columns=columns,
        built=built,
        wide=figure_row(figures, most_px=WIDE_PX) if figures else None,
        rows=_rows(figures),
        lock=lock,
        episode=episode,
    )


def _start(accepted: Start, load: Mass) -> Start:
    """What is accepted, at the load asked for where that is less: nothing is read off a load that was not accepted."""
    return Start(built=accepted.built, load=min(accepted.load, load))


def _why_none(lock: Lock | None, hurting: Episode | None, start: Start | None) -> str:
    if lock:
        return "stopped"
    return "nothing-accepted" if hurting and start is None else ""


def _compared(built: Sequence[Built], episode: Episode | None) -> Built:
    """The pull from the floor; beside a sore squat, that squat."""
    sore = catalogue().get(episode.lift) if episode else None
    lift = sore.key if sore and sore.family is Family.SQUAT else DEADLIFT
    return next((one for one in built if one.setup.lift == lift and not one.rise_mm), built[0])


def _chosen(
    keys: Sequence[str], built: Sequence[Built], compared: Built, accepted: Start | None
) -> tuple[Built, ...]:
    """The set-ups asked for, or a few that belong beside the compared one; each once, no more than fit."""
    known = {one.key: one for one in built}
    asked = [known[key] for key in keys if key in known]
    wanted = asked or _usual(built, compared, accepted)
    return tuple({one.key: one for one in wanted}.values())[: int(value("comparison", "sides"))]


def _usual(built: Sequence[Built], compared: Built, accepted: Start | None) -> list[Built]:
    """The compared one, what is accepted, for a pull one on blocks, and what else belongs beside it."""
    pull = catalogue()[compared.setup.lift].family is Family.PULL
    raised_mm = FULL_HEIGHT_MM + int(value("comparison", "raised"))
    near = [one for one in built if pull and one.setup.lift == DEADLIFT and one.rise_mm]
    near.sort(key=lambda one: abs(one.setup.height_mm - raised_mm))
    beside = value("comparison", "beside_pull" if pull else "beside_squat")
    others = [one for lift in beside for one in built if one.setup.lift == lift and not one.rise_mm]
    return [compared, *([accepted.built] if accepted else ()), *near[:1], *others]


def _columns(question: _Question, chosen: Sequence[Built]) -> tuple[Column, ...]:
    found = sides(
        reads.person(question.lifter),
        question.compared.setup,
        [one.setup for one in chosen],
        to_kg(question.load),
        question.region,
        question.start.read_off if question.start else None,
    )
    scale = _scale([side for side in found if isinstance(side, Side)])
    return tuple(
        Column(built=one, side=None, unreached=side.code)
        if isinstance(side, Unreachable)
        else _column(question, one, side, scale)
        for one, side in zip(chosen, found, strict=False)
    )


def _scale(found: Sequence[Side]) -> tuple[float, float]:
    """One scale for all bars, wider than usual where a band would be cut off."""
    low = min((side.share_band.p10 for side in found), default=1.0)
    high = max((side.share_band.p90 for side in found), default=1.0)
    usual = DEMAND_SCALE
    return usual if usual[0] <= low and high <= usual[1] else (min(0.0, low), max(usual[1], high))


def _column(question: _Question, built: Built, side: Side, scale: tuple[float, float]) -> Column:
    equal, stock = side.equal, question.stock
    load = _loadable(equal.likely_kg, built, stock) if equal else None
    return Column(
        built=built,
        side=side,
        said=_said(built, side, question.compared, question.region),
        demand_band=band(side.share_band.p10, side.share, side.share_band.p90, scale=scale, reference=1.0),
        bend_band=band(
            side.bend_band.p10,
            side.bend_deg,
            side.bend_band.p90,
            scale=BEND_SCALE_DEG[question.region],
            reference=side.bend_deg - side.bend_more_deg,
        ),
        load=load,
        low=_loadable(equal.p10_kg, built, stock) if equal and load else None,
        high=_loadable(equal.p90_kg, built, stock) if equal and load else None,
        no_load="" if load else _no_load(side, question.why_none),
    )


def _no_load(side: Side, why_none: str) -> str:
    if not side.same_family:
        return "anew"
    if side.equal is not None:
        return "too-light"
    return why_none or ("loose" if side.loose else "none-asks-the-same")


def _loadable(load_kg: float, built: Built, stock: Stock) -> Decimal | None:
    """Rounded down to what goes on its bar, in the bar's unit."""
    per_unit = to_kg(Mass(Decimal(1), Unit(built.bar.unit)))
    return at_or_under(loads_of(stock, built.bar, None), Decimal(str(round(load_kg / per_unit, 6))))


def _said(built: Built, side: Side, compared: Built, region: Region) -> Finding:
    """What a coach would say to the lifter; a raised bar is never said to spare the region, or not to."""
    numbers = {
        "region": word("region", region),
        "fold": word("fold", region),
        "deg": round(abs(side.bend_more_deg)),
        "cm": plain(Decimal(built.rise_mm) / 10),
    }
    if built.key == compared.key:
        return Finding(code="said-itself")
    if built.rise_mm and (
        built.setup.lift == compared.setup.lift or side.demand in {Compared.SAME, Compared.MORE}
    ):
        return Finding(code=f"said-raised-{side.bend}", numbers=numbers)
    if side.demand is None:
        return Finding(code=f"said-unknown-{side.bend}", numbers=numbers)
    if side.demand is not Compared.SAME:
        numbers["surely"] = word("surely", side.demand if side.sure else f"{side.demand}-perhaps")
    return Finding(code=f"said-{side.demand}-{side.bend}", numbers=numbers)


def _figure(column: Column) -> StandingFigure:
    assert column.side is not None  # noqa: S101 - figures are made of what is reached
    lift = catalogue()[column.built.setup.lift]
    return figure_of(
        column.side.start,
        label=column.built.name,
        stand=column.built.stand,
        rise_mm=column.built.handle_mm,
        on_back=not lift.hands,
    )


def _rows(figures: Sequence[StandingFigure]) -> tuple[Drawing, ...]:
    """Pairs for a phone, all at one scale and with the chalk line of the first figure."""
    pairs = [figures[n : n + 2] for n in range(0, len(figures), 2)]
    if not pairs:
        return ()
    scale = min(most_px_per_m(pair, PHONE_PX) for pair in pairs if len(pair) == len(pairs[0]))
    level = figures[0].level_m
    return tuple(figure_row(pair, px_per_m=scale, most_px=PHONE_PX, level_m=level) for pair in pairs)
