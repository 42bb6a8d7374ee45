"""A lifter's own measure: the heaviest single of each lift, the usual week, what of this week is done, how many sessions it has left."""

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import QuerySet

from floorward.actions.usual import Usual
from floorward.core.lifts import Family, catalogue
from floorward.core.maxima import Basis, lift_max
from floorward.core.records import SetUp
from floorward.core.repetitions import Curve, HardSet, own_curve, repetitions_left
from floorward.core.strength import Estimate, estimate
from floorward.core.usual_week import TrainedSet, Yardstick, usual_week, week_credits, with_done
from floorward.core.worth import Aim, Effort, trains_of
from floorward.storage import reads
from floorward.storage.models import DoneSet, Lifter, PastSet, Session
from floorward.tables import value
from floorward.units import Mass, Unit, to_kg

_WEEK = 7


class Singles:
    """The heaviest single of any lift of one lifter [kg], from own sets or carried over by a ratio."""

    def __init__(self, lifter: Lifter, usual: Iterable[Usual]) -> None:
        self.own: dict[str, Estimate] = {}
        for best in lifter.best_sets.all():
            self._take(
                best.lift,
                Mass(best.load, Unit(best.unit)),
                best.reps,
                None if best.rpe is None else float(best.rpe),
            )
        for one in usual:
            if one.lift not in self.own and one.load > 0:
                rpe = float(one.rpe or value("session", "usual", "rpe"))
                self._take(one.lift, Mass(one.load, Unit(one.unit)), one.reps, rpe)

    def of(self, lift: str) -> float | None:
        """The middle of what it may be; None where nothing tells."""
        found = lift_max(lift, self.own)
        return found.middle if found else None

    def known_from(self, lift: str) -> tuple[str, bool]:
        """The lift that it is carried over from, empty where it is the lift's own; and whether the ratio is a guess."""
        found = lift_max(lift, self.own)
        if found is None or found.basis is Basis.OWN:
            return "", False
        return found.known_from, found.basis is Basis.GUESS

    def take_single(self, lift: str, load: Mass) -> None:
        """What was usual before it hurt, where no best set says more."""
        if lift_max(lift, self.own) is None:
            self._take(lift, load, 1, None)

    def _take(self, lift: str, load: Mass, repetitions: int, rpe: float | None) -> None:
        row = catalogue().get(lift)
        pull = row is not None and row.family is Family.PULL
        found = estimate(to_kg(load), min(repetitions, 20), rpe, pull=pull)
        if lift not in self.own or found.middle > self.own[lift].middle:
            self.own[lift] = found


def curve_of(session: Session) -> Curve | None:
    """The lifter's own repetitions at a share, from hard sets of the lift that tells most about it; None while too few tell."""
    since = session.day - timedelta(days=int(value("builder", "curve_from", "days")))
    rows = _work(session.lifter).filter(
        session__day__gte=since, session__day__lt=session.day, rpe__isnull=False, sore=False
    )
    by_lift: dict[str, list[HardSet]] = {}
    for row in rows.select_related("session"):
        hard = HardSet(
            load_kg=to_kg(Mass(row.load, Unit(row.unit))),
            repetitions=row.reps,
            rpe=float(row.rpe or 0),
            day=row.session.day.toordinal(),
        )
        if row.load > 0 and row.reps:
            by_lift.setdefault(row.lift, []).append(hard)
    curves = [curve for sets in by_lift.values() if (curve := own_curve(sets))]
    return max(curves, key=lambda one: one.sets, default=None)


def aim_of(lifter: Lifter) -> Aim:
    """Singles win contests; else strength and size alike."""
    return Aim.STRENGTH if lifter.contest else Aim.BOTH


def yardsticks_of(
    session: Session, singles: Singles, usual: Mapping[str, Usual], aim: Aim
) -> tuple[Yardstick, ...]:
    """The usual week before the pain, by the log, or by the best sets where the log holds nothing; with what is done this week."""
    lifter = session.lifter
    since = session.episode.since if session.episode else session.day
    weeks = int(value("worth", "usual", "weeks"))
    rows = _work(lifter).filter(
        session__day__lt=since, session__day__gte=since - timedelta(days=_WEEK * weeks)
    )
    logged = _trained(rows, singles) + past_work(
        lifter, since - timedelta(days=_WEEK * weeks), since, singles
    )
    contest = tuple(singles.own) if lifter.contest else ()
    if logged:
        found = usual_week(logged, weeks, aim, contest)
    else:
        found = usual_week(_from_best(usual, singles), 1, aim, contest)
    monday = session.day - timedelta(days=session.day.weekday())
    done = _work(lifter).filter(session__day__gte=monday, session__day__lte=session.day)
    trained = _trained(done.exclude(session=session), singles) + past_work(
        lifter, monday, session.day, singles
    )
    return with_done(found, week_credits(trained, aim))


def past_work(lifter: Lifter, since: date, before: date, singles: Singles) -> list[TrainedSet]:
    """What an imported log says was trained on the days from `since` until the one before `before`."""
    found: list[TrainedSet] = []
    for row in PastSet.objects.filter(lifter=lifter, day__gte=since, day__lt=before):
        single = singles.of(row.lift)
        if single and row.load > 0 and row.reps:
            rpe = float(row.rpe or value("session", "full_range", "rpe"))
            share = to_kg(Mass(row.load, Unit(row.unit))) / single
            found += [_set(SetUp(lift=row.lift), share, row.reps, rpe)] * row.sets
    return found


def sessions_left(session: Session) -> int:
    """How many sessions this week has left, today's included, by how often the lifter came in the last four weeks."""
    since = session.day - timedelta(days=4 * _WEEK)
    days = set(
        _work(session.lifter)
        .filter(session__day__gte=since, session__day__lt=session.day)
        .values_list("session__day", flat=True)
    )
    past = PastSet.objects.filter(lifter=session.lifter, day__gte=since, day__lt=session.day)
    days |= set(past.values_list("day", flat=True))
    a_week = -(-len(days) // 4) or int(value("builder", "week", "sessions"))
    monday = session.day - timedelta(days=session.day.weekday())
    return max(a_week - sum(day >= monday for day in days), 1)


def _work(lifter: Lifter) -> QuerySet[DoneSet]:
    return DoneSet.objects.filter(session__lifter=lifter, kind=DoneSet.Kind.WORK, undone_at=None)


def _trained(rows: Iterable[DoneSet], singles: Singles) -> list[TrainedSet]:
    found = []
    for row in rows:
        single = singles.of(row.lift)
        if single and row.load > 0 and row.reps:
            rpe = float(row.rpe or value("session", "full_range", "rpe"))
            share = to_kg(Mass(row.load, Unit(row.unit))) / single
            found.append(_set(reads.setup(row), share, row.reps, rpe))
    return found


def _from_best(usual: Mapping[str, Usual], singles: Singles) -> list[TrainedSet]:
    """As many hard sets a week of every lift that has a best set, at what it is eased to."""
    found: list[TrainedSet] = []
    for one in usual.values():
        single = singles.of(one.lift)
        if single and one.load > Decimal():
            share = to_kg(Mass(one.load, Unit(one.unit))) / single
            rpe = float(one.rpe or value("session", "usual", "rpe"))
            sets = [_set(SetUp(lift=one.lift), share, one.reps, rpe)]
            found += sets * int(value("worth", "usual", "from_best"))
    return found


def _set(setup: SetUp, share: float, repetitions: int, rpe: float) -> TrainedSet:
    left = repetitions_left(rpe)
    return TrainedSet(
        lift=setup.lift,
        day=0,
        effort=Effort(share=share, repetitions=repetitions, left=float(left if left is not None else 5)),
        trains=trains_of(setup),
        rpe=rpe,
    )
