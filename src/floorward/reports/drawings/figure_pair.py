"""Two figures that a page moves by itself: a floor and a staff that stay, and the figures drawn around their own ankles.

Every figure of one size has the same parts, so that a page can move from one to the next by moving the numbers alone.
"""

from dataclasses import dataclass

from floorward.reports.drawings.figure import StandingFigure, drawn, spoken
from floorward.reports.drawings.staff import floor, staff
from floorward.reports.drawings.svg import Drawing, element, path, picture

_STAFF_ROOM = 44.0
_BELOW = 22.0
_SIDE_STATURES = 0.68
_TOP_STATURES = 0.9
_STAFF_TOP_CM = 90


@dataclass(frozen=True, slots=True, kw_only=True)
class PairSize:
    """How large a pair is drawn, so that a lifter of any stature fills it.

    Attributes:
        width_px: of the whole drawing.
        stature_m: of the lifter.
    """

    width_px: float
    stature_m: float

    @property
    def side_px(self) -> float:
        """What one figure has of the width."""
        return (self.width_px - _STAFF_ROOM) / 2

    @property
    def px_per_m(self) -> float:
        """The one scale of both."""
        return self.side_px / (_SIDE_STATURES * self.stature_m)

    @property
    def floor_px(self) -> float:
        """How far the floor is from the top."""
        return _TOP_STATURES * self.stature_m * self.px_per_m


def pair_part(figure: StandingFigure, size: PairSize) -> str:
    """One figure with the chalk line at its grip, its ankle at x = 0."""
    level_y = size.floor_px - figure.level_m * size.px_per_m
    half = size.side_px / 2
    return path(f"M{-half:.1f} {level_y:.1f}H{half:.1f}", "l-level") + drawn(
        figure, 0.0, size.floor_px, size.px_per_m
    )


def figure_pair(left: StandingFigure | None, right: StandingFigure | None, size: PairSize) -> Drawing:
    """Both figures on one floor with the staff between them; a side that no posture reaches stays empty."""
    height = size.floor_px + _BELOW
    middle = size.width_px / 2
    places = {"a": (left, size.side_px / 2), "b": (right, size.width_px - size.side_px / 2)}
    return picture(
        size.width_px,
        height,
        " ".join(spoken(figure) for figure in (left, right) if figure),
        floor(0, size.floor_px, size.width_px),
        staff(middle + 8, size.floor_px, size.px_per_m, _STAFF_TOP_CM),
        *(
            element(
                "g",
                pair_part(figure, size) if figure else "",
                data_side=side,
                transform=f"translate({x:.1f} 0)",
            )
            for side, (figure, x) in places.items()
        ),
        class_="start",
    )
