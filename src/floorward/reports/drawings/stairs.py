"""The way back as stairs toward the floor: each tread a set-up, each riser a step as large as it is.

Down is toward the floor and right is toward the full lift, as in every picture. Wood is what is still to be taken away.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from floorward.reports.drawings.staff import floor
from floorward.reports.drawings.svg import Drawing, box, disc, picture, text_width_px, words
from floorward.reports.wording import sentence_for

_RADIUS = 13.0
_LINE_PX = 15.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tread:
    """One set-up of the stairs.

    Attributes:
        name: a few words, cut at its commas where there is no room; left out where there is none at all.
        step: how large the step down to it is, in usual steps; 0 for the first.
    """

    name: str
    step: float


def staircase(treads: Sequence[Tread], *, wide: bool) -> Drawing:
    """Today's set-up at the top left, the full lift on the floor; 800 px wide, or 358 for a phone.

    The phone's has numbers only; a table beside it carries the words.
    """
    width, height, low = (800.0, 300.0, 46.0) if wide else (358.0, 210.0, 14.0)
    each, floor_y = width / len(treads), height - 16.0
    top = low + (2.2 * _RADIUS) + (3 * _LINE_PX if wide else 0.0)
    levels = _levels([tread.step for tread in treads], top, floor_y)
    shown = wide and all(_lines(tread.name, each) for tread in treads)
    return picture(
        width,
        height,
        _said(treads),
        floor(0, floor_y, width),
        *(
            _tread(tread, n, len(treads), each, (levels[n], floor_y), named=shown)
            for n, tread in enumerate(treads)
        ),
        class_="stairs",
    )


def _levels(steps: Sequence[float], top: float, floor_y: float) -> list[float]:
    """The height of every tread, from `top` down to the floor, by the sizes of the steps."""
    down = list(accumulate(steps))
    whole = down[-1] or 1.0
    return [top + (floor_y - top) * part / whole for part in down] if len(steps) > 1 else [floor_y]


def _tread(tread: Tread, n: int, count: int, each: float, place: tuple[float, float], *, named: bool) -> str:
    """Wood down to the floor, a plate standing on it, its number and its name."""
    level, floor_y = place
    left, middle = n * each, (n + 0.5) * each
    last = n == count - 1
    y = level - _RADIUS - (1.0 if level < floor_y else 0.0)
    state = "set-ok" if n == 0 else "set-old" if last else "set-ahead"
    wood = "" if last else box(left, level, each, floor_y - level, "f-wood")
    lines = _lines(tread.name, each) if named else ()
    first = y - _RADIUS - 8.0 - _LINE_PX * (len(lines) - 1)
    return "".join(
        (
            wood,
            disc(middle, y, _RADIUS, state),
            disc(middle, y, _RADIUS + 4.0, "set-now") if n == 0 else "",
            words(str(n + 1), middle, y + 4.5, class_="on-ink tb" if n == 0 else "tb", anchor="middle"),
            *(
                words(line, middle, first + _LINE_PX * i, class_="t-12", anchor="middle")
                for i, line in enumerate(lines)
            ),
        )
    )


def _lines(name: str, room_px: float) -> tuple[str, ...]:
    """The name cut at its commas and blanks into at most four lines that fit; empty where it does not fit."""
    lines: list[str] = []
    for part in name.split(", "):
        line = ""
        for one in part.split():
            wider = f"{line} {one}".strip()
            if line and text_width_px(wider, 12) > room_px - 6:
                lines.append(line)
                line = one
            else:
                line = wider
        lines.append(line)
    fits = len(lines) <= 4 and all(text_width_px(line, 12) <= room_px - 6 for line in lines)
    return tuple(lines) if fits else ()


def _said(treads: Sequence[Tread]) -> str:
    """The stairs for ears."""
    steps = "; ".join(f"{n + 1}: {tread.name}" for n, tread in enumerate(treads))
    return sentence_for("drawn-stairs", {"count": len(treads), "steps": steps})
