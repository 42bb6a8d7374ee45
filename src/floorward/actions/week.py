"""The week of a session planned whole: what each day trains, what it asks of the sore place, and what the week then keeps.

Nothing of it is stored but the first day, once the coach takes it; the later days are planned again on their own days, from what
was done until then.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from floorward.actions.build_request import Material, material_of
from floorward.actions.building import shut, wishes_of
from floorward.actions.built_page import Kept, kept_of
from floorward.core.builder import Plan
from floorward.core.builder import build as best_plan
from floorward.core.findings import Finding
from floorward.core.plan_reasons import plan_reasons
from floorward.core.reckoning import PlannedLine
from floorward.core.records import Region
from floorward.language import weight
from floorward.reports.plan_words import names_of, plan_sentence
from floorward.reports.wording import lift_name, sentence_for, word, words
from floorward.storage.models import Session
from floorward.tables import value

SUNDAY = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekLine:
    """A line of a day: what, how heavy, how much, how long."""

    name: str
    role: str
    load: str
    sets: int
    repetitions: int
    minutes: int


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekDay:
    """A day of the week.

    Attributes:
        trains: the muscles that it gives most, by hard sets.
        asked: by sore region, per cent of what a day may ask.
    """

    day: date
    lines: tuple[WeekLine, ...]
    minutes: int
    trains: tuple[tuple[str, float], ...]
    asked: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekPage:
    """A planned week; without days nothing was asked for yet.

    Attributes:
        open_days: days from the session's own to the end of the week, counted from it, with their dates.
        asked_of_week: by sore region, per cent of what the week may still ask.
    """

    session: Session
    shut: str | None
    open_days: tuple[tuple[int, date], ...]
    chosen: tuple[int, ...]
    minutes: int
    days: tuple[WeekDay, ...] = ()
    kept: tuple[Kept, ...] = ()
    asked_of_week: tuple[tuple[str, int], ...] = ()
    said: tuple[str, ...] = ()


def open_days(session: Session) -> tuple[tuple[int, date], ...]:
    """The days that may be planned: the session's own and those after it until Sunday."""
    left = range(SUNDAY - session.day.weekday() + 1)
    return tuple((count, session.day + timedelta(days=count)) for count in left)


def usual_days(session: Session) -> tuple[int, ...]:
    """Every other day from the session's own on, as many as the week has sessions left, and two at least."""
    wanted = max(min(wishes_of(session).sessions_left, int(value("builder", "week", "most"))), 2)
    apart = int(value("builder", "spacing", "days"))
    return tuple(count for count, _ in open_days(session) if count % apart == 0)[:wanted]


def blank_week(session: Session) -> WeekPage:
    """What can be asked for."""
    return WeekPage(
        session=session,
        shut=shut(session),
        open_days=open_days(session),
        chosen=usual_days(session),
        minutes=wishes_of(session).minutes,
    )


def week_of(session: Session, days: Sequence[int], minutes: int) -> WeekPage:
    """The best plan of those days, each of so many minutes."""
    wishes = wishes_of(session)
    wishes.minutes = minutes
    material = material_of(session, wishes, days)
    plan = best_plan(material.request)
    names = names_of(plan.request)
    return WeekPage(
        session=session,
        shut=shut(session),
        open_days=open_days(session),
        chosen=tuple(days),
        minutes=minutes,
        days=tuple(_day(plan, count, session.day + timedelta(days=count), names) for count in days),
        kept=tuple(kept_of(plan)),
        asked_of_week=tuple(_percents(plan.reckoning.asked_of_week)),
        said=(*_unreckoned(session, material), *_said(plan, session, names)),
    )


def _day(plan: Plan, count: int, day: date, names: Mapping[str, str]) -> WeekDay:
    lines = [line for line in plan.lines if line.day == count]
    return WeekDay(
        day=day,
        lines=tuple(_line(line, names) for line in lines),
        minutes=round(plan.reckoning.minutes[count]),
        trains=tuple(_trains(lines)),
        asked=tuple(_percents(plan.reckoning.asked[count])),
    )


def _line(line: PlannedLine, names: Mapping[str, str]) -> WeekLine:
    return WeekLine(
        name=names[line.key].capitalize(),
        role=str(line.choice.exercise.role),
        load=weight(line.choice.load.load, line.choice.exercise.unit),
        sets=line.sets,
        repetitions=line.choice.repetitions,
        minutes=round(line.minutes),
    )


def _trains(lines: Sequence[PlannedLine]) -> Iterator[tuple[str, float]]:
    """The muscles that a day gives a hard set's worth or more, most first."""
    total: dict[str, float] = {}
    for line in lines:
        for name, amount in line.credits.items():
            if not name.startswith("lift:"):
                total[name] = total.get(name, 0.0) + amount
    for name, amount in sorted(total.items(), key=lambda one: (-one[1], one[0])):
        if amount >= 1:
            yield words("muscle").get(name, name), round(amount, 1)


def _unreckoned(session: Session, material: Material) -> Iterator[str]:
    """That the sore lift is done on each day, where the builder knows nothing of it."""
    minutes = round(material.unreckoned.each_day)
    if minutes and session.episode is not None:
        lift = lift_name(session.episode.lift).capitalize()
        yield sentence_for("week-sore-beside", {"lift": lift, "minutes": minutes})


def _percents(shares: Mapping[Region, float]) -> Iterator[tuple[str, int]]:
    for region, share in shares.items():
        yield word("region", str(Region(region))), round(100 * share)


def _said(plan: Plan, session: Session, names: Mapping[str, str]) -> Iterator[str]:
    for one in plan_reasons(plan):
        sentence = plan_sentence(one, names)
        yield f"{_weekday(session, one)}: {sentence}" if "day" in one.numbers else sentence


def _weekday(session: Session, finding: Finding) -> str:
    day = session.day + timedelta(days=int(finding.numbers["day"]))
    return list(words("weekday").values())[day.weekday()]
