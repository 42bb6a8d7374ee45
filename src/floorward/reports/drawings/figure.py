"""The start position: one lifter's own links, bar, plates and blocks on one scale, with the level arm that demand is made of.

Body, then blocks, plate, hand, bar end, level arm. Two figures share one floor and one staff.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from floorward import tables
from floorward.core.records import STANDARD_PLATE_MM
from floorward.language import height
from floorward.reports.drawings import silhouette
from floorward.reports.drawings.staff import TICKS_PX, floor, staff
from floorward.reports.drawings.svg import Drawing, box, disc, number, path, picture, text_width_px, words
from floorward.reports.wording import sentence_for, word

Point = tuple[float, float]

WIDE_PX_PER_M = 250.0
PHONE_PX_PER_M = 148.0
_MARGIN = 16.0
_BELOW = 54.0
_STAFF_ROOM = 56.0
_STAFF_TOP_CM = 70
_BLOCK_M = 0.345


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingFigure:
    """A lifter at one instant of a lift, seen from their right.

    Attributes:
        joints: `ankle, knee, hip, l5s1, shoulder, hand` as (forward, above the platform) in metres; `elbow` and `head`
            (its centre) if known. Where forward is counted from does not matter.
        bar_x_m, bar_y_m: the sleeves' axis, above the platform; what hangs on the hands or lies on the back.
        plate_diameter_mm: of the largest plate; 0 when there is none.
        blocks_mm: thickness of what the plates stand on.
        handle_mm: how far the handles are above the sleeves' axis (a trap bar), else 0.
        on_back: the bar lies on the back; the hands only hold it there.
        label: a few words under the figure, such as "Floor, 110 kg".
        said: what the drawing shows, in a sentence for ears; made from the numbers when empty.
        moves: the drawing is one of several along a slider: it has the same parts with blocks and without.
    """

    joints: Mapping[str, Point]
    bar_x_m: float
    bar_y_m: float
    plate_diameter_mm: float = STANDARD_PLATE_MM
    blocks_mm: float = 0.0
    handle_mm: float = 0.0
    on_back: bool = False
    label: str = ""
    said: str = ""
    moves: bool = False

    @property
    def arm_m(self) -> float:
        """The level arm: from L5/S1 to the bar's plumb line, forward positive."""
        return self.bar_x_m - self.joints["l5s1"][0]

    @property
    def level_m(self) -> float:
        """The height that the chalk line marks: the grip, or the bar on the back."""
        return self.bar_y_m + self.handle_mm / 1000


def start_figure(
    figure: StandingFigure,
    *,
    px_per_m: float = WIDE_PX_PER_M,
    size: tuple[float, float] | None = None,
    map_level_px: float | None = None,
) -> Drawing:
    """One figure with a staff on its right and the chalk line at the bar's height.

    Args:
        figure: who stands how.
        px_per_m: the one scale of the drawing.
        size: width and height to fill (px); the figure's own when not given.
        map_level_px: where the chalk line of a map on the left arrives, in px above the floor; the line bends from there.
    """
    left_m, right_m, top_m = extent(figure)
    own = (
        max((right_m - left_m) * px_per_m, label_px(figure)) + 2 * _MARGIN + _STAFF_ROOM,
        top_m * px_per_m + _MARGIN + _BELOW,
    )
    width, height = size or own
    floor_y = height - _BELOW + 2
    x0 = (width - _STAFF_ROOM - (right_m + left_m) * px_per_m) / 2
    staff_x = width - 22
    level_y = floor_y - figure.level_m * px_per_m
    bend = "" if map_level_px is None else f"M0 {floor_y - map_level_px:.1f}L44 {level_y:.1f}"
    level = path(
        f"{bend or f'M{x0 + figure.bar_x_m * px_per_m:.1f} {level_y:.1f}'}H{staff_x + 10:.1f}", "l-level"
    )
    return picture(
        width,
        height,
        spoken(figure),
        floor(0, floor_y, width),
        staff(staff_x, floor_y, px_per_m, staff_top(figure), level),
        drawn(figure, x0, floor_y, px_per_m),
        named(figure, (width - _STAFF_ROOM) / 2, floor_y, (right_m - left_m) * px_per_m),
        class_="start",
    )


def two_figures(
    a: StandingFigure, b: StandingFigure, *, px_per_m: float = WIDE_PX_PER_M, most_px: float | None = None
) -> Drawing:
    """Two figures on one floor with one staff between them, to be compared.

    `most_px` is the greatest width; the scale is made smaller to keep it, the words are not.
    """
    extents = [extent(figure) for figure in (a, b)]
    spans_m = [right - left for left, right, _ in extents]
    between = _STAFF_ROOM + 30
    if most_px:
        px_per_m = min(px_per_m, (most_px - between - 2 * _MARGIN) / sum(spans_m))
    widths = [
        max(span * px_per_m, label_px(f, span * px_per_m)) for span, f in zip(spans_m, (a, b), strict=True)
    ]
    middles = [_MARGIN + widths[0] / 2, _MARGIN + widths[0] + between + widths[1] / 2]
    starts = [m - (left + right) / 2 * px_per_m for m, (left, right, _) in zip(middles, extents, strict=True)]
    floor_y = max(top for _, _, top in extents) * px_per_m + _MARGIN
    staff_x = _MARGIN + widths[0] + _STAFF_ROOM - 10
    placed = list(zip((a, b), starts, middles, spans_m, strict=True))
    return picture(
        sum(widths) + between + 2 * _MARGIN,
        floor_y + _BELOW - 2,
        "; ".join(spoken(f) for f in (a, b)),
        floor(0, floor_y, sum(widths) + between + 2 * _MARGIN),
        staff(
            staff_x,
            floor_y,
            px_per_m,
            max(staff_top(a), staff_top(b)),
            *(_level_to(f, x0, staff_x, floor_y, px_per_m) for f, x0, _, _ in placed),
        ),
        *(drawn(f, x0, floor_y, px_per_m) for f, x0, _, _ in placed),
        *(named(f, middle, floor_y, span * px_per_m) for f, _, middle, span in placed),
        class_="start",
    )


def _level_to(figure: StandingFigure, x0: float, staff_x: float, floor_y: float, px_per_m: float) -> str:
    y = floor_y - figure.level_m * px_per_m
    return path(f"M{x0 + figure.bar_x_m * px_per_m:.1f} {y:.1f}H{staff_x:.1f}", "l-level")


def drawn(figure: StandingFigure, x0: float, floor_y: float, px_per_m: float) -> str:
    """Everything of one figure, its ankle `x0` px from the drawing's left when forward is counted from the ankle."""
    joints = {name: (x0 + x * px_per_m, floor_y - y * px_per_m) for name, (x, y) in figure.joints.items()}
    bar = (x0 + figure.bar_x_m * px_per_m, floor_y - figure.bar_y_m * px_per_m)
    joints["floor"] = (0.0, floor_y)
    return "".join(
        (
            silhouette.outline(joints, px_per_m),
            _stick(joints),
            _blocks(figure, bar, floor_y, px_per_m),
            _iron(figure, bar, joints["hand"], px_per_m),
            _level_arm(figure, joints["l5s1"], bar[0], joints["hand"][1] if not figure.on_back else bar[1]),
        )
    )


def _stick(joints: Mapping[str, Point]) -> str:
    names = ("ankle", "knee", "hip", "shoulder", *(("elbow",) if "elbow" in joints else ()), "hand")
    line = "L".join(f"{number(joints[name][0])} {number(joints[name][1])}" for name in names)
    shown = (disc(*joints[name], 4.0, "joint") for name in names if name not in {"hand", "elbow"})
    return path("M" + line, "l-draw w-2") + "".join(shown)


def _blocks(figure: StandingFigure, bar: Point, floor_y: float, px_per_m: float) -> str:
    high, wide = figure.blocks_mm / 1000 * px_per_m, _BLOCK_M * px_per_m
    if not high and not figure.moves:
        return ""
    left, middle, veined = bar[0] - wide / 2, floor_y - high / 2, wide if high else 0.0
    grain = (
        f"M{left + wide * 0.15:.1f} {middle:.1f}h{veined * 0.24:.1f}m{wide * 0.09:.1f} 0h{veined * 0.32:.1f}"
    )
    return box(left, floor_y - high, wide, high, "f-wood") + path(grain, "l-wood")


def _iron(figure: StandingFigure, bar: Point, hand: Point, px_per_m: float) -> str:
    """Plate seen through, hand, bar end; a trap bar's frame between sleeve and handle."""
    r = figure.plate_diameter_mm / 2000 * px_per_m
    plate = (
        disc(*bar, r, "f-through") + disc(*bar, r * 0.86, "l-draw w-1") + disc(*bar, r * 0.31, "l-draw w-1")
    )
    rise, half = figure.handle_mm / 1000 * px_per_m, 0.09 * px_per_m
    frame = f"M{bar[0] - half:.1f} {bar[1]:.1f}V{bar[1] - rise:.1f}H{bar[0] + half:.1f}V{bar[1]:.1f}Z"
    fist = tables.value("silhouettes", "arm")[3] * px_per_m
    return "".join(
        (
            plate if r else "",
            path(frame, "f-frame") if rise else "",
            disc(*hand, fist, "f-body"),
            disc(*bar, 0.025 * px_per_m, "f-ink"),
        )
    )


def _level_arm(figure: StandingFigure, l5s1: Point, plumb_x: float, load_y: float) -> str:
    """From L5/S1 level to the plumb line of the load, with its length."""
    x, y = l5s1
    text = height(Decimal(round(abs(figure.arm_m) * 100)) * 10)
    need, across = text_width_px(text) + 12, abs(plumb_x - x)
    where = ((x + plumb_x) / 2, "middle") if across >= need else (max(x, plumb_x) + 10, "start")
    return "".join(
        (
            path(f"M{plumb_x:.1f} {load_y:.1f}V{y - 8:.1f}", "l-dim d-dash"),
            path(f"M{x:.1f} {y:.1f}H{plumb_x:.1f}M{plumb_x - 4:.1f} {y + 4:.1f}l8 -8", "l-draw"),
            disc(x, y, 8.0, "joint-main"),
            disc(x, y, 3.0, "f-ink"),
            words(text, where[0], y - 7 if across >= need else y + 4.5, class_="halo", anchor=where[1]),
        )
    )


def named(figure: StandingFigure, x: float, floor_y: float, room_px: float) -> str:
    """The words under a figure, on two lines at their first comma when one is too wide."""
    first = floor_y + TICKS_PX + 19
    lines = _lines(figure.label, room_px)
    return "".join(
        words(line, x, first + 16 * i, class_="tb", anchor="middle") for i, line in enumerate(lines) if line
    )


def _lines(label: str, room_px: float) -> list[str]:
    return label.split(", ", 1) if text_width_px(label, bold=True) > room_px else [label]


def label_px(figure: StandingFigure, room_px: float = 0.0) -> float:
    """How wide the words under a figure are, on two lines where they are wider than the room."""
    return max(text_width_px(line, bold=True) for line in _lines(figure.label, room_px))


def staff_top(figure: StandingFigure) -> int:
    """How high the staff must be to show the grip [cm]."""
    return max(_STAFF_TOP_CM, 10 * int(figure.level_m * 10 + 1.5))


def extent(figure: StandingFigure) -> tuple[float, float, float]:
    """Left, right and top of body, plate and block, in metres."""
    xs = [x for x, _ in figure.joints.values()]
    ys = [y for _, y in figure.joints.values()]
    r = figure.plate_diameter_mm / 2000
    ankle, shoulder = figure.joints["ankle"], figure.joints["shoulder"]
    left = min(*(x - 0.16 for x in xs), figure.bar_x_m - r, figure.bar_x_m - _BLOCK_M / 2)
    right = max(*(x + 0.06 for x in xs), figure.bar_x_m + r, ankle[0] + 0.21, shoulder[0] + 0.30)
    return left, right, max(*ys, shoulder[1] + 0.36, figure.bar_y_m + r)


def spoken(figure: StandingFigure) -> str:
    """What the figure shows, for ears: its own sentence, or the height, the wood under the plates, the level arm and the doubt, in one sentence after the label."""
    if figure.said:
        return figure.said
    numbers = {
        "height": f"{figure.level_m * 100:.1f}",
        "blocks": f"{figure.blocks_mm / 10:g}",
        "arm": round(abs(figure.arm_m) * 100),
        "where": word("drawing", "hands" if figure.handle_mm and not figure.on_back else "bar"),
        "side": word("drawing", "in-front" if figure.arm_m >= 0 else "behind"),
    }
    said = sentence_for("drawn-figure-blocks" if figure.blocks_mm else "drawn-figure", numbers)
    return f"{figure.label}: {said}" if figure.label else said
