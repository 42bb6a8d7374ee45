"""The sets of one search along a line of loads that stands on the floor: right is toward the load that hurt.

Round: acceptable. Square: not. The number in each is the worst pain of the set. An open ring with "?" is the next test.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import ceil

from floorward.language import number, unit_shown
from floorward.reports.drawings.svg import Drawing, box, disc, path, picture, words
from floorward.reports.wording import sentence_for
from floorward.units import Mass, Unit, plain

WIDTH = 358.0
_EDGE = 18.0
_RADIUS = 11.0
_ROW = 25.0
_STEPS = (5, 10, 20, 25, 50, 100, 200)
_MOST_TICKS = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One set: its load and the worst pain in it; `label` stands above."""

    load: Decimal
    pain: int
    acceptable: bool
    label: str = ""


def sets_line(
    marks: Sequence[Mark], *, lightest: Decimal, next_load: Decimal | None = None, unit: Unit = Unit.KG
) -> Drawing:
    """The line of loads with every set done, in their order, and the next one.

    Args:
        marks: in `unit`; sets that would touch stand on one another, the earlier one below.
        lightest: the load at the left end; the line stays the same while a search goes on.
        next_load: of the test to do now; None when there is none.
        unit: of all loads; the scale is round in the unit that is thought in.
    """
    shown = [_as_read(load, unit) for load in (*(m.load for m in marks), next_load) if load is not None]
    low, step, ticks = _scale([_as_read(lightest, unit), *shown])
    span = float(step * (ticks - 1)) or 1.0

    def x_of(load: Decimal) -> float:
        return _EDGE + float(load - low) / span * (WIDTH - 2 * _EDGE)

    spots = _rows([x_of(load) for load in shown])
    labelled = 18.0 if any(mark.label for mark in marks) else 0.0
    floor = labelled + (max(row for _, row in spots) + 1) * _ROW + 4
    drawn = [
        _set(mark, x, floor - 3 - _ROW * row - _RADIUS) for mark, (x, row) in zip(marks, spots, strict=False)
    ]
    if next_load is not None:
        x, row = spots[-1]
        drawn.append(_next(x, floor - 3 - _ROW * row - _RADIUS))
    axis = [_tick(low + step * n, x_of(low + step * n), floor) for n in range(ticks)]
    label = _spoken(marks, next_load, unit)
    return picture(WIDTH, floor + 26, label, path(f"M0 {floor:g}H{WIDTH:g}", "l-floor"), *axis, *drawn)


def _as_read(load: Decimal, unit: Unit) -> Decimal:
    """A load in the unit of the scale: that which is thought in."""
    return Mass(load, unit).to(Unit(unit_shown(unit))).value


def _scale(loads: Sequence[Decimal]) -> tuple[Decimal, Decimal, int]:
    """The load at the left end, the step between ticks and how many ticks there are."""
    least, most = min(loads), max(loads)
    for size in _STEPS:
        step = Decimal(size)
        low = least // step * step
        ticks = ceil((most - low) / step) + 1
        if ticks <= _MOST_TICKS:
            return low, step, max(ticks, 2)
    step = Decimal(_STEPS[-1])
    return least // step * step, step, int((most - least) // step) + 2


def _rows(xs: Sequence[float]) -> list[tuple[float, int]]:
    """Each place with its row, 0 on the floor; the lowest where it touches none before it."""
    placed: list[tuple[float, int]] = []
    for x in xs:
        taken = {row for other, row in placed if abs(other - x) < 2 * _RADIUS + 2}
        placed.append((x, next(row for row in range(len(xs)) if row not in taken)))
    return placed


def _set(mark: Mark, x: float, y: float) -> str:
    if mark.acceptable:
        drawn = disc(x, y, _RADIUS, "set-ok")
    else:
        drawn = box(x - _RADIUS, y - _RADIUS, 2 * _RADIUS, 2 * _RADIUS, "set-no")
    ink = "on-ink tb" if mark.acceptable else "tb"
    label = words(mark.label, x, y - 16, class_="t2 t-12", anchor="end") if mark.label else ""
    return drawn + words(str(mark.pain), x, y + 4.5, class_=ink, anchor="middle") + label


def _next(x: float, y: float) -> str:
    return disc(x, y, _RADIUS, "set-next") + words("?", x, y + 4.5, class_="tb tc", anchor="middle")


def _tick(load: Decimal, x: float, floor: float) -> str:
    return path(f"M{x:.1f} {floor + 2:g}v6", "l-dim") + words(
        number(plain(load)), x, floor + 22, class_="t2 t-12", anchor="middle"
    )


def _spoken(marks: Sequence[Mark], next_load: Decimal | None, unit: Unit) -> str:
    said = [
        sentence_for(
            "drawn-set" if m.acceptable else "drawn-set-not",
            {"load": plain(m.load), "unit": unit, "pain": m.pain},
        )
        for m in marks
    ]
    if next_load is not None:
        said.append(sentence_for("drawn-next-test", {"load": plain(next_load), "unit": unit}))
    return "; ".join(said)
