"""A search by the tolerance model: the next set, when to stop, and what is known so far in loads on this bar.

The model knows the sets at full height. On a day that hurts at rest, after symptoms that spread, and once the lightest load has
failed there, the plain search goes on as it always does.
"""

from dataclasses import dataclass, replace
from decimal import Decimal

from floorward.actions.asked import Asked
from floorward.actions.tolerances import asked_by, kg
from floorward.core import ladder
from floorward.core.finder import LoadSearch, Manner, Next, Reason, Tried, next_test
from floorward.core.ladder import Step, StepKind
from floorward.core.loadable import at_or_under
from floorward.core.odds import one_in
from floorward.core.records import SetUp
from floorward.core.search import at_full_height, best_test, found, nothing
from floorward.core.sore_lifts import presses
from floorward.reports.drawings.height_load import height_load_map
from floorward.reports.drawings.map_scale import HeightLoadMap, MapSet
from floorward.storage.models import Episode, Search
from floorward.units import Unit

_LEFT_TO_THE_LADDER = frozenset({Reason.SPREADING, Reason.REST_PAIN, Reason.LIGHTEST_UNACCEPTABLE})
_MOST_HEIGHTS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What the model makes of the tests so far; loads in the unit of the bar, each one that the bar can carry.

    Attributes:
        manner: how a search by the model weighs knowing against sets that hurt; empty where a plain ladder leads.
        odds: the next set is too much about once in so many; 0 hardly, 1 more likely than not, empty without a next set.
        estimate: the heaviest load that should be acceptable rested; None if not even the lightest.
        low, high: where it lies nine times in ten; None under the lightest.
        drawn: the same on the height–load map of a phone, which a column of the page has room for; empty where the lift is
            not pulled from a height.
    """

    manner: str
    odds: str
    estimate: Decimal | None
    low: Decimal | None
    high: Decimal | None
    drawn: str = ""


def is_modelled(episode: Episode, lift: str) -> bool:
    """Whether mechanics know what a lift asks of the sore region."""
    return asked_by(episode, SetUp(lift=lift)) is not None


def step_of(row: Search, record: ladder.Search) -> Step:
    """The next set or the result: by the model where the search was begun so, else by the plain ladder."""
    step = _step_of(row, record)
    if row.lift not in presses():
        return step
    return replace(step, offers=tuple("presses" if one == "variations" else one for one in step.offers))


def _step_of(row: Search, record: ladder.Search) -> Step:
    search = _load_search(row, record) if row.manner else None
    if search is None:
        return ladder.next_step(record)
    following = next_test(search)
    if following.reason in _LEFT_TO_THE_LADDER:
        return ladder.next_step(record)
    return _ended(record, following) if following.done else _going_on(record, search, following)


def known_of(row: Search, record: ladder.Search, load: Decimal | None = None) -> Known | None:
    """What the tests so far say of the tolerance, on any kind of search; None where the lift is not modelled.

    `load` is that of the next set, on the map.
    """
    asked, search = _asked(row), _load_search(row, record)
    if asked is None or search is None:
        return None
    following = next_test(search)
    unit = _per_unit(row)
    band = following.tolerance
    low, high = (at_or_under(record.loads, _exact(asked.load_kg(at) / unit)) for at in (band.p05, band.p95))
    chance = following.chance_unacceptable
    return Known(
        manner=row.manner,
        odds="" if chance is None else str(one_in(chance)),
        estimate=_back(record, search, following.estimate_kg),
        low=low,
        high=high,
        drawn=_map(row, record, following, load),
    )


def _asked(row: Search, height_mm: int | None = None) -> Asked | None:
    episode = row.session.episode
    if episode is None:
        return None
    height = row.height_mm if height_mm is None else height_mm
    setup = SetUp(lift=row.lift, height_mm=height, depth_deg=row.depth_deg, box_mm=row.box_mm)
    return asked_by(episode, setup)


def _load_search(row: Search, record: ladder.Search) -> LoadSearch | None:
    asked, episode, unit = _asked(row), row.session.episode, _per_unit(row)
    usual, hurt = float(row.usual_load) * unit, float(row.hurt_load) * unit
    if asked is None or episode is None or usual <= 0 or hurt <= 0:
        return None
    loads = tuple(float(load) * unit for load in record.loads)
    return LoadSearch(
        loads_kg=loads,
        demands=asked.demands(loads),
        usual_kg=usual,
        usual_demand=asked.demand(usual),
        provoking_demand=asked.demand(hurt),
        provoking_pain=episode.pain if episode.lift == row.lift else None,
        rest_pain=record.rest_pain,
        ceiling=record.ceiling,
        manner=Manner(row.manner or Manner.USUAL),
        tried=tuple(_tried(test, asked, unit) for test in at_full_height(record)),
    )


def _tried(test: ladder.Test, asked: Asked, unit: float) -> Tried:
    load = float(test.load) * unit
    return Tried(
        load_kg=load,
        demand=asked.demand(load),
        pain=test.pain,
        acceptable=test.acceptable,
        spreading=test.spreading,
    )


def _going_on(record: ladder.Search, search: LoadSearch, following: Next) -> Step:
    best, again = best_test(record), following.reason is Reason.REPEAT_LIGHTEST
    return Step(
        kind=StepKind.REPEAT if again else StepKind.TEST,
        reason="repeat-lightest" if again else "model" if best else "model-first",
        load=_back(record, search, following.next_kg),
        height_mm=record.full_height_mm,
        accepted_load=best.load if best else None,
        accepted_height_mm=record.full_height_mm if best else None,
    )


def _ended(record: ladder.Search, following: Next) -> Step:
    best = best_test(record)
    if best is None:
        return nothing(record, following.reason, ("unloaded", "unaffected"))
    return found(record, following.reason, best.load, record.full_height_mm)


def _back(record: ladder.Search, search: LoadSearch, load_kg: float | None) -> Decimal | None:
    """The same load as the bar's own exact one."""
    return None if load_kg is None else record.loads[search.loads_kg.index(load_kg)]


def _per_unit(row: Search) -> float:
    """Kilograms of one unit of the bar."""
    return kg(Decimal(1), row.bar.unit) if row.bar is not None else 1.0


def _exact(load: float) -> Decimal:
    return Decimal(repr(round(load, 4)))


def _map(row: Search, record: ladder.Search, following: Next, load: Decimal | None) -> str:
    heights = _drawn_heights(record)
    by_height = [(mm, asked) for mm in heights if (asked := _asked(row, mm)) is not None]
    if len(by_height) < 2:
        return ""
    unit, band = _per_unit(row), following.tolerance
    sure, likely, unlikely = (
        tuple((asked.load_kg(at) / unit, float(mm)) for mm, asked in by_height)
        for at in (band.p05, band.median, band.p95)
    )
    full = float(record.full_height_mm)
    chart = HeightLoadMap(
        sets=tuple(_map_set(record, test) for test in record.tests),
        old_load=(float(row.usual_load), full),
        next_test=None if load is None else (float(load), full),
        sure=sure,
        likely=likely,
        unlikely=unlikely,
        floor_mm=full,
        top_mm=max(heights) + 20.0,
        unit=Unit(row.bar.unit) if row.bar else Unit.KG,
    )
    return height_load_map(chart, wide=False)


def _drawn_heights(record: ladder.Search) -> list[int]:
    """Full height and a few that can be built above it: every one costs a look at the mechanics."""
    raised = [mm for mm in record.heights_mm if mm > record.full_height_mm]
    every = max(-(-len(raised) // (_MOST_HEIGHTS - 1)), 1)
    return [record.full_height_mm, *reversed(raised[::-1][::every])] if record.full_height_mm else []


def _map_set(record: ladder.Search, test: ladder.Test) -> MapSet:
    return MapSet(
        load=float(test.load),
        height_mm=float(test.height_mm),
        pain=test.pain,
        acceptable=ladder.is_acceptable(record, test),
        reps=test.reps,
        today=True,
    )
