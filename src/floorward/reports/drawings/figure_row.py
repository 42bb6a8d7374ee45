"""Several set-ups side by side: one floor, one staff, one scale, and a chalk line at the first one's grip."""

from collections.abc import Sequence
from itertools import accumulate

from floorward.reports.drawings.figure import (
    WIDE_PX_PER_M,
    StandingFigure,
    drawn,
    extent,
    label_px,
    named,
    spoken,
    staff_top,
)
from floorward.reports.drawings.staff import floor, staff
from floorward.reports.drawings.svg import Drawing, path, picture

_MARGIN = 14.0
_BETWEEN = 14.0
_STAFF_ROOM = 44.0
_BELOW = 54.0


def figure_row(
    figures: Sequence[StandingFigure],
    *,
    px_per_m: float = WIDE_PX_PER_M,
    most_px: float = 1200.0,
    level_m: float | None = None,
) -> Drawing:
    """The figures from left to right with the staff before them.

    Args:
        figures: one or more.
        px_per_m: the greatest scale; it is made smaller to keep `most_px`, the words are not.
        most_px: the greatest width.
        level_m: where the chalk line runs across all; the first figure's grip when not given.
    """
    extents = [extent(figure) for figure in figures]
    scale = min(px_per_m, most_px_per_m(figures, most_px))
    widths = _widths(figures, [right - left for left, right, _ in extents], scale, _room(figures, most_px))
    lefts = [
        _MARGIN + _STAFF_ROOM + before + _BETWEEN * n
        for n, before in enumerate((0.0, *accumulate(widths[:-1])))
    ]
    middles = [left + width / 2 for left, width in zip(lefts, widths, strict=True)]
    starts = [m - (left + right) / 2 * scale for m, (left, right, _) in zip(middles, extents, strict=True)]
    width = lefts[-1] + widths[-1] + _MARGIN
    floor_y = max(top for _, _, top in extents) * scale + _MARGIN
    level_y = floor_y - (figures[0].level_m if level_m is None else level_m) * scale
    staff_x = _MARGIN + _STAFF_ROOM - 18
    return picture(
        width,
        floor_y + _BELOW - 2,
        " ".join(spoken(figure) for figure in figures),
        floor(0, floor_y, width),
        staff(
            staff_x,
            floor_y,
            scale,
            max(staff_top(figure) for figure in figures),
            path(f"M{staff_x - 10:.1f} {level_y:.1f}H{width:.1f}", "l-level"),
        ),
        *(drawn(figure, x0, floor_y, scale) for figure, x0 in zip(figures, starts, strict=True)),
        *(named(f, m, floor_y, w) for f, m, w in zip(figures, middles, widths, strict=True)),
        class_="start",
    )


def most_px_per_m(figures: Sequence[StandingFigure], most_px: float) -> float:
    """The greatest scale at which the figures go into a row of `most_px`."""
    return _room(figures, most_px) / sum(right - left for left, right, _ in map(extent, figures))


def _room(figures: Sequence[StandingFigure], most_px: float) -> float:
    return most_px - 2 * _MARGIN - _STAFF_ROOM - _BETWEEN * (len(figures) - 1)


def _widths(
    figures: Sequence[StandingFigure], spans_m: Sequence[float], scale: float, room: float
) -> list[float]:
    """Equal parts of the room where all fit into theirs; else what each needs, for itself or for its words."""
    needs = [
        max(span * scale, label_px(figure, span * scale))
        for figure, span in zip(figures, spans_m, strict=True)
    ]
    part = room / len(needs)
    return [part] * len(needs) if max(needs) <= part else needs
