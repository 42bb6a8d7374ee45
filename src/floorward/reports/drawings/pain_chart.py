"""The course of pain: each training day's before, worst and after as one small hill, the mornings as level dashes.

Worst is highest, no pain stands on the floor. The ceiling and the limit run between the scores, as on the pain pad: what is at
3 is under the ceiling of 3. No colour says good or bad.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from floorward.reports.drawings.days import DayScale, day_floor, today_line
from floorward.reports.drawings.pain_days import PainCourse, PainDay, pain_table, weekly
from floorward.reports.drawings.room import Box, Room, round_box, words_box
from floorward.reports.drawings.svg import Drawing, box, disc, line, path, picture, words
from floorward.reports.wording import sentence_for, word

__all__ = ["PainCourse", "PainDay", "pain_chart", "pain_table"]

_RADIUS = 11.0
_HILL_PX = 9.0
_LID_ROOM = 70.0
_LEAST_DAY_PX = 7.0
_MOST = 10
_LINE_PX = 15.0


@dataclass(frozen=True, slots=True)
class _Paper:
    scale: DayScale
    width: float
    top: float

    def y(self, score: float) -> float:
        """Up: the score; 0 stands on the floor."""
        bottom = self.scale.floor_y - _RADIUS - 3
        return bottom - (bottom - self.top) * score / _MOST

    def at(self, day: float, score: float) -> tuple[float, float]:
        """A day and a score as a point in the drawing."""
        return self.scale.x(day), self.y(score)


def pain_chart(course: PainCourse, *, wide: bool) -> Drawing:
    """The chart in its wide version (820 × 340 px) or its phone version (358 × 320 px)."""
    width, height = (820.0, 340.0) if wide else (358.0, 320.0)
    last = max([course.today, 13, *(day.day for day in course.days)])
    first = min([0, *(day.day for day in course.days)])
    scale = DayScale(first=first, last=last, left=46.0, right=width - _LID_ROOM, floor_y=height - 40)
    paper, room = _Paper(scale, width, 22.0), Room()
    shown = weekly(course.days) if scale.day_px < _LEAST_DAY_PX else course.days
    hills = _hills(shown, paper, room)
    lids = _lids(course, paper, room)
    if course.days:
        x = scale.x(course.today)
        room.taken.append(Box(x - 1, paper.top, x + 1, scale.floor_y))
    return picture(
        width,
        height,
        _said(course),
        _general(course, paper),
        _scores(paper),
        lids,
        day_floor(scale, width, word("drawing", "week")),
        today_line(scale, course.today, paper.top) if course.days else "",
        _mornings(shown, paper),
        hills,
        _names(shown, paper, room),
        _general_words(course, paper, room),
        class_="pain",
    )


def _scores(paper: _Paper) -> str:
    """Hair lines and figures of the scale."""
    marks = (
        path(f"M{paper.scale.left - 8:.1f} {paper.y(score):.1f}H{paper.width:.1f}", "l-hair")
        + words(str(score), paper.scale.left - 14, paper.y(score) + 4.5, class_="t2", anchor="end")
        for score in range(0, _MOST + 1, 2)
    )
    return "".join(marks)


def _lids(course: PainCourse, paper: _Paper, room: Room) -> str:
    """The ceiling with its ticks and the double line of the limit, each half a score above the highest it lets through.

    Their words stand at the right, where no day is.
    """
    left, right = paper.scale.left - 8, paper.width
    ceiling, limit = paper.y(course.ceiling + 0.5), paper.y(course.limit + 0.5)
    drawn = [
        box(left, ceiling - 7, right - left, 6, "f-ticks"),
        path(f"M{left:.1f} {ceiling:.1f}H{right:.1f}", "l-mean"),
        path(
            f"M{left:.1f} {limit - 2.5:.1f}H{right:.1f}M{left:.1f} {limit + 2.5:.1f}H{right:.1f}",
            "l-draw w-2",
        ),
    ]
    for code, score, y in (("drawn-ceiling", course.ceiling, ceiling), ("drawn-limit", course.limit, limit)):
        text = sentence_for(code, {"score": score})
        room.taken += [
            Box(left, y - 7, right, y + 3),
            words_box(text, right - 4, y - 10, 12, "end", bold=True),
        ]
        drawn.append(words(text, right - 4, y - 10, class_="tb t-12 halo", anchor="end"))
    return "".join(drawn)


def _hills(days: tuple[PainDay, ...], paper: _Paper, room: Room) -> str:
    """Lines, then small marks, then those with a number: the last day, what was not acceptable, then newer before older."""
    trained = [day for day in days if day.worst is not None]
    order = sorted(trained, key=lambda day: (day is not trained[-1], day.acceptable, -day.day))
    numbered = [day for day in order if room.take(round_box(*paper.at(day.day, day.worst or 0), _RADIUS))]
    lines = "".join(_hill(day, paper) for day in trained)
    small = "".join(_small(day, paper) for day in trained if day not in numbered)
    return lines + small + "".join(_worst(day, paper) for day in numbered)


def _names(days: tuple[PainDay, ...], paper: _Paper, room: Room) -> str:
    """What a disc and what a dash is, once each, at the newest of them."""
    worst = next((day for day in reversed(days) if day.worst is not None), None)
    morning = next((day for day in reversed(days) if day.morning is not None), None)
    return "".join(
        (
            _label(word("drawing", "worst"), *paper.at(worst.day, worst.worst or 0), paper, room)
            if worst
            else "",
            _label(word("drawing", "morning"), *paper.at(morning.day, morning.morning or 0), paper, room)
            if morning
            else "",
        )
    )


def _hill(day: PainDay, paper: _Paper) -> str:
    """Before, worst, after as one line; a side is left out when it was not asked."""
    x, y = paper.at(day.day, day.worst or 0)
    reach = min(_HILL_PX, paper.scale.day_px * 0.9)
    points = [(x, y)]
    if day.before is not None:
        points.insert(0, (x - reach, paper.y(day.before)))
    if day.after is not None:
        points.append((x + reach, paper.y(day.after)))
    return path(line(points), "l-draw") if len(points) > 1 else ""


def _worst(day: PainDay, paper: _Paper) -> str:
    """A disc or an open square with the score."""
    x, y = paper.at(day.day, day.worst or 0)
    if day.acceptable:
        return disc(x, y, _RADIUS, "set-ok") + words(
            str(day.worst), x, y + 4.5, class_="on-ink tb", anchor="middle"
        )
    return box(x - 10, y - 10, 20, 20, "set-no") + words(
        str(day.worst), x, y + 4.5, class_="tb", anchor="middle"
    )


def _small(day: PainDay, paper: _Paper) -> str:
    """The same without a number, where there is no room for one."""
    x, y = paper.at(day.day, day.worst or 0)
    return disc(x, y, 4.0, "set-ok") if day.acceptable else box(x - 4, y - 4, 8, 8, "set-no w-2")


def _mornings(days: tuple[PainDay, ...], paper: _Paper) -> str:
    """A level dash for each morning answered, joined by a thin line that breaks where an answer is missing."""
    answered = [day for day in days if day.morning is not None]
    if not answered:
        return ""
    apart = 7 if paper.scale.day_px < _LEAST_DAY_PX else 1
    half = min(5.0, paper.scale.day_px * 0.45 * apart)
    runs = (
        path(line([paper.at(d.day, d.morning or 0) for d in run]), "l-dim")
        for run in _runs(answered, apart)
        if len(run) > 1
    )
    dashes = (
        f"M{paper.scale.x(d.day) - half:.1f} {paper.y(d.morning or 0):.1f}h{2 * half:.1f}" for d in answered
    )
    return "".join(runs) + path("".join(dashes), "l-mean w-3")


def _runs(days: Iterable[PainDay], apart: int) -> list[list[PainDay]]:
    """Mornings in a row, split where more than `apart` days lie between two."""
    runs: list[list[PainDay]] = []
    for day in days:
        if runs and day.day - runs[-1][-1].day <= apart:
            runs[-1].append(day)
        else:
            runs.append([day])
    return runs


def _label(text: str, x: float, y: float, paper: _Paper, room: Room) -> str:
    """Words near a sign, where nothing stands."""
    for dy in (-17.0, 26.0, -32.0, 41.0):
        for anchor, dx in (("end", -4.0), ("middle", 0.0), ("start", 4.0)):
            place = words_box(text, x + dx, y + dy, 12, anchor)
            inside = (
                place.left > paper.scale.left
                and place.right < paper.width
                and place.bottom < paper.scale.floor_y
            )
            if inside and place.top > 0 and room.take(place):
                return words(text, x + dx, y + dy, class_="t-12 halo", anchor=anchor)
    return ""


def _general(course: PainCourse, paper: _Paper) -> str:
    on_paper = [row for row in course.general if paper.scale.first <= row[0] <= paper.scale.last]
    if len(on_paper) < 2:
        return ""
    upper = [paper.at(day, high) for day, _, high in on_paper]
    lower = [paper.at(day, low) for day, low, _ in on_paper]
    return path(line([*upper, *lower[::-1]], closed=True), "f-course")


def _general_words(course: PainCourse, paper: _Paper, room: Room) -> str:
    """Whose course the band is, inside it or above it: right of the line of today or left of it, never across it."""
    if not course.general or not course.general_who:
        return ""
    y, today = paper.y(course.general[0][2]), paper.scale.x(course.today)
    tries = (
        (lines, right, y + dy)
        for lines in ((course.general_who,), _halves(course.general_who))
        for dy in (-6.0, 10.0, 24.0, -22.0, -38.0, -54.0, -70.0)
        for right in (paper.width - 6, today - 6)
    )
    for lines, right, base in tries:
        place = _block(lines, right, base)
        if place.left > (today if right > today else paper.scale.left - 8) and room.take(place):
            return "".join(
                words(text, right, base - _LINE_PX * up, class_="t2 t-12 halo", anchor="end")
                for up, text in enumerate(reversed(lines))
            )
    return ""


def _halves(text: str) -> tuple[str, str]:
    """Words in two lines, broken at the space nearest to their middle."""
    spaces = [at for at, letter in enumerate(text) if letter == " "]
    middle = min(spaces, key=lambda at: abs(at - len(text) / 2), default=len(text))
    return text[:middle], text[middle + 1 :]


def _block(lines: Sequence[str], right: float, base: float) -> Box:
    """The place of lines that end at `right`, the last of them with its baseline at `base`."""
    places = [words_box(text, right, base, 12, "end") for text in lines]
    return Box(
        min(place.left for place in places),
        places[0].top - _LINE_PX * (len(lines) - 1),
        places[0].right,
        places[0].bottom,
    )


def _said(course: PainCourse) -> str:
    trained = [day for day in course.days if day.worst is not None]
    mornings = [day for day in course.days if day.morning is not None]
    numbers = {
        "trained": len(trained),
        "mornings": len(mornings),
        "ceiling": course.ceiling,
        "limit": course.limit,
    }
    parts = [sentence_for("drawn-pain", numbers)]
    if trained:
        parts.append(sentence_for("drawn-pain-last", {"day": trained[-1].day, "worst": trained[-1].worst}))
    return " ".join(parts)
