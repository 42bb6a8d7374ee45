"""What a drawing stands on and is measured by: the floor with its ticks, and the staff with 5 cm blocks."""

from floorward.reports.drawings.svg import box, path, words

TICKS_PX = 9.0
_STAFF_PX = 10.0


def floor(x: float, y: float, width: float) -> str:
    """The floor: its upper edge at `y`, four pixels thick, ticks below."""
    return path(f"M{x:g} {y + 2:.1f}H{x + width:.1f}", "l-floor") + box(x, y + 4, width, TICKS_PX, "f-ticks")


def staff(x: float, floor_y: float, px_per_m: float, top_cm: int, *across: str) -> str:
    """A staff from the floor to `top_cm`, its middle at `x`: blocks of 5 cm, figures on its left.

    `across` is drawn over the blocks and under the figures, so that a level line cuts the staff and no figure.
    """
    step = 0.05 * px_per_m
    left, count = x - _STAFF_PX / 2, top_cm // 5
    blocks = (
        box(left, floor_y - (i + 1) * step, _STAFF_PX, step, "f-sheet" if i % 2 else "f-ink")
        for i in range(count)
    )
    every = 10 if step * 2 >= 13 else 20
    figures = (
        words(str(cm), left - 5, floor_y - cm / 100 * px_per_m + 4, class_="t2 t-11 halo", anchor="end")
        for cm in range(every, top_cm + 1, every)
    )
    frame = box(left, floor_y - count * step, _STAFF_PX, count * step, "l-draw w-1")
    return "".join((*blocks, frame, *across, *figures))
