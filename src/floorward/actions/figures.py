"""A set-up's start drawn from a lifter's own links: what mechanics found, handed to the drawing."""

from floorward.core.demand import Demand
from floorward.core.heights import Stand
from floorward.core.records import STANDARD_PLATE_MM
from floorward.reports.drawings.figure import StandingFigure


def figure_of(
    start: Demand,
    *,
    label: str,
    rise_mm: int = 0,
    stand: Stand | None = None,
    plate_mm: int = STANDARD_PLATE_MM,
    on_back: bool = False,
) -> StandingFigure:
    """The figure at the start of a pull, or at the bottom of what is lowered first.

    Args:
        start: what mechanics say of the set-up.
        label: a few words under the figure.
        rise_mm: the handles above the sleeves' axis.
        stand: what the plates stand on; the floor where there is none.
        plate_mm: diameter of the widest plate on the bar.
        on_back: the bar lies on the body, and the hands only keep it there.
    """
    points = start.start.points_m
    joints = {name: points[name] for name in ("ankle", "knee", "hip", "l5s1", "shoulder", "head")}
    hand_x, hand_y = points["hands"]
    blocks_mm = sum(float(block.thickness_mm) * count for block, count in stand.blocks) if stand else 0.0
    return StandingFigure(
        joints={**joints, "hand": (hand_x, hand_y)},
        bar_x_m=hand_x,
        bar_y_m=hand_y - rise_mm / 1000,
        plate_diameter_mm=plate_mm,
        blocks_mm=blocks_mm,
        handle_mm=rise_mm,
        on_back=on_back,
        label=label,
    )
