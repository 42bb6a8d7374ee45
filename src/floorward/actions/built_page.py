"""The page of a built session: every line with its reasons and numbers, what the week keeps, what gave way and what was left out.

Lines are weighed as they stand, so that a change by hand is seen at once; what needs the builder is shown only for the plan it built.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from floorward.actions.build_request import Material, material_of, nothing_yet
from floorward.actions.building import said_of, shut, snapshot, wishes_of
from floorward.actions.line_sets import LineView, line_view
from floorward.actions.plate_order import as_ordered
from floorward.actions.rigging import stock_of
from floorward.actions.unreckoned import key_of_line
from floorward.core.builder import Plan, weighed
from floorward.core.choices import choices_of, pinned_choices
from floorward.core.exercises import Exercise
from floorward.core.findings import Finding
from floorward.core.line_choice import rest_seconds
from floorward.core.loadable import next_above, next_below
from floorward.core.plan_reasons import line_reasons
from floorward.core.reckoning import PlannedLine
from floorward.core.records import Region
from floorward.core.session_request import Pin
from floorward.core.worth import Aim
from floorward.language import clock
from floorward.maths.integer_programme import Status
from floorward.reports.plan_words import names_of, plan_sentence
from floorward.reports.wording import lift_name, word, words
from floorward.storage.models import Build, Line, Session

LIFT = "lift:"


@dataclass(frozen=True, slots=True, kw_only=True)
class BuiltLine:
    """A line with why it is there.

    Attributes:
        reasons: sentences; empty for a line that the builder knows nothing of.
        rest: minutes and seconds between two sets; empty where it is part of the set.
        lighter, heavier: the loads next to it that may be planned.
    """

    view: LineView
    key: str
    name: str
    reasons: tuple[str, ...]
    pinned: bool
    known: bool
    minutes: int
    rest: str
    lighter: Decimal | None
    heavier: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """Something to choose, with what it is called, and why where there is a reason."""

    key: str
    name: str
    why: str = ""
    chosen: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """What the week has kept of the usual one once this session is done, in per cent."""

    name: str
    percent: int
    is_lift: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BuiltPage:
    """A built session.

    Attributes:
        built: whether it was ever built; else only the wishes are shown.
        as_built: whether the lines are those that the builder put together.
        said: about the whole, what gave way among it; `other` the best line that was left out.
        asked: share of the day's allowance by sore region, in per cent.
        by_pain: whether mechanics say nothing of the sore lift or region, and that may be told.
    """

    session: Session
    wishes: Build
    built: bool
    as_built: bool
    shut: str | None
    lines: tuple[BuiltLine, ...]
    said: tuple[str, ...]
    gave_way: tuple[str, ...]
    other: str
    left_out: tuple[Named, ...]
    banned: tuple[Named, ...]
    lost_pins: tuple[Named, ...]
    bars: tuple[Named, ...]
    aims: tuple[Named, ...]
    kept: tuple[Kept, ...]
    asked: tuple[tuple[str, int], ...]
    worth: float
    minutes: int
    by_pain: bool = False


def built_page(session: Session) -> BuiltPage:
    """Everything on the page."""
    wishes = wishes_of(session)
    # before anything is built the page only asks what to build from; gathering that is left to the press
    material = material_of(session, wishes) if wishes.version else nothing_yet(session, wishes)
    names = {**names_of(material.request)}
    stock, sets = stock_of(session.lifter.gym), list(session.done_sets.filter(undone_at=None))
    rows = list(session.lines.select_related("bar", "collar", "session__lifter__gym", "session__episode"))
    views = as_ordered([line_view(row, sets, stock) for row in rows], stock)
    planned = _planned(rows, material)
    plan = _plan_of(material, tuple(planned.values()))
    pinned = {row["exercise"] for row in wishes.pins}
    as_built = wishes.version > 0 and wishes.as_built == snapshot(session)
    said = said_of(wishes) if as_built else ()
    present = {key_of_line(row) for row in rows}
    return BuiltPage(
        session=session,
        wishes=wishes,
        built=wishes.version > 0,
        as_built=as_built,
        shut=shut(session),
        lines=tuple(_line(view, planned.get(view.line.pk), plan, names, pinned) for view in views),
        said=tuple(_sentences(said, names, "plan-")),
        gave_way=tuple(_sentences(said, names, "gives-way-", "instead-")),
        other=next(_sentences(said, names, "left-worth-less", "left-fewer-sets"), ""),
        left_out=tuple(_left_out(said, names)),
        banned=tuple(_named(key, names) for key in wishes.bans),
        lost_pins=tuple(_named(key, names) for key in sorted(pinned - present)),
        bars=tuple(
            Named(key=bar.name, name=bar.name, chosen=bar.name in wishes.busy)
            for bar in session.lifter.gym.bars.all()
        ),
        aims=tuple(
            Named(key=str(one), name=word("aim", str(one)), chosen=one is material.request.aim) for one in Aim
        ),
        kept=tuple(kept_of(plan)),
        asked=tuple(_asked(plan)),
        worth=round(plan.reckoning.worth, 1),
        by_pain=material.by_pain,
        minutes=round(plan.reckoning.minutes[0]) if rows else 0,
    )


def _planned(rows: Sequence[Line], material: Material) -> dict[int, PlannedLine]:
    """Each line as the builder reads it, by its number; none of those that it knows nothing of or a rule forbids."""
    choices, _ = choices_of(material.request)
    pinned = {pin.exercise for pin in material.request.pins}
    found = {}
    for row in rows:
        wanted = Pin(
            exercise=key_of_line(row), day=0, load=row.load.normalize(), repetitions=row.reps, sets=row.sets
        )
        fitting = pinned_choices(wanted, material.request, choices)
        if fitting:
            choice = replace(fitting[-1], pinned=wanted.exercise in pinned)
            found[row.pk] = PlannedLine(day=0, choice=choice, sets=row.sets)
    return found


def _plan_of(material: Material, lines: tuple[PlannedLine, ...]) -> Plan:
    reckoning = weighed(material.request, lines)
    return Plan(
        request=material.request,
        lines=lines,
        reckoning=reckoning,
        status=Status.WITHIN_GAP,
        best_possible=reckoning.worth,
    )


def _line(
    view: LineView,
    planned: PlannedLine | None,
    plan: Plan,
    names: Mapping[str, str],
    pinned: set[str],
) -> BuiltLine:
    key = key_of_line(view.line)
    reasons = line_reasons(plan, planned) if planned else ()
    exercise = planned.choice.exercise if planned else None
    lighter, heavier = _beside(exercise, view.line.load) if exercise else (None, None)
    return BuiltLine(
        view=view,
        key=key,
        name=names.get(key, lift_name(view.line.lift)).capitalize(),
        reasons=tuple(plan_sentence(one, names) for one in reasons),
        pinned=key in pinned,
        known=plan.request.exercise(key) is not None,
        minutes=round(planned.minutes) if planned else 0,
        rest=_rest(planned) if planned else "",
        lighter=lighter,
        heavier=heavier,
    )


def _rest(planned: PlannedLine) -> str:
    """Between two sets; empty where the rest is part of the set, as in blocks of conditioning."""
    exercise = planned.choice.exercise
    return "" if exercise.minutes_a_set else clock(int(rest_seconds(exercise, planned.choice.load)))


def _beside(exercise: Exercise, load: Decimal) -> tuple[Decimal | None, Decimal | None]:
    loads = [one.load for one in exercise.loads]
    return next_below(loads, load.normalize()), next_above(loads, load.normalize())


def _sentences(said: Sequence[Finding], names: Mapping[str, str], *codes: str) -> Iterator[str]:
    return (plan_sentence(one, names) for one in said if one.code.startswith(codes))


def _left_out(said: Sequence[Finding], names: Mapping[str, str]) -> Iterator[Named]:
    spoken = ("left-worth-less", "left-fewer-sets", "left-banned")
    for one in said:  # what a stop took out of the reckoning since has neither a name nor a reason here
        if one.code.startswith("left-") and one.code not in spoken and one.field in names:
            yield Named(key=one.field, name=names[one.field], why=plan_sentence(one, names))


def _named(key: str, names: Mapping[str, str]) -> Named:
    """An exercise by its name; one that a stop took out of the reckoning by its lift, which its key begins with."""
    return Named(key=key, name=names.get(key, lift_name(key.partition(" ")[0])))


def kept_of(plan: Plan) -> Iterator[Kept]:
    """What the week keeps with a plan, yardstick by yardstick."""
    for one in plan.request.yardsticks:
        is_lift = one.name.startswith(LIFT)
        name = lift_name(one.name.removeprefix(LIFT)) if is_lift else words("muscle").get(one.name, one.name)
        yield Kept(name=name, percent=round(100 * plan.reckoning.kept[one.name]), is_lift=is_lift)


def _asked(plan: Plan) -> Iterator[tuple[str, int]]:
    for region, share in plan.reckoning.asked[0].items():
        yield word("region", str(Region(region))), round(100 * share)
