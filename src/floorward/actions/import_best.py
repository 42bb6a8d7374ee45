"""The best recent sets of an imported log: they become best sets of the lifter, which say what is usual and where a search may end."""

from datetime import date, timedelta

from django.db.models import Max

from floorward.core.lifts import Family, catalogue
from floorward.core.strength import estimate
from floorward.storage.models import BestSet, Import, Lifter, PastSet
from floorward.tables import value
from floorward.units import Mass, Unit, to_kg

_MOST_REPS = 20


def add_best_of(lifter: Lifter, source: Import, today: date) -> None:
    """A best set for each lift in which the import holds one that points to a heavier single than what is on record."""
    since = today - timedelta(days=value("session", "best", "remembered"))
    known: dict[str, float] = {}
    for row in lifter.best_sets.all():
        known[row.lift] = max(known.get(row.lift, 0.0), _single(row))
    best: dict[str, BestSet] = {}
    for row in _candidates(lifter, source, since):
        single = _single(row)
        if single > known.get(row.lift, 0.0):
            known[row.lift], best[row.lift] = single, row
    for row in best.values():
        same = PastSet.objects.filter(
            source=source, lifter=lifter, lift=row.lift, load=row.load, unit=row.unit
        )
        row.day = (
            same.filter(reps=row.reps, rpe=row.rpe, day__gte=since)
            .order_by("-day")
            .values_list("day", flat=True)[0]
        )
    BestSet.objects.bulk_create(best.values())


def _candidates(lifter: Lifter, source: Import, since: date) -> list[BestSet]:
    """The heaviest set of each lift, repetitions and effort."""
    rows = PastSet.objects.filter(
        source=source, lifter=lifter, day__gte=since, load__gt=0, reps__lte=_MOST_REPS
    )
    found = rows.values_list("lift", "unit", "reps", "rpe").annotate(heaviest=Max("load")).order_by("lift")
    return [
        BestSet(lifter=lifter, source=source, lift=lift, unit=unit, reps=reps, rpe=rpe, load=load)
        for lift, unit, reps, rpe, load in found
    ]


def _single(row: BestSet) -> float:
    """The middle of the heaviest single that a set points to [kg]."""
    if row.load <= 0:
        return 0.0
    lift = catalogue().get(row.lift)
    pull = lift is not None and lift.family is Family.PULL
    rpe = None if row.rpe is None else float(row.rpe)
    return estimate(to_kg(Mass(row.load, Unit(row.unit))), min(row.reps, _MOST_REPS), rpe, pull=pull).middle
