"""What a drawing stands on and is measured by: the floor with its ticks, and the staff with blocks of 5 cm or 2 in."""

from floorward.language import block
from floorward.reports.drawings.svg import box, path, words

TICKS_PX = 9.0
_STAFF_PX = 10.0


def floor(x: float, y: float, width: float) -> str:
    """The floor: its upper edge at `y`, four pixels thick, ticks below."""
    return path(f"M{x:g} {y + 2:.1f}H{x + width:.1f}", "l-floor") + box(x, y + 4, width, TICKS_PX, "f-ticks")


def staff(x: float, floor_y: float, px_per_m: float, top_cm: int, *across: str) -> str:
    """A staff from the floor to `top_cm`, its middle at `x`: blocks of 5 cm or 2 in, figures on its left, the unit above.

    `across` is drawn over the blocks and under the figures, so that a level line cuts the staff and no figure.
    """
    step_mm, step_shown, unit = block()
    step = step_mm / 1000 * px_per_m
    left, count = x - _STAFF_PX / 2, int(top_cm * 10 // step_mm)
    blocks = (
        box(left, floor_y - (i + 1) * step, _STAFF_PX, step, "f-sheet" if i % 2 else "f-ink")
        for i in range(count)
    )
    every = 2 if step * 2 >= 13 else 4
    figures = (
        words(str(i * step_shown), left - 5, floor_y - i * step + 4, class_="t2 t-11 halo", anchor="end")
        for i in range(every, count + 1, every)
    )
    named = words(unit, x, floor_y - count * step - 5, class_="t2 t-11 halo", anchor="middle")
    frame = box(left, floor_y - count * step, _STAFF_PX, count * step, "l-draw w-1")
    return "".join((*blocks, frame, *across, *figures, named))
