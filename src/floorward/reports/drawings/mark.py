"""The two small signs that stand beside words: where a lifter's bar is, and which way the next step goes."""

from floorward.core.records import FULL_HEIGHT_MM
from floorward.reports.drawings.svg import Drawing, box, disc, path, picture
from floorward.reports.wording import sentence_for, word

PLATE_R = 7.5
MOST_RISE_MM = 300.0

# width, height, floor line, x of no load, px from no load to the old load, px for the greatest rise
_WIDE = (92.0, 46.0, 43.0, 11.0, 69.0, 25.0)
_SMALL = (74.0, 40.0, 37.0, 11.0, 51.0, 19.0)

_SIGNS = {
    "forward": "M6 6L28 25M28 12V25.5H14",
    "hold": "M6 14H34M6 23H34",
    "back": "M30 26L9 7M22 6H8.5V20",
    "send": "M20 3V27M10 12L20 3L30 12",
}


def mark(load_fraction: float | None, height_mm: float = 0, *, wide: bool = False) -> Drawing:
    """Where this lifter's bar stands: further right is nearer the old load (the dashed plate), lower is nearer the floor.

    Args:
        load_fraction: accepted load over the old load, 0 and up; None when nothing is accepted yet.
        height_mm: hands above the platform; up to 225 is the floor, and so is 0 (a lift that fixes its own height).
        wide: 92 × 46 px instead of 74 × 40.
    """
    width, height, floor, x0, span, most = _WIDE if wide else _SMALL
    ground = path(f"M0 {floor:g}H{width:g}", "l-mean w-3")
    old = disc(x0 + span, floor - 1.5 - PLATE_R, 7.0, "l-draw d-plate")
    if load_fraction is None:
        return picture(width, height, word("drawing", "no-load"), ground, old)
    rise_mm = min(max(height_mm - FULL_HEIGHT_MM, 0.0), MOST_RISE_MM)
    rise = rise_mm / MOST_RISE_MM * most
    x = x0 + span * min(max(load_fraction, 0.0), 1.05)
    y = floor - 1.5 - PLATE_R - rise
    return picture(
        width,
        height,
        _mark_words(load_fraction, height_mm),
        ground,
        old,
        box(x - 9, floor - 1.5 - rise, 18.0, rise, "f-oak") if rise else "",
        path(f"M0 {y:.1f}H{x:.1f}", "l-dim d-dots"),
        disc(x, y, PLATE_R, "f-ink"),
        disc(x, y, 2.0, "f-sheet"),
    )


def sign(change: str) -> Drawing:
    """The move a step makes, as it would be on the map: forward is down and right, toward the floor and the old load.

    Args:
        change: forward, hold, back or send.
    """
    # the words beside it say the same
    floor = box(3, 27.5, 34, 9.5, "f-ink") if change == "send" else path("M4 33.5H36", "l-mean w-3")
    return picture(40, 40, "", path(_SIGNS[change], "l-sign"), floor, class_="sign")


def _mark_words(load_fraction: float, height_mm: float) -> str:
    numbers = {"percent": round(load_fraction * 100), "cm": f"{(height_mm - FULL_HEIGHT_MM) / 10:g}"}
    return sentence_for("drawn-mark-raised" if height_mm > FULL_HEIGHT_MM else "drawn-mark-floor", numbers)
