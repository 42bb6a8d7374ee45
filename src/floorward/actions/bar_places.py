"""Where the bar of an episode stands now: the share of the usual load, and the height."""

from collections.abc import Iterable
from decimal import Decimal

from django.db.models import Max, Min

from floorward.actions.board import Case, Newest
from floorward.actions.histories import in_unit
from floorward.storage.models import DoneSet, Episode
from floorward.units import Unit

Stand = tuple[Decimal, str, int]
"""Load, its unit, and height [mm]."""


def bar_places(rows: Iterable[tuple[Case, Episode]]) -> dict[int, tuple[float, int]]:
    """By episode, where the bar of its provoking lift stands; without those in which nothing was trained lately.

    What was decided for the next time counts, else the heaviest load and the lowest start of the newest session.
    """
    newest = {episode.pk: (episode, case.newest_of(episode.lift)) for case, episode in rows}
    trained = {number: (episode, row) for number, (episode, row) in newest.items() if row is not None}
    done = _done(row for _, row in trained.values())
    found = {}
    for number, (episode, row) in trained.items():
        stand = _decided(row) or done.get((row.session_id, row.lift))
        if stand is not None:
            found[number] = _share(episode, stand[0], stand[1]), stand[2]
    return found


def _decided(row: Newest) -> Stand | None:
    decision = row.decision if row.is_decided else None
    return (decision.load, decision.unit, decision.height_mm) if decision and decision.load else None


def _share(episode: Episode, load: Decimal, unit: str) -> float:
    usual = in_unit(episode.usual_load, episode.unit, Unit(unit))
    return float(load / usual) if usual else 0.0


def _done(rows: Iterable[Newest]) -> dict[tuple[int, str], Stand]:
    """Heaviest load and lowest start by session and lift."""
    sets = DoneSet.objects.filter(
        session__in=[row.session_id for row in rows], kind=DoneSet.Kind.WORK, sore=True, undone_at=None
    )
    told = sets.filter(pain__isnull=False).order_by().values_list("session_id", "lift", "unit")
    best = told.annotate(heaviest=Max("load"), lowest=Min("height_mm"))
    return {(session, lift): (load, unit, height) for session, lift, unit, load, height in best}
