"""The height–load map: load across, height up, what was done and what is expected, and the way back to the floor."""

from collections.abc import Iterable
from math import hypot

from floorward.language import unit_shown
from floorward.reports.drawings import map_ground
from floorward.reports.drawings.loads import load_words
from floorward.reports.drawings.map_scale import HeightLoadMap, MapSet, Scale, Spot, scale_of
from floorward.reports.drawings.room import Box, Room, round_box, words_box
from floorward.reports.drawings.svg import Drawing, box, disc, group, line, path, picture, words
from floorward.reports.wording import sentence_for, word


def height_load_map(chart: HeightLoadMap, *, wide: bool) -> Drawing:
    """The map in its wide version (800 × 452 px) or its phone version (358 × 400 px).

    The phone version shows fewer sets, never smaller numbers; `map_table` has them all.
    """
    scale, room = scale_of(chart, wide=wide), Room()
    shown = shown_sets(chart.sets, scale)
    taken = [mark.place for mark in shown] + ([scale.at(chart.old_load)] if chart.old_load else [])
    room.taken += [round_box(*place, scale.radius) for place in taken]
    marks = (
        map_ground.expected(chart, scale),
        map_ground.rows_and_scale(chart, scale),
        map_ground.level(chart, scale),
        _trace(shown),
        _ahead(chart, scale, room),
        _old_load(chart, scale, room),
        _today(shown, scale, room),
        "".join(_set(mark, scale) for mark in shown),
        _next_test(chart, scale, room),
    )
    return picture(
        scale.width,
        scale.height,
        _said(chart),
        *marks,
        map_ground.region_words(chart, scale, room),
        _chosen(chart, scale),
        class_="height-load",
    )


class Shown:
    """A set that is drawn, and where: an unacceptable one may stand above its true place, with a leader down to it."""

    __slots__ = ("done", "place", "true")

    def __init__(self, done: MapSet, true: Spot, place: Spot) -> None:
        self.done, self.true, self.place = done, true, place


def shown_sets(sets: Iterable[MapSet], scale: Scale) -> list[Shown]:
    """The sets that have a place without covering one another, in the order they were done.

    Of one day (one week on a phone) and height the heaviest acceptable set stands for the others; every unacceptable one is
    kept and moves up when its place is taken. Today's and the last set come first, then newer ones before older ones.
    """
    kept = _heaviest(list(sets), 1 if scale.wide else 7)
    order = sorted(range(len(kept)), key=lambda i: (not _is_latest(kept, i), kept[i].acceptable, -i))
    placed: dict[int, Shown] = {}
    for i in order:
        done = kept[i]
        true = scale.at((done.load, done.height_mm))
        place = true if done.acceptable else _dodged(true, placed, scale)
        if not done.acceptable or _is_free(place, placed, scale):
            placed[i] = Shown(done, true, place)
    return [placed[i] for i in sorted(placed)]


def _heaviest(sets: list[MapSet], days: int) -> list[MapSet]:
    best: dict[tuple[int, float, str], int] = {}
    for i, done in enumerate(sets):
        key = (done.day // days, done.height_mm, done.name)
        if done.acceptable and (key not in best or sets[best[key]].load <= done.load):
            best[key] = i
    return [done for i, done in enumerate(sets) if not done.acceptable or i in best.values()]


def _is_latest(sets: list[MapSet], i: int) -> bool:
    return sets[i].acceptable and (sets[i].today or not any(s.acceptable for s in sets[i + 1 :]))


def _is_free(place: Spot, placed: dict[int, Shown], scale: Scale) -> bool:
    return all(
        hypot(place[0] - o.place[0], place[1] - o.place[1]) >= 2 * scale.radius + 1 for o in placed.values()
    )


def _dodged(true: Spot, placed: dict[int, Shown], scale: Scale) -> Spot:
    place = true
    while not _is_free(place, placed, scale) and place[1] > scale.top:
        place = (place[0], place[1] - 2 * scale.radius - 3)
    return place


def _trace(shown: list[Shown]) -> str:
    """The way so far, through the acceptable sets."""
    way = [mark.true for mark in shown if mark.done.acceptable and not mark.done.name]
    leaders = (path(line((mark.place, mark.true)), "l-dim") for mark in shown if mark.place != mark.true)
    return (path(line(way), "l-draw w-2") if len(way) > 1 else "") + "".join(leaders)


def _set(mark: Shown, scale: Scale) -> str:
    (x, y), r = mark.place, scale.radius
    if mark.done.acceptable and mark.done.name:
        return disc(x, y, r, "set-beside") + words(
            str(mark.done.pain), x, y + 4.7, class_="tb", anchor="middle"
        )
    if mark.done.acceptable:
        return disc(x, y, r, "set-ok") + words(
            str(mark.done.pain), x, y + 4.7, class_="on-ink tb", anchor="middle"
        )
    square = box(x - r + 1, y - r + 1, 2 * r - 2, 2 * r - 2, "set-no")
    return square + words(str(mark.done.pain), x, y + 4.7, class_="tb", anchor="middle")


def _today(shown: list[Shown], scale: Scale, room: Room) -> str:
    """A second ring round today's sets; the word once, over the heaviest of them."""
    marks = [mark for mark in shown if mark.done.today]
    rings = "".join(
        disc(*mark.place, scale.radius + 4.5, "set-now") for mark in marks if mark.done.acceptable
    )
    if not marks:
        return ""
    x, y = max(marks, key=lambda mark: mark.done.load).place
    return rings + _named(word("drawing", "today"), x, y, scale, room)


def _named(text: str, x: float, y: float, scale: Scale, room: Room) -> str:
    """Words over a sign, else under it, else nowhere."""
    x = min(max(x, scale.left + 20), scale.right - 4)
    heights = (y - scale.radius - 9, y - scale.radius - 25, y + scale.radius + 18)
    anchors = ("middle", "end", "start")
    found = _first(
        room,
        (
            (words_box(text, x, at, 13, anchor, bold=True), (at, anchor))
            for at in heights
            for anchor in anchors
        ),
        scale,
    )
    return words(text, x, found[0], class_="tb halo", anchor=found[1]) if found else ""


def _is_on_paper(place: Box, scale: Scale) -> bool:
    return place.left >= 0 and place.right <= scale.width and place.bottom <= scale.floor_y


def _first(
    room: Room, tries: Iterable[tuple[Box, tuple[float, str]]], scale: Scale
) -> tuple[float, str] | None:
    return next((where for place, where in tries if _is_on_paper(place, scale) and room.take(place)), None)


def _ahead(chart: HeightLoadMap, scale: Scale, room: Room) -> str:
    """The way back: from the last set through small dashed rings to the old load."""
    last = next((s for s in reversed(chart.sets) if s.acceptable and not s.name), None)
    start = [scale.at((last.load, last.height_mm))] if last else []
    end = [scale.at(chart.old_load)] if chart.old_load else []
    way = [*start, *(scale.at(spot) for spot in chart.way_back), *end]
    if not chart.way_back or len(way) < 2:
        return ""
    shortened = [*way[:-1], _short_of(way[-2], way[-1], scale.radius + 4)] if end else way
    rings = (
        disc(x, y, 9.0, "set-ahead")
        for x, y in way[len(start) : len(way) - len(end)]
        if room.take(round_box(x, y, 9.0))
    )
    tip = "url(#tip)" if end else ""
    return path(line(shortened), "l-chalk d-ahead", marker_end=tip) + "".join(rings)


def _short_of(start: Spot, end: Spot, by: float) -> Spot:
    length = hypot(end[0] - start[0], end[1] - start[1])
    part = max(length - by, 0.0) / length if length else 0.0
    return start[0] + (end[0] - start[0]) * part, start[1] + (end[1] - start[1]) * part


def _old_load(chart: HeightLoadMap, scale: Scale, room: Room) -> str:
    if not chart.old_load:
        return ""
    x, y = scale.at(chart.old_load)
    plate = disc(x, y, scale.radius, "set-old") + disc(x, y, 3.0, "f-ink")
    return plate + _named(
        sentence_for("drawn-old-load", _in_words(chart.old_load[0], chart)), x, y, scale, room
    )


def _next_test(chart: HeightLoadMap, scale: Scale, room: Room) -> str:
    """An open ring with a question mark; it moves up when a set stands there, with a leader."""
    if not chart.next_test:
        return ""
    x, true_y = scale.at(chart.next_test)
    tries = [round_box(x, true_y - i * (2 * scale.radius + 3), scale.radius) for i in range(4)]
    found = room.first_free(tries) or tries[-1]
    y = (found.top + found.bottom) / 2
    leader = path(line(((x, y), (x, true_y))), "l-dim") if y != true_y else ""
    return (
        leader
        + disc(x, y, scale.radius - 1, "set-next")
        + words("?", x, y + 4.7, class_="tb tc", anchor="middle")
    )


def _chosen(chart: HeightLoadMap, scale: Scale) -> str:
    """The spot that a page moves: a ring with cross hairs, through which what stands there is still seen."""
    if not chart.chosen:
        return ""
    x, y = scale.at(chart.chosen)
    r = scale.radius + 5
    hairs = f"M{x - r - 8:.1f} {y:.1f}h12M{x + r - 4:.1f} {y:.1f}h12M{x:.1f} {y - r - 8:.1f}v12M{x:.1f} {y + r - 4:.1f}v12"
    return group(disc(x, y, r, "l-chalk w-3"), path(hairs, "l-chalk"), class_="map-choice")


def _said(chart: HeightLoadMap) -> str:
    """What the map shows, for ears; the table beside it has the rest."""
    parts = [sentence_for("drawn-map", {"sets": len(chart.sets)})]
    if chart.likely:
        parts.append(sentence_for("drawn-map-likely", _in_words(chart.likely[0][0], chart)))
    if chart.old_load:
        parts.append(sentence_for("drawn-map-old", _in_words(chart.old_load[0], chart)))
    return " ".join(parts)


def _in_words(load: float, chart: HeightLoadMap) -> dict[str, str]:
    return {"load": load_words(load, chart.unit), "unit": unit_shown(chart.unit)}
