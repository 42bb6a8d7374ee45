"""The plates on one sleeve, from the front: true diameter and thickness, what goes on hatched, what comes off dashed."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from floorward.core.records import STANDARD_PLATE_MM, Plate
from floorward.language import number
from floorward.reports.drawings.svg import Drawing, box, element, path, picture, text_width_px, words
from floorward.reports.wording import sentence_for, word
from floorward.units import Unit, plain

LABEL_PX = 14
_LABEL_GAP = 7.0
_MARGIN = 4.0
_BAR_MM = 28.0
_SLEEVE_MM = 50.0
_COLLAR_MM = (30.0, 84.0)
_SHAFT_MM = 62.0

# The colours that plates are known by in the trade; `#rrggbb` is drawn as well. Anything else is left out.
PLATE_COLOURS = {
    "red": "#c8322b",
    "blue": "#2457a6",
    "yellow": "#e3b505",
    "green": "#2f8a4c",
    "white": "#f4f4f0",
    "black": "#1b1b1b",
    "grey": "#8a8f8d",
    "gray": "#8a8f8d",
    "orange": "#d9772b",
    "purple": "#6b4a92",
    "pink": "#d487a5",
}
_HEX = re.compile(r"#[0-9a-fA-F]{6}")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Placed:
    """One plate in the drawing: where its inner face is and what is being done with it."""

    plate: Plate
    x: float
    width: float
    height: float
    state: str

    @property
    def middle(self) -> float:
        """The plate's middle across."""
        return self.x + self.width / 2

    @property
    def label(self) -> str:
        """The number under the plate, with its sign."""
        return {"on": "+", "off": "−"}.get(self.state, "") + number(plain(self.plate.mass.value))


def plates_on_sleeve(
    per_side: Sequence[Plate],
    unit: Unit = Unit.KG,
    change_on: Sequence[Plate] = (),
    change_off: Sequence[Plate] = (),
    *,
    px_per_mm: float = 0.235,
    labels: bool = True,
    sleeve_mm: float = 415.0,
) -> Drawing:
    """One sleeve with its plates.

    Args:
        per_side: plates of one side as they will be when the set begins, innermost first; thickness and diameter in mm.
        unit: what the numbers on the plates mean, for the spoken label.
        change_on: those of `per_side` that go on for this set (the outermost of each mass): hatched, "+5".
        change_off: plates that come off first; drawn dashed beyond the collar, "−5".
        px_per_mm: the one scale of everything in the drawing.
        sleeve_mm: length of the bar's sleeve; it is drawn longer where the gaps between plates need it.
        labels: numbers below, with leaders where the plate ends higher than its number.
    """
    stays = [*_states(per_side, change_on), *((plate, "off") for plate in change_off)]
    gap = (10.0 if labels else 4.2) * px_per_mm / 0.235
    start = _SHAFT_MM * px_per_mm
    placed, collar = _place(stays, start + gap / 2, gap, px_per_mm)
    tallest = max([STANDARD_PLATE_MM * px_per_mm, *(p.height for p in placed)])
    axis = _MARGIN + tallest / 2
    end = max(start + sleeve_mm * px_per_mm, collar + gap, *(p.x + p.width + gap for p in placed), 0.0)
    names, spread = _labels(placed, axis, axis + tallest / 2) if labels else ([], (0.0, end))
    left = min(0.0, spread[0])
    body = [
        *_bar(start, end, axis, px_per_mm),
        *(_plate(p, axis) for p in placed),
        _collar(collar, axis, px_per_mm),
        *names,
    ]
    shifted = element("g", *body, transform=f"translate({-left:.1f} 0)") if left else "".join(body)
    height = axis + tallest / 2 + _MARGIN + (24 if labels else 0)
    return picture(
        max(end, spread[1]) - left + 1,
        height,
        _spoken(per_side, unit, change_on, change_off),
        shifted,
        class_="sleeve",
    )


def _states(per_side: Sequence[Plate], change_on: Sequence[Plate]) -> list[tuple[Plate, str]]:
    """Each plate with `stays` or `on`; of equal plates the outermost are the ones that go on."""
    waiting = [plate.mass for plate in change_on]
    found: list[tuple[Plate, str]] = []
    for plate in reversed(per_side):
        goes_on = plate.mass in waiting
        if goes_on:
            waiting.remove(plate.mass)
        found.append((plate, "on" if goes_on else "stays"))
    return found[::-1]


def _place(
    plates: list[tuple[Plate, str]], x: float, gap: float, px_per_mm: float
) -> tuple[list[_Placed], float]:
    """Plates side by side from `x`; the collar closes what stays, and what comes off stands beyond it."""
    placed: list[_Placed] = []
    collar = -1.0
    for plate, state in plates:
        if state == "off" and collar < 0:
            collar, x = x, x + _COLLAR_MM[0] * px_per_mm + gap
        width, height = max(plate.thickness_mm * px_per_mm, 3.0), plate.diameter_mm * px_per_mm
        placed.append(_Placed(plate=plate, x=x, width=width, height=height, state=state))
        x += width + gap
    return placed, x if collar < 0 else collar


def _bar(start: float, end: float, axis: float, px_per_mm: float) -> list[str]:
    """Shaft, the stop that plates lie against, sleeve."""
    shaft, sleeve = _BAR_MM * px_per_mm, _SLEEVE_MM * px_per_mm
    stop = sleeve * 1.45
    return [
        box(0, axis - shaft / 2, start, shaft, "f-iron"),
        box(start - 4.5, axis - stop / 2, 4.5, stop, "f-iron", rx=1),
        box(start, axis - sleeve / 2, end - start, sleeve, "f-iron", rx=2),
    ]


def _plate(p: _Placed, axis: float) -> str:
    top, rx = axis - p.height / 2, min(3.0, p.width / 2)
    if p.state == "off":
        return box(p.x, top, p.width, p.height, "f-off", rx=rx)
    if p.state == "on":
        return box(p.x, top, p.width, p.height, "f-sheet", rx=rx) + box(
            p.x, top, p.width, p.height, "f-add", rx=rx
        )
    drawn = box(p.x, top, p.width, p.height, "f-iron", rx=rx)
    colour = _colour(p.plate.colour)
    if not colour:
        return drawn
    band = element(
        "rect",
        fill=colour,
        x=p.x + 1.2,
        y=top + p.height * 0.12,
        width=max(p.width - 2.4, 1.0),
        height=p.height * 0.2,
    )
    return drawn + band


def _colour(named: str) -> str:
    return named.lower() if _HEX.fullmatch(named) else PLATE_COLOURS.get(named.strip().lower(), "")


def _collar(x: float, axis: float, px_per_mm: float) -> str:
    width, height = (size * px_per_mm for size in _COLLAR_MM)
    return box(x, axis - height / 2, width, height, "f-ink", rx=2)


def _labels(placed: list[_Placed], axis: float, bottom: float) -> tuple[list[str], tuple[float, float]]:
    """Numbers below, moved apart until none touch, each with a leader to its plate; and how far they reach."""
    widths = [text_width_px(p.label, LABEL_PX, bold=True) for p in placed]
    centres = _apart([p.middle for p in placed], widths)
    drawn: list[str] = []
    for p, centre in zip(placed, centres, strict=True):
        from_y = axis + p.height / 2 + 3
        if abs(centre - p.middle) > 3 or from_y < bottom - 2:
            drawn.append(
                path(f"M{p.middle:.1f} {from_y:.1f}V{bottom + 3:.1f}L{centre:.1f} {bottom + 9:.1f}", "l-dim")
            )
        drawn.append(words(p.label, centre, bottom + 22, class_="tb t-14", anchor="middle"))
    if not placed:
        return [], (0.0, 0.0)
    return drawn, (centres[0] - widths[0] / 2, centres[-1] + widths[-1] / 2)


def _apart(wanted: list[float], widths: list[float]) -> list[float]:
    """Centres nearest to `wanted`, in order, so that boxes of `widths` keep a gap: pushed right, then half the excess back."""
    if not wanted:
        return []
    pushed = [wanted[0]]
    for i in range(1, len(wanted)):
        least = pushed[-1] + (widths[i - 1] + widths[i]) / 2 + _LABEL_GAP
        pushed.append(max(wanted[i], least))
    back = min((pushed[-1] - wanted[-1]) / 2, max(wanted[0] - widths[0] / 2, 0.0))
    return [centre - back for centre in pushed]


def _spoken(per_side: Sequence[Plate], unit: Unit, on: Sequence[Plate], off: Sequence[Plate]) -> str:
    whole = (
        sentence_for("drawn-sleeve", {"plates": _masses(per_side, unit)})
        if per_side
        else word("drawing", "empty-bar")
    )
    changes = [
        sentence_for(code, {"plates": _masses(plates, unit)})
        for code, plates in (("drawn-take-off", off), ("drawn-put-on", on))
        if plates
    ]
    return "; ".join([whole, *changes])


def _masses(plates: Sequence[Plate], unit: Unit) -> str:
    return ", ".join(number(plain(plate.mass.value)) for plate in plates) + f" {unit}"
