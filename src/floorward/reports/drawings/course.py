"""The course of tolerance: load over weeks, what was done in ink, what is expected in chalk, and when the old load may be back."""

from dataclasses import dataclass
from itertools import islice

from floorward.language import unit_shown
from floorward.reports.drawings.days import DayScale, day_floor, today_line
from floorward.reports.drawings.loads import load_words, round_loads
from floorward.reports.drawings.map_scale import MapSet
from floorward.reports.drawings.room import Room, round_box, words_box
from floorward.reports.drawings.svg import Drawing, box, disc, line, path, picture, words
from floorward.reports.wording import sentence_for, word
from floorward.units import Unit

_RADIUS = 11.0

Estimate = tuple[float, float, float, float]
"""Day, low, most likely, high (loads)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadCourse:
    """Everything on one chart of the course.

    Attributes:
        past: the estimate on each day so far; low and high hold 9 in 10.
        ahead: the forecast from today on, in the same shape.
        sets: what was done at this set-up; the heaviest acceptable of a day and every unacceptable one are drawn.
        goal_load: what "back" means, such as 90 % of the old load; 0 for none.
        goal_days: first, most likely and last day of the range in which the goal is expected; None when it is not.
        goal_words: what stands under that range: "162 kg: 3 Dec – 2 Feb".
        reviews: (day, whether it was done).
        away: stretches of days without training, (first, last).
    """

    past: tuple[Estimate, ...] = ()
    ahead: tuple[Estimate, ...] = ()
    sets: tuple[MapSet, ...] = ()
    today: int = 0
    old_load: float = 0.0
    goal_load: float = 0.0
    goal_days: tuple[float, float, float] | None = None
    goal_words: str = ""
    reviews: tuple[tuple[int, bool], ...] = ()
    away: tuple[tuple[int, int], ...] = ()
    unit: Unit = Unit.KG


@dataclass(frozen=True, slots=True)
class _Paper:
    scale: DayScale
    width: float
    top: float
    most: float

    def y(self, load: float) -> float:
        """Up: the load, kept on the paper."""
        bottom = self.scale.floor_y - 4
        return bottom - (bottom - self.top) * min(max(load / self.most, 0.0), 1.0)

    def at(self, day: float, load: float) -> tuple[float, float]:
        """A day and a load as a point in the drawing."""
        return self.scale.x(day), self.y(load)


def load_course(course: LoadCourse, *, wide: bool) -> Drawing:
    """The chart in its wide version (820 × 430 px) or its phone version (358 × 360 px)."""
    width, height = (820.0, 430.0) if wide else (358.0, 360.0)
    goal = course.goal_days or ()
    last = max(
        [
            course.today,
            27,
            *(int(row[0]) for row in course.ahead),
            *(int(day) for day in goal),
            *(d for d, _ in course.reviews),
        ]
    )
    most = max(
        [20.0, course.old_load * 1.15, *(s.load * 1.1 for s in course.sets), *(row[3] for row in course.past)]
    )
    scale = DayScale(first=0, last=last, left=46.0, right=width - 16, floor_y=height - 40)
    paper, room = _Paper(scale, width, 30.0, most), Room()
    sets = _sets(course, paper, room)
    return picture(
        width,
        height,
        _said(course),
        *(_away(first, after, paper) for first, after in course.away),
        _loads(paper, course.unit),
        *(_review(day, paper, done=done) for day, done in course.reviews),
        day_floor(scale, width, word("drawing", "week")),
        _expected(course, paper),
        _old(course, paper, room),
        _goal(course, paper, room),
        _today(course, paper, room),
        sets,
        class_="course",
    )


def _loads(paper: _Paper, unit: Unit) -> str:
    drawn: list[str] = []
    for load, text in islice(round_loads(paper.most, unit, 38, paper.scale.floor_y - paper.top), 1, None):
        y = paper.y(load)
        drawn += [
            path(f"M{paper.scale.left:.1f} {y:.1f}H{paper.width:.1f}", "l-hair"),
            words(text, paper.scale.left - 8, y + 4.5, class_="t2 t-12", anchor="end"),
        ]
    return "".join(drawn) + words(
        unit_shown(unit), paper.scale.left - 8, paper.top - 12, class_="t2 t-12", anchor="end"
    )


def _away(first: int, last: int, paper: _Paper) -> str:
    x = paper.scale.x(first)
    return box(x, paper.top, paper.scale.x(last + 1) - x, paper.scale.floor_y - paper.top, "f-shade")


def _review(day: int, paper: _Paper, *, done: bool) -> str:
    """A tick or an open box over an upright line."""
    x = paper.scale.x(day)
    sign = path(f"M{x - 5:.1f} 12l4 5l7 -9", "l-mean") if done else box(x - 6, 5, 12, 12, "set-no w-2")
    return path(f"M{x:.1f} 24V{paper.scale.floor_y:.1f}", "l-dim d-day") + sign


def _expected(course: LoadCourse, paper: _Paper) -> str:
    """Wash and hatch between the band's ends, the most likely line through it; ahead: three broken lines."""
    drawn: list[str] = []
    if len(course.past) > 1:
        upper = [paper.at(row[0], row[3]) for row in course.past]
        lower = [paper.at(row[0], row[1]) for row in course.past]
        area = line([*upper, *lower[::-1]], closed=True)
        drawn += [path(area, "f-wash"), path(area, "f-hatch f-half")]
        drawn.append(path(line([paper.at(row[0], row[2]) for row in course.past]), "l-chalk"))
    if len(course.ahead) > 1:
        for i, class_ in ((1, "l-chalk w-1 d-dash"), (3, "l-chalk w-1 d-dash"), (2, "l-chalk d-ahead")):
            drawn.append(
                path(line([paper.at(row[0], row[i]) for row in course.ahead if row[i] <= paper.most]), class_)
            )
    return "".join(drawn)


def _old(course: LoadCourse, paper: _Paper, room: Room) -> str:
    if not course.old_load:
        return ""
    y, text = (
        paper.y(course.old_load),
        sentence_for("drawn-old-load", {"load": load_words(course.old_load, course.unit)}),
    )
    drawn = path(f"M{paper.scale.left:.1f} {y:.1f}H{paper.width:.1f}", "l-draw d-dash")
    room.taken.append(words_box(text, paper.width - 6, y - 7, 13, "end", bold=True))
    return drawn + words(text, paper.width - 6, y - 7, class_="tb halo", anchor="end")


def _goal(course: LoadCourse, paper: _Paper, room: Room) -> str:
    """When the goal is expected: a chalk line between two ends, an open ring at the most likely day."""
    if not course.goal_load or not course.goal_days:
        return ""
    y = paper.y(course.goal_load)
    first, likely, last = (paper.scale.x(day) for day in course.goal_days)
    ends = path(
        f"M{first:.1f} {y - 8:.1f}v16M{last:.1f} {y - 8:.1f}v16M{first:.1f} {y:.1f}H{last:.1f}", "l-chalk w-4"
    )
    drawn = ends + disc(likely, y, 6.0, "set-next")
    tries = (
        (x, y + dy, anchor)
        for dy in (25.0, 41.0, 57.0, -16.0)
        for x, anchor in (((first + last) / 2, "middle"), (paper.width - 6, "end"))
    )
    for x, at, anchor in tries:
        place = words_box(course.goal_words, x, at, 13, anchor, bold=True)
        if (
            course.goal_words
            and place.right <= paper.width
            and place.left > paper.scale.left
            and room.take(place)
        ):
            return drawn + words(course.goal_words, x, at, class_="tb tc halo", anchor=anchor)
    return drawn


def _today(course: LoadCourse, paper: _Paper, room: Room) -> str:
    if not course.past and not course.sets:
        return ""
    x, y, text = paper.scale.x(course.today), paper.scale.floor_y - 9, word("drawing", "today")
    sides = (("start", 6.0), ("end", -6.0))
    side = next((s for s in sides if room.take(words_box(text, x + s[1], y, 13, s[0], bold=True))), None)
    label = words(text, x + side[1], y, class_="tb halo", anchor=side[0]) if side else ""
    return today_line(paper.scale, course.today, paper.top) + label


def _sets(course: LoadCourse, paper: _Paper, room: Room) -> str:
    """Small marks, then those with a number: the last acceptable set, what was not acceptable, then newer before older."""
    best: dict[tuple[int, float], MapSet] = {}
    for done in sorted(course.sets, key=lambda s: s.load):
        best[done.day, 0.0 if done.acceptable else done.load] = done
    kept = sorted(best.values(), key=lambda s: s.day)
    last = next((s for s in reversed(kept) if s.acceptable), None)
    order = sorted(kept, key=lambda s: (s is not last, s.acceptable, -s.day))
    numbered = [s for s in order if room.take(round_box(*paper.at(s.day, s.load), _RADIUS))]
    return "".join(_small(s, paper) for s in kept if s not in numbered) + "".join(
        _set(s, paper) for s in numbered
    )


def _small(done: MapSet, paper: _Paper) -> str:
    x, y = paper.at(done.day, done.load)
    return disc(x, y, 4.0, "set-ok") if done.acceptable else box(x - 4, y - 4, 8, 8, "set-no w-2")


def _set(done: MapSet, paper: _Paper) -> str:
    x, y = paper.at(done.day, done.load)
    text = words(
        str(done.pain), x, y + 4.5, class_="on-ink tb t-12" if done.acceptable else "tb t-12", anchor="middle"
    )
    return (
        disc(x, y, _RADIUS, "set-ok") if done.acceptable else box(x - 10, y - 10, 20, 20, "set-no")
    ) + text


def _said(course: LoadCourse) -> str:
    parts = [sentence_for("drawn-course", {"days": course.today})]
    if course.past:
        first, now = course.past[0], course.past[-1]
        numbers = {
            "first": load_words(round(first[2]), course.unit),
            "low": load_words(round(now[1]), course.unit),
            "high": load_words(round(now[3]), course.unit),
            "unit": unit_shown(course.unit),
        }
        parts.append(sentence_for("drawn-course-now", numbers))
    if course.goal_words:
        parts.append(f"{course.goal_words}.")
    return " ".join(parts)
