"""What a height–load map shows, and where on the paper a load and a height are."""

from dataclasses import dataclass

from floorward.core.records import FULL_HEIGHT_MM
from floorward.units import Unit

Spot = tuple[float, float]
"""A load (in the map's unit) and a height of the hands above the platform (mm)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MapSet:
    """One set as it was done.

    Attributes:
        day: days since the episode began; sets of one day belong together.
        pain: worst in the set, 0 to 10.
        name: of the lift where it is another than the map's; such a set stands beside the way, not on it.
    """

    load: float
    height_mm: float
    pain: int
    acceptable: bool
    day: int = 0
    reps: int = 0
    today: bool = False
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightLoadMap:
    """Everything on one map. What is not known is empty.

    Attributes:
        sets: in the order they were done.
        sure, likely, unlikely: the load at each height up to which a set should be acceptable (to the lower quantile),
            the most likely border, and the load past which it is too much for now; from the floor upward.
        same_demand: lines of one demand, each with its label ("100 kg") and its spots from the floor upward.
        way_back: planned steps after the last set, the old load not among them.
        level_mm: where the chalk line is, or None.
        chosen: the spot that a page can move, drawn over all others.
        floor_mm: the height of full range: 225 for a pull from the floor; `floor_name` what stands beside it, empty for the floor.
        as_measured: whether heights are written as they are measured, as of a box, and not over full range.
        top_mm: the highest height on the map.
    """

    sets: tuple[MapSet, ...] = ()
    old_load: Spot | None = None
    next_test: Spot | None = None
    way_back: tuple[Spot, ...] = ()
    sure: tuple[Spot, ...] = ()
    likely: tuple[Spot, ...] = ()
    unlikely: tuple[Spot, ...] = ()
    same_demand: tuple[tuple[str, tuple[Spot, ...]], ...] = ()
    level_mm: float | None = None
    chosen: Spot | None = None
    floor_mm: float = FULL_HEIGHT_MM
    floor_name: str = ""
    as_measured: bool = False
    top_mm: float = FULL_HEIGHT_MM + 300
    most_load: float = 0.0
    unit: Unit = Unit.KG


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Loads and heights to pixels. The lowest row stands one set's radius above the floor line."""

    wide: bool
    most_load: float
    floor_mm: float
    top_mm: float

    @property
    def width(self) -> float:
        """Of the whole drawing."""
        return 800.0 if self.wide else 358.0

    @property
    def height(self) -> float:
        """Of the whole drawing, scale of loads included."""
        return 452.0 if self.wide else 400.0

    @property
    def floor_y(self) -> float:
        """The upper edge of the floor line; the start-position figure beside the map has the same."""
        return self.height - 52.0

    @property
    def left(self) -> float:
        """Where no load is."""
        return 104.0 if self.wide else 76.0

    @property
    def right(self) -> float:
        """Where the greatest load is."""
        return self.width - (16.0 if self.wide else 14.0)

    @property
    def top(self) -> float:
        """The greatest height."""
        return 45.0

    @property
    def radius(self) -> float:
        """Of a set's disc."""
        return 14.0 if self.wide else 12.0

    @property
    def bottom(self) -> float:
        """The row of full range."""
        return self.floor_y - self.radius - 2

    @property
    def staff_x(self) -> float:
        """The middle of the staff; a slider may lie on it."""
        return 74.0 if self.wide else 56.0

    def x(self, load: float) -> float:
        """Across: the load, kept on the paper."""
        return self.left + (self.right - self.left) * min(max(load / self.most_load, 0.0), 1.0)

    def y(self, height_mm: float) -> float:
        """Up: the height, kept between the floor row and the top."""
        part = (height_mm - self.floor_mm) / (self.top_mm - self.floor_mm)
        return self.bottom - (self.bottom - self.top) * min(max(part, 0.0), 1.0)

    def at(self, spot: Spot) -> Spot:
        """A load and a height as a point in the drawing."""
        return self.x(spot[0]), self.y(spot[1])


def scale_of(chart: HeightLoadMap, *, wide: bool) -> Scale:
    """The scale that has room for every set, the old load and what is planned."""
    loads = [s.load for s in chart.sets] + [
        load for load, _ in (*chart.way_back, *_some(chart.old_load, chart.next_test))
    ]
    heights = [s.height_mm for s in chart.sets] + [
        height for _, height in _some(chart.old_load, chart.next_test)
    ]
    most = max([chart.most_load, *(load * 1.1 for load in loads), 20.0])
    return Scale(
        wide=wide,
        most_load=most,
        floor_mm=chart.floor_mm,
        top_mm=max([chart.top_mm, chart.floor_mm + 100, *heights]),
    )


def round_step(most: float, least_parts_px: float, length_px: float) -> float:
    """The smallest round step of which marks stand at least `least_parts_px` apart."""
    steps = (5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0)
    return next((step for step in steps if step / most * length_px >= least_parts_px), 500.0)


def _some(*spots: Spot | None) -> tuple[Spot, ...]:
    return tuple(spot for spot in spots if spot)
