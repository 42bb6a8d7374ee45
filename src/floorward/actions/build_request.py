"""What today's session may be built from: rows of a lifter, an episode and a gym as a request to the builder.

A pull beside the sore lift goes up to its first load, the sore lift up to where it stands, a lift that nothing sore limits on as
usual. Lifts that load the sore region and whose load is neither found nor reckoned are not offered.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from floorward.actions.lifters import consent_of
from floorward.actions.offers import offers_for
from floorward.actions.own_week import Singles, aim_of, curve_of, yardsticks_of
from floorward.actions.rigging import Stock, loads_of, stock_of
from floorward.actions.sessions import barred
from floorward.actions.sore_region import SoreRegion, sore_region_of
from floorward.actions.squats import squats_beside
from floorward.actions.standing import Standing, standing_of, standing_today
from floorward.actions.unreckoned import Unreckoned, unreckoned_in
from floorward.actions.usual import Usual, best_as_usual, sore_now, unaffected_lifts
from floorward.actions.wanted_work import CONDITIONING, GRIP, wanted_exercises, wanted_yardsticks
from floorward.core.exercises import (
    WELL_KNOWN,
    Exercise,
    LoadChoice,
    Role,
    exercise_for,
    load_choices,
)
from floorward.core.lifts import catalogue
from floorward.core.records import FULL_HEIGHT_MM, SetUp
from floorward.core.session_request import Contest, Day, Pin, Request
from floorward.core.sore_lifts import is_unaffected
from floorward.core.variations import Option
from floorward.core.worth import Aim
from floorward.storage.models import BarRow, Build, DoneSet, Episode, Session
from floorward.storage.models.fields import SET_UP
from floorward.tables import value
from floorward.units import Mass, Unit, to_kg

SUMO = "sumo-deadlift"


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """A request, with the columns of the line that each exercise becomes.

    Attributes:
        unreckoned: the minutes of lines that the builder knows nothing of.
        by_pain: whether mechanics say nothing of the sore lift or region, and that may be told.
        not_found: lifts that this lifter does, that load what is sore, and that no load is found for.
    """

    request: Request
    columns: Mapping[str, Mapping[str, Any]]
    sore: SoreRegion | None
    unreckoned: Unreckoned
    by_pain: bool = False
    not_found: tuple[str, ...] = ()


def material_of(session: Session, wishes: Build, days: Sequence[int] = (0,)) -> Material:
    """All that `session` may be built from, with what the coach wished; `days` are counted from its own, which is among them."""
    stock = stock_of(session.lifter.gym)
    usual = unaffected_lifts(session, stock)
    known = {**best_as_usual(session.lifter, stock), **{one.lift: one for one in usual}}
    singles = Singles(session.lifter, known.values())
    aim = Aim(wishes.aim) if wishes.aim else aim_of(session.lifter)
    found, sore = _sore_lifts(session, stock, singles)
    found += [pair for one in usual if (pair := _as_usual(one, stock, singles))]
    found += _wanted(session, found)
    exercises = {exercise.key: (exercise, columns) for exercise, columns in found}
    unreckoned = unreckoned_in(session, exercises, stock)
    episode = session.episode
    by_pain = episode is not None and consent_of(session.lifter) is not None and episode.goes_by_pain
    request = Request(
        exercises=tuple(exercise for exercise, _ in exercises.values()),
        yardsticks=(*yardsticks_of(session, singles, known, aim), *wanted_yardsticks(session)),
        aim=aim,
        days=tuple(Day(day=day, minutes=float(wishes.minutes), taken=unreckoned.on(day)) for day in days),
        sessions_left=max(wishes.sessions_left, len(days)),
        allowances={sore.region: sore.allowance_of(len(days))} if sore else {},
        free=_free(session, wishes),
        contest=_contest(session),
        pins=tuple(_pin(row) for row in wishes.pins if row["exercise"] in exercises),
        bans=frozenset(wishes.bans),
        curve=curve_of(session),
    )
    return Material(
        request=request,
        columns={key: columns for key, (_, columns) in exercises.items()},
        sore=sore,
        unreckoned=unreckoned,
        by_pain=by_pain,
        not_found=tuple(_not_found(session, known, request)) if sore or by_pain else (),
    )


def nothing_yet(session: Session, wishes: Build) -> Material:
    """What a session is built from before anything is gathered: the wishes alone."""
    aim = Aim(wishes.aim) if wishes.aim else aim_of(session.lifter)
    day = Day(minutes=float(wishes.minutes))
    request = Request(exercises=(), yardsticks=(), aim=aim, days=(day,))
    return Material(request=request, columns={}, sore=None, unreckoned=Unreckoned())


def _not_found(session: Session, known: Iterable[str], request: Request) -> Iterator[str]:
    """Lifts of another kind than the sore one that are not offered; its own kind is reckoned from it."""
    offered = {one.setup.lift for one in request.exercises} | {line.lift for line in session.lines.all()}
    painful = catalogue().get(session.episode.lift) if session.episode else None
    for lift in sorted(set(known) - offered - {CONDITIONING}):
        row = catalogue().get(lift)
        if row is None or painful is None or row.family is not painful.family:
            yield lift


Found = list[tuple[Exercise, dict[str, Any]]]


def _sore_lifts(session: Session, stock: Stock, singles: Singles) -> tuple[Found, SoreRegion | None]:
    episode = session.episode
    if episode is None or barred(session) or consent_of(session.lifter) is None:
        return [], None
    standing = standing_today(session)
    setup = SetUp(lift=episode.lift, height_mm=standing.height_mm)
    pattern = standing.pattern
    if standing.load is None or pattern is None:
        return [], None
    setup = replace(setup, depth_deg=pattern.depth_deg, box_mm=pattern.box_mm)
    singles.take_single(episode.lift, Mass(max(episode.usual_load, episode.load), Unit(episode.unit)))
    beside = [
        *(
            _Beside(offer.option, offer.bar, offer.load, offer.height_mm)
            for offer in offers_for(episode, session).offers
        ),
        *(
            _Beside(option, built.bar, option.load, built.setup.height_mm)
            for option, built in squats_beside(episode, session, standing, setup, stock)
        ),
    ]
    others = _others(episode, session)
    sore = sore_region_of(
        session,
        setup,
        to_kg(Mass(standing.load, Unit(standing.unit))),
        in_full=standing.full_range,
        variations=[*(one.option.candidate.setup for one in beside), *(one for one, _ in others)],
    )
    if sore is None:
        return [], None
    whole = _painful(standing, setup, stock, sore, singles)
    offered = [pair for one in beside if (pair := _offered(one, session, stock, sore, singles))]
    found = [
        *([whole] if whole else []),
        *(offered if whole is None or _may_be_done(whole[0]) else _with_stand_in(offered, standing)),
        *(pair for setup, one in others if (pair := _found(one, setup, stock, sore, singles))),
    ]
    return found, sore


@dataclass(frozen=True, slots=True)
class _Beside:
    """A lift of the sore one's kind as it may be planned."""

    option: Option
    bar: BarRow
    load: Decimal
    height_mm: int


def _may_be_done(exercise: Exercise) -> bool:
    """Whether its lightest load is likely enough to stay within the ceiling."""
    return exercise.loads[0].chance <= 1.0 - float(value("builder", "confidence"))


def _with_stand_in(offered: Found, standing: Standing) -> Found:
    """The sore lift's deepest higher start that may be done stands in for its full range."""
    pattern = standing.pattern
    higher = [
        place
        for place, (exercise, _) in enumerate(offered)
        if pattern is not None
        and exercise.setup.lift == pattern.lift
        and exercise.setup.height_mm > standing.height_mm
        and _may_be_done(exercise)
    ]
    if not higher:
        return offered
    deepest = min(higher, key=lambda place: offered[place][0].setup.height_mm)
    exercise, columns = offered[deepest]
    stand_in = replace(
        exercise,
        role=Role.FULL_RANGE,
        sets=(1, int(value("session", "full_range", "sets"))),
        repetitions=(int(value("session", "full_range", "reps")),),
        short_of_full_mm=max(exercise.setup.height_mm - FULL_HEIGHT_MM, 1),
    )
    return [*offered[:deepest], (stand_in, columns), *offered[deepest + 1 :]]


def _painful(
    standing: Standing, setup: SetUp, stock: Stock, sore: SoreRegion, singles: Singles
) -> tuple[Exercise, dict[str, Any]] | None:
    """The sore lift, up to where it stands, with the repetitions that were decided."""
    pattern = standing.pattern
    if pattern is None or standing.load is None:
        return None
    bar, first = pattern.bar, standing.first_day
    loads = _up_to(loads_of(stock, bar, standing.collar), standing.load)
    choices = _choices(setup, loads, Unit(standing.unit), sore, singles)
    if not choices:
        return None
    sets = standing.sets or value("session", "full_range", "sets")
    reps = standing.reps or value("session", "full_range", "reps")
    exercise = replace(
        _exercise(setup, Role.FULL_RANGE, choices, Unit(standing.unit), bar.name if bar else "", singles),
        sets=(1, max(min(sets, first.sets) if first else sets, 1)),
        repetitions=(min(reps, first.reps) if first else reps,),
        short_of_full_mm=0 if standing.full_range else max(standing.height_mm - FULL_HEIGHT_MM, 1),
    )
    columns = {name: getattr(pattern, name) for name in SET_UP}
    return exercise, columns | {
        "height_mm": standing.height_mm,
        "collar_id": standing.collar.pk if standing.collar else None,
    }


def _offered(
    one: _Beside, session: Session, stock: Stock, sore: SoreRegion, singles: Singles
) -> tuple[Exercise, dict[str, Any]] | None:
    """A lift of its kind beside it, up to its first load."""
    option, setup, unit = one.option, one.option.candidate.setup, Unit(one.bar.unit)
    if option.too_heavy:
        return None
    loads = _up_to(loads_of(stock, one.bar, None), one.load)
    choices = _choices(setup, loads, unit, sore, singles)
    if not choices:
        return None
    exercise = replace(
        _exercise(setup, Role.VARIATION, choices, unit, one.bar.name, singles),
        exposures=_exposures(session, setup.lift, known=option.share_of_usual is not None),
    )
    columns = {"lift": setup.lift, "bar_id": one.bar.pk, "height_mm": one.height_mm, "box_mm": setup.box_mm}
    return exercise, columns


def _others(episode: Episode, session: Session) -> list[tuple[SetUp, Standing]]:
    """Lifts of another family whose load was found or trained in this episode."""
    done = DoneSet.objects.filter(session__episode=episode, sore=True, undone_at=None)
    searched = episode.sessions.filter(searches__isnull=False).values_list("searches__lift", flat=True)
    lifts = {*done.exclude(session=session).values_list("lift", flat=True), *searched} - {episode.lift}
    family = catalogue()[episode.lift].family if episode.lift in catalogue() else None
    found = []
    for lift in sorted(lifts):
        if lift not in catalogue() or catalogue()[lift].family == family:
            continue
        standing = standing_of(episode, lift, session)
        if standing.load is not None and standing.pattern is not None:
            row = standing.pattern
            setup = SetUp(lift=lift, height_mm=standing.height_mm, depth_deg=row.depth_deg, box_mm=row.box_mm)
            found.append((setup, standing))
    return found


def _found(
    standing: Standing, setup: SetUp, stock: Stock, sore: SoreRegion, singles: Singles
) -> tuple[Exercise, dict[str, Any]] | None:
    pattern = standing.pattern
    if pattern is None or standing.load is None:
        return None
    loads = _up_to(loads_of(stock, pattern.bar, standing.collar), standing.load)
    choices = _choices(setup, loads, Unit(standing.unit), sore, singles)
    if not choices:
        return None
    name = pattern.bar.name if pattern.bar else ""
    columns = {column: getattr(pattern, column) for column in SET_UP}
    return _exercise(setup, Role.VARIATION, choices, Unit(standing.unit), name, singles), columns


def _choices(
    setup: SetUp, loads: Sequence[Decimal], unit: Unit, sore: SoreRegion, singles: Singles
) -> tuple[LoadChoice, ...]:
    single = singles.of(setup.lift)
    if single is None:
        return ()
    return sore.load_choices(setup, _heavy_enough(loads, unit, single) or loads[-1:], unit, single)


def _heavy_enough(loads: Sequence[Decimal], unit: Unit, single_kg: float) -> list[Decimal]:
    least_kg = float(value("builder", "grid", "least_share")) * single_kg
    return [load for load in loads if to_kg(Mass(load, unit)) >= least_kg]


def _as_usual(one: Usual, stock: Stock, singles: Singles) -> tuple[Exercise, dict[str, Any]] | None:
    single, unit = singles.of(one.lift), Unit(one.unit)
    if single is None or one.load <= 0:
        return None
    most = one.load * Decimal(str(value("builder", "grid", "usual_most")))
    step = Decimal(str(value("decisions", "coarse_step", unit)))
    own = loads_of(stock, one.bar, one.collar) or [step * n for n in range(1, int(most / step) + 1)]
    loads = sorted({one.load, *_heavy_enough(_up_to(own, most), unit, single)})
    exercise = _exercise(
        SetUp(lift=one.lift),
        Role.USUAL,
        load_choices(loads, unit, single),
        unit,
        one.bar.name if one.bar else "",
        singles,
    )
    most_sets = max(one.sets, int(value("session", "usual", "sets")))
    exercise = replace(
        exercise,
        planned_load=one.load,
        repetitions=(max(one.reps, 1),),
        sets=(2, max(min(most_sets, exercise.sets[1]), 2)),
        rpe=float(one.rpe or value("session", "usual", "rpe")),
        warm_up=one.bar is not None,
    )
    columns = {"lift": one.lift, "bar_id": one.bar.pk if one.bar else None}
    return exercise, columns | {"collar_id": one.collar.pk if one.collar else None}


def _wanted(session: Session, found: Found) -> Iterator[tuple[Exercise, dict[str, Any]]]:
    """Conditioning and grip work that the lifter asked for; the latter in place of their usual hold."""
    if barred(session) == "locked-person":
        return
    known = {exercise.key: (exercise, columns) for exercise, columns in found}
    hold = known.get(GRIP)
    sore = sore_now(session.lifter)
    for exercise in wanted_exercises(session.lifter, hold[0] if hold else None):
        if not is_unaffected(exercise.setup.lift, sore):
            continue
        yield exercise, known[exercise.key][1] if exercise.key in known else {"lift": exercise.setup.lift}


def _exercise(
    setup: SetUp, role: Role, choices: tuple[LoadChoice, ...], unit: Unit, bar: str, singles: Singles
) -> Exercise:
    row = catalogue().get(setup.lift)
    family = str(row.family) if row else setup.lift
    found = exercise_for(setup, role, choices, family=family, unit=unit)
    known_from, guessed = singles.known_from(setup.lift)
    return replace(found, equipment=(bar,) if bar else (), single_from=known_from, single_guessed=guessed)


def _up_to(loads: Sequence[Decimal], most: Decimal) -> list[Decimal]:
    return [load.normalize() for load in loads if load <= most]


def _exposures(session: Session, lift: str, *, known: bool) -> int:
    if known or session.lifter.best_sets.filter(lift=lift).exists():
        return WELL_KNOWN
    if session.episode is not None and lift == session.episode.lift:
        return WELL_KNOWN
    done = DoneSet.objects.filter(session__lifter=session.lifter, lift=lift, undone_at=None)
    return done.exclude(session=session).values("session").distinct().count()


def _free(session: Session, wishes: Build) -> frozenset[str] | None:
    if not wishes.busy:
        return None
    return frozenset(bar.name for bar in session.lifter.gym.bars.all()) - frozenset(wishes.busy)


def _contest(session: Session) -> Contest | None:
    lifter = session.lifter
    if lifter.contest_day is None or lifter.contest_day < session.day:
        return None
    weeks = (lifter.contest_day - session.day).days / 7
    return Contest(weeks=round(weeks, 1), barred=() if lifter.sumo_allowed else (SUMO,))


def _pin(row: Mapping[str, Any]) -> Pin:
    load = row.get("load")
    return Pin(
        exercise=row["exercise"],
        day=0,
        load=None if load is None else Decimal(load).normalize(),
        repetitions=row.get("repetitions"),
        sets=row.get("sets"),
    )
