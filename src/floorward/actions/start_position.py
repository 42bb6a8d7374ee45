"""The start of any lift at any height or depth, for one body: worked out at a few places, with a page moving between them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from floorward.actions.buildable import Built, at_height
from floorward.actions.columns import Column, Question, columns_of
from floorward.actions.comparing import Ground, beside, ground_of
from floorward.actions.figures import figure_of
from floorward.actions.rigging import handle_rise_mm, loads_of, pulled_from_a_height, usual_bar
from floorward.core.heights import Stand
from floorward.core.lifts import Fixes, Lift, catalogue
from floorward.core.records import FULL_HEIGHT_MM, Region, SetUp
from floorward.language import amount
from floorward.reports.drawings.figure import StandingFigure, spoken
from floorward.reports.drawings.figure_pair import PairSize, figure_pair, pair_part
from floorward.reports.drawings.svg import Drawing
from floorward.storage import reads
from floorward.storage.models import BarRow, Lifter
from floorward.tables import value
from floorward.units import Mass

SIDES = ("a", "b")
DEMAND_SCALE = (0.4, 1.6)
PHONE_PX, WIDE_PX = 358.0, 720.0


class Axis(StrEnum):
    """What a slider moves."""

    HEIGHT = "height"
    BOX = "box"
    DEPTH = "depth"


@dataclass(frozen=True, slots=True, kw_only=True)
class Slider:
    """What may be chosen about the start of a lift: millimetres of height or box, or degrees of depth.

    Attributes:
        usual: where the lift starts when nothing is said.
        every: how far the places that are worked out lie apart.
    """

    axis: Axis
    least: int
    most: int
    usual: int
    step: int
    every: int

    @property
    def places(self) -> tuple[int, ...]:
        """What is worked out, ascending, both ends included."""
        return tuple(sorted({*range(self.least, self.most, self.every), self.most}))

    @property
    def stops(self) -> range:
        """Where the slider can stand."""
        return range(self.least, self.most + 1, self.step)

    def kept(self, at: int | None) -> int:
        """The stop nearest to `at`; the usual one where nothing is asked for."""
        return self.usual if at is None else min(self.stops, key=lambda stop: abs(stop - at))


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A lift at one place of its slider: what stands beside the figure, and the figure; None where it is not reached."""

    at: int
    column: Column
    figure: StandingFigure | None

    @property
    def said(self) -> str:
        """The figure, for ears."""
        return spoken(self.figure) if self.figure else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """A lift and the slider that moves its start."""

    lift: str
    slider: Slider

    @property
    def lowered(self) -> bool:
        """Whether the height is where a lift from standing ends, and nothing needs to stand there."""
        return not pulled_from_a_height(self.lift)


@dataclass(frozen=True, slots=True, kw_only=True)
class Side(Moved):
    """One side of the page."""

    name: str
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Track(Moved):
    """A lift along its slider.

    Attributes:
        stands: what the plates stand on at every stop of the slider; None where this gym has nothing that high.
        loads: what can be loaded on its bar, ascending, each as a number in the bar's unit and as it is read.
    """

    places: tuple[Place, ...]
    stands: tuple[Stand | None, ...]
    loads: tuple[tuple[float, str], ...]
    size: PairSize
    ground: Ground

    def drawn(self, place: Place) -> str:
        """The figure at a place, to be put where another of this track stood."""
        return pair_part(place.figure, self.size) if place.figure else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StartPage:
    """The page of two starts.

    Attributes:
        lifts: everything there is to choose from.
        ahead: what is likely to be chosen next.
    """

    ground: Ground
    lifts: tuple[str, ...]
    ahead: tuple[str, ...]
    sides: tuple[Side, ...]
    wide: Drawing
    narrow: Drawing


def start_page(
    lifter: Lifter, chosen: Sequence[tuple[str, int | None]], load: Mass | None, region: Region | None
) -> StartPage | None:
    """Two lifts, each where it was asked for; what is usual where nothing was. None without a bar to do any with."""
    ground = ground_of(lifter, load, region)
    if ground is None:
        return None
    lifts = lifts_of(ground)
    picked = [one if one[0] in lifts else None for one in (*chosen, ("", None), ("", None))][:2]
    usual = _usual(ground)
    sides = tuple(
        _side(name, lifter, ground.question, *(pick or rest))
        for name, pick, rest in zip(SIDES, picked, usual, strict=True)
    )
    left, right = (side.place.figure for side in sides)
    return StartPage(
        ground=ground,
        lifts=lifts,
        ahead=tuple(key for key in beside(ground.question.compared) if key in lifts),
        sides=sides,
        wide=figure_pair(left, right, size_for(lifter, WIDE_PX)),
        narrow=figure_pair(left, right, size_for(lifter, PHONE_PX)),
    )


def track_of(
    lifter: Lifter, lift: str, load: Mass | None, region: Region | None, *, wide: bool
) -> Track | None:
    """Every place of a lift's slider; None for a lift that is not on the page."""
    ground = ground_of(lifter, load, region)
    if ground is None or lift not in lifts_of(ground):
        return None
    row, bar = catalogue()[lift], _bar(lifter, lift)
    slider = slider_of(row, bar)
    built = [_built(row, at, bar, ground.question) for at in slider.stops]
    return Track(
        lift=lift,
        slider=slider,
        places=_places(row, bar, slider.places, ground.question),
        stands=tuple(one.stand for one in built),
        loads=tuple(
            (float(load), amount(load, bar.unit)) for load in loads_of(ground.question.stock, bar, None)
        ),
        size=size_for(lifter, WIDE_PX if wide else PHONE_PX),
        ground=ground,
    )


def lifts_of(ground: Ground) -> tuple[str, ...]:
    """Every lift that this gym has a bar for and a posture is known of, in the order of the catalogue."""
    return tuple(dict.fromkeys(one.setup.lift for one in ground.built))


def slider_of(lift: Lift, bar: BarRow) -> Slider:
    """What may be chosen about a lift's start on this bar."""
    numbers = lift.numbers
    if lift.fixes is Fixes.BOX:
        rule, usual = value("comparison", "slider", "box"), int(numbers["box_mm"])
        return Slider(
            axis=Axis.BOX,
            least=int(numbers["lowest_mm"]),
            most=int(numbers["highest_mm"]),
            usual=usual,
            **rule,
        )
    if lift.fixes is Fixes.HEIGHT:
        return _height_slider(lift, FULL_HEIGHT_MM + handle_rise_mm(reads.bar(bar), lift.key))
    rule, usual = value("comparison", "slider", "depth"), int(numbers["depth_deg"])
    return Slider(
        axis=Axis.DEPTH, least=0, most=int(value("comparison", "depths")["most"]), usual=usual, **rule
    )


def _height_slider(lift: Lift, full_mm: int) -> Slider:
    """From full height up for what is pulled from there; for other lifts over all that they allow, no longer a way."""
    rule, longest = value("comparison", "slider", "height"), int(value("comparison", "heights")["most"])
    usual = int(lift.default_height_mm)
    whole = pulled_from_a_height(lift.key) and usual <= full_mm
    least = full_mm if whole else int(lift.numbers["lowest_mm"])
    most = min(least + longest, int(lift.numbers["highest_mm"]))
    return Slider(axis=Axis.HEIGHT, least=least, most=most, usual=full_mm if whole else usual, **rule)


def size_for(lifter: Lifter, width_px: float) -> PairSize:
    """How large this lifter is drawn."""
    return PairSize(width_px=width_px, stature_m=lifter.stature_m)


def _bar(lifter: Lifter, lift: str) -> BarRow:
    bar = usual_bar(lifter.gym, lift, lifter.unit)
    assert bar is not None  # noqa: S101 - only lifts with a bar are on the page
    return bar


def _usual(ground: Ground) -> tuple[tuple[str, int | None], tuple[str, int | None]]:
    """The compared lift, and beside it what is accepted where that starts otherwise, else the same lift raised."""
    compared, accepted = ground.question.compared, ground.accepted
    if accepted and accepted.built.key != compared.key:
        return (compared.setup.lift, None), (accepted.built.setup.lift, _chosen_of(accepted.built.setup))
    raised = compared.setup.height_mm + int(value("comparison", "raised"))
    depth = int(value("comparison", "depths")["most"]) // 2
    return (compared.setup.lift, None), (compared.setup.lift, raised if compared.setup.height_mm else depth)


def _chosen_of(setup: SetUp) -> int:
    return setup.height_mm or setup.box_mm or setup.depth_deg


def _side(name: str, lifter: Lifter, question: Question, key: str, at: int | None) -> Side:
    lift, bar = catalogue()[key], _bar(lifter, key)
    slider = slider_of(lift, bar)
    return Side(name=name, lift=key, slider=slider, place=_places(lift, bar, [slider.kept(at)], question)[0])


def _places(lift: Lift, bar: BarRow, places: Sequence[int], question: Question) -> tuple[Place, ...]:
    built = [_built(lift, at, bar, question) for at in places]
    columns = columns_of(question, built, DEMAND_SCALE)
    return tuple(
        Place(at=at, column=column, figure=_figure(column))
        for at, column in zip(places, columns, strict=False)
    )


def _built(lift: Lift, at: int, bar: BarRow, question: Question) -> Built:
    if lift.fixes is Fixes.HEIGHT:
        built = at_height(lift, at, bar, question.stock)
        return built if pulled_from_a_height(lift.key) else replace(built, stand=None, rise_mm=0)
    if lift.fixes is Fixes.BOX:
        return Built(setup=SetUp(lift=lift.key, box_mm=at), bar=bar)
    return Built(setup=SetUp(lift=lift.key, depth_deg=at), bar=bar)


def _figure(column: Column) -> StandingFigure | None:
    """Drawn on blocks of any thickness, whether or not the gym has them."""
    if column.side is None:
        return None
    built, lift = column.built, catalogue()[column.built.setup.lift]
    figure = figure_of(column.side.start, label="", rise_mm=built.handle_mm, on_back=not lift.hands)
    under_mm = built.setup.height_mm - built.handle_mm - FULL_HEIGHT_MM
    blocks_mm = max(0.0, float(under_mm)) if pulled_from_a_height(lift.key) else 0.0
    return replace(figure, blocks_mm=blocks_mm, moves=True)
