"""What a pain chart shows: the days with their scores, a long course summed by week, and the same numbers as a table."""

from dataclasses import dataclass, replace

from floorward.reports.drawings.svg import Drawing, clean, element
from floorward.reports.wording import word


@dataclass(frozen=True, slots=True, kw_only=True)
class PainDay:
    """What a day's answers were, 0 to 10; None where nothing was asked or answered.

    Attributes:
        day: days since the episode began.
        worst: the worst in any set of that day.
        after: within the hour after training.
        acceptable: whether every set was.
    """

    day: int
    morning: int | None = None
    before: int | None = None
    worst: int | None = None
    after: int | None = None
    acceptable: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class PainCourse:
    """Everything on one pain chart.

    Attributes:
        general: the usual course of this kind of pain, (day, low, high) on the same 0–10 scale; drawn as a grey band.
        general_who: whom that course is of, such as "people who saw a clinician, not lifters".
    """

    days: tuple[PainDay, ...] = ()
    today: int = 0
    ceiling: int = 3
    limit: int = 5
    general: tuple[tuple[float, float, float], ...] = ()
    general_who: str = ""


def weekly(days: tuple[PainDay, ...]) -> tuple[PainDay, ...]:
    """A long course for a narrow paper: of each week the middle morning, the worst acceptable day and every unacceptable one."""
    weeks: dict[int, list[PainDay]] = {}
    for day in days:
        weeks.setdefault(day.day // 7, []).append(day)
    return tuple(one for week, ofweek in sorted(weeks.items()) for one in _week(week, ofweek))


def _week(week: int, days: list[PainDay]) -> list[PainDay]:
    mornings = sorted(day.morning for day in days if day.morning is not None)
    trained = [day for day in days if day.worst is not None]
    worst = max((day for day in trained if day.acceptable), key=lambda day: day.worst or 0, default=None)
    kept = [
        replace(day, morning=None, before=None, after=None)
        for day in trained
        if day is worst or not day.acceptable
    ]
    if mornings:
        kept.append(PainDay(day=7 * week + 3, morning=mornings[len(mornings) // 2]))
    return sorted(kept, key=lambda day: day.day)


def pain_table(course: PainCourse) -> Drawing:
    """The same numbers as an HTML table, one row a day with any answer."""
    heads = (
        word("pain-table", code) for code in ("day", "morning", "before", "worst", "after", "acceptable")
    )
    rows = []
    for day in course.days:
        scores = (day.morning, day.before, day.worst, day.after)
        answer = word("map-table", "yes" if day.acceptable else "no") if day.worst is not None else "–"
        cells = [*("–" if score is None else str(score) for score in scores), answer]
        rows.append(
            element("tr", element("th", str(day.day), scope="row"), *(element("td", cell) for cell in cells))
        )
    head = element("thead", element("tr", *(element("th", clean(text), scope="col") for text in heads)))
    caption = element("caption", clean(word("pain-table", "caption")))
    return Drawing(
        element("table", caption, head, element("tbody", *rows), class_="map-numbers") if rows else ""
    )
