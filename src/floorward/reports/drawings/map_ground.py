"""What the signs of a height–load map stand on: regions, lines of one demand, rows, staff, floor and the words between."""

from itertools import pairwise

from floorward.language import block, number, unit_shown
from floorward.reports.drawings.loads import round_loads
from floorward.reports.drawings.map_scale import HeightLoadMap, Scale, Spot
from floorward.reports.drawings.room import Box, Room, rows, words_box
from floorward.reports.drawings.staff import floor
from floorward.reports.drawings.svg import box, disc, group, line, path, words
from floorward.reports.wording import sentence_for, word


def expected(chart: HeightLoadMap, scale: Scale) -> str:
    """The wash that should be acceptable, the hatch that is not sure, the most likely border, lines of one demand."""
    if not chart.sure or not chart.unlikely:
        return _same_demand(chart, scale)
    sure, unlikely = _border(chart.sure, scale), _border(chart.unlikely, scale)
    left = [(scale.left, sure[-1][1]), (scale.left, scale.floor_y)]
    wash = path(line([*sure, *left], closed=True), "f-wash")
    hatch = path(line([*sure, *unlikely[::-1]], closed=True), "f-hatch")
    likely = path(line(_border(chart.likely, scale)), "l-chalk") if chart.likely else ""
    return wash + hatch + likely + _same_demand(chart, scale)


def rows_and_scale(chart: HeightLoadMap, scale: Scale) -> str:
    """Height rows with their staff, the load scale under the floor."""
    return "".join(
        (_rows(chart, scale), _staff(scale), floor(0, scale.floor_y, scale.width), _loads(chart, scale))
    )


def level(chart: HeightLoadMap, scale: Scale) -> str:
    """The chalk line at the chosen height, from its ring on the staff to the right edge."""
    if chart.level_mm is None:
        return ""
    y = scale.y(chart.level_mm)
    ring = disc(scale.staff_x, y, 13.0, "set-next") + disc(scale.staff_x, y, 3.0, "f-chalk")
    return group(
        path(f"M{scale.staff_x + 16:.1f} {y:.1f}H{scale.width:.1f}", "l-level"), ring, class_="map-level"
    )


def region_words(chart: HeightLoadMap, scale: Scale, room: Room) -> str:
    """The words that stand in the regions instead of a legend, each where it has room; left out where it has none."""
    if not chart.sure or not chart.unlikely:
        return ""
    sure, unlikely = _border(chart.sure, scale), _border(chart.unlikely, scale)
    if chart.level_mm is not None:
        y = scale.y(chart.level_mm)
        room.taken.append(Box(scale.left, y - 3, scale.width, y + 3))
    return "".join(
        (
            _inside(word("drawing", "should-be-acceptable"), "tc tb t-15 halo-wash", scale, room, None, sure),
            _inside(
                word("drawing", "not-sure"), "tc tb t-14 halo", scale, room, sure, unlikely, strict=False
            ),
            _inside(word("drawing", "too-much"), "t2 t-14 halo", scale, room, unlikely, None),
        )
    )


def _inside(
    text: str,
    class_: str,
    scale: Scale,
    room: Room,
    left: list[Spot] | None,
    right: list[Spot] | None,
    *,
    strict: bool = True,
) -> str:
    """Words in the middle of a region, on the highest row where they fit and nothing stands; without `strict` they may reach out."""
    size = 15 if "t-15" in class_ else 14
    for y in rows(scale.top + 22, scale.bottom - 24, 6):
        low, high = (_x_at(left, y) if left else scale.left), (_x_at(right, y) if right else scale.right)
        place = words_box(text, (low + high) / 2, y, size, bold="tb" in class_)
        fits = place.left >= low + 4 and place.right <= high - 4
        if (fits or not strict) and place.right <= scale.width and room.take(place):
            return words(text, (low + high) / 2, y, class_=class_, anchor="middle")
    return ""


def _x_at(border: list[Spot], y: float) -> float:
    """Where a border is at a height of the drawing."""
    for (x1, y1), (x2, y2) in pairwise(border):
        if min(y1, y2) <= y <= max(y1, y2) and y1 != y2:
            return x1 + (x2 - x1) * (y - y1) / (y2 - y1)
    return border[-1][0]


def _border(spots: tuple[Spot, ...], scale: Scale) -> list[Spot]:
    """A border from the floor line to the top of the map, in drawing units."""
    on_map = [spot for spot in spots if scale.floor_mm <= spot[1] <= scale.top_mm] or [spots[0]]
    points = [scale.at(spot) for spot in on_map]
    return [(points[0][0], scale.floor_y), *points, (points[-1][0], min(points[-1][1], scale.top))]


def _same_demand(chart: HeightLoadMap, scale: Scale) -> str:
    """Dotted lines of one demand, their loads from the floor written over the map; without its load a line says nothing."""
    drawn: list[str] = []
    room = Room()
    title = word("drawing", "same-demand")
    for label, spots in chart.same_demand:
        on_map = [spot for spot in spots if spot[1] <= scale.top_mm]
        if len(on_map) < 2 or on_map[-1][0] >= scale.most_load:
            continue
        points = _border(tuple(spot for spot in on_map if spot[0] < scale.most_load), scale)
        x, _ = points[-1]
        if room.take(words_box(label, x, scale.top - 9, 12)):
            drawn.append(path(line(points), "l-dim d-dots"))
            drawn.append(words(label, x, scale.top - 9, class_="t2 t-12", anchor="middle"))
    if drawn:
        beside = room.take(words_box(title, scale.left, scale.top - 9, 12, "start"))
        drawn.append(words(title, scale.left, scale.top - (9 if beside else 26), class_="t2 t-12"))
    return "".join(drawn)


def _rows(chart: HeightLoadMap, scale: Scale) -> str:
    """A hair line each 10 cm or 4 in, a dotted one between, the unit over the staff."""
    step_mm, _, unit = block()
    drawn: list[str] = []
    count = _blocks(scale)
    top = scale.y(scale.floor_mm + step_mm * count)
    drawn.append(words(unit, scale.staff_x, top - 6, class_="t2", anchor="middle"))
    for i in range(count + 1):
        y = scale.y(scale.floor_mm + step_mm * i)
        drawn.append(
            path(f"M{scale.left:.1f} {y:.1f}H{scale.right:.1f}", "l-hair d-fine" if i % 2 else "l-hair")
        )
        if not i % 2:
            drawn.append(words(_row_name(chart, i), scale.staff_x - 18, y + 4.5, class_="tb", anchor="end"))
    return "".join(drawn)


def _row_name(chart: HeightLoadMap, row: int) -> str:
    step_mm, step_shown, _ = block()
    if chart.as_measured:
        return number(f"{round(chart.floor_mm / step_mm * step_shown + step_shown * row, 1):g}")
    return f"+{step_shown * row}" if row else chart.floor_name or word("drawing", "floor")


def _blocks(scale: Scale) -> int:
    """How many blocks of the staff stand on the map; a top in inches is no round number of millimetres."""
    step_mm, _, _ = block()
    return int((scale.top_mm - scale.floor_mm) / step_mm + 1e-6)


def _staff(scale: Scale) -> str:
    """Blocks of 5 cm or 2 in from the row of full range up."""
    step_mm, _, _ = block()
    count = _blocks(scale)
    edges = [scale.y(scale.floor_mm + step_mm * i) for i in range(count + 1)]
    blocks = (
        box(scale.staff_x - 5, upper, 10, lower - upper, "f-sheet" if i % 2 else "f-ink")
        for i, (lower, upper) in enumerate(pairwise(edges))
    )
    return "".join(blocks) + box(scale.staff_x - 5, edges[-1], 10, edges[0] - edges[-1], "l-draw w-1")


def _loads(chart: HeightLoadMap, scale: Scale) -> str:
    least_px = 46 if scale.wide else 44
    drawn: list[str] = []
    for load, text in round_loads(scale.most_load, chart.unit, least_px, scale.right - scale.left):
        x = scale.x(load)
        named = text if load else sentence_for("drawn-no-load", {"unit": unit_shown(chart.unit)})
        drawn += [
            path(f"M{x:.1f} {scale.floor_y + 4:.1f}v7", "l-dim"),
            words(named, x, scale.floor_y + 29, class_="t2", anchor="middle"),
        ]
    return "".join(drawn)
