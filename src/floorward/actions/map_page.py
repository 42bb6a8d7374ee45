"""The height–load map of a sore lift: what should be acceptable at each height and load, one sheet for each implement, and what one spot of it means."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

import numpy as np

from floorward.actions.asked import Asked
from floorward.actions.buildable import Built, all_built
from floorward.actions.histories import in_unit
from floorward.actions.lifters import consent_of
from floorward.actions.locks import Lock, lock_of
from floorward.actions.map_chart import chart_of
from floorward.actions.map_levels import Sheet, Up, sheet_of
from floorward.actions.mornings import gym_day
from floorward.actions.overview import open_episode
from floorward.actions.progress import Pictures
from floorward.actions.read_off import Start, accepted_start
from floorward.actions.rigging import Stock, loads_of, stock_of
from floorward.actions.tolerances import Log, asked_by, kg, log_of, name_at
from floorward.core.lifts import Family, catalogue
from floorward.core.loadable import at_or_under
from floorward.core.odds import one_in
from floorward.core.records import FULL_HEIGHT_MM
from floorward.core.tolerance import Tolerance, chance_unacceptable
from floorward.reports.drawings.height_load import height_load_map
from floorward.reports.drawings.map_scale import Scale, scale_of
from floorward.reports.drawings.map_table import map_table
from floorward.storage import reads
from floorward.storage.models import Episode, Lifter
from floorward.tables import value
from floorward.units import Unit

_BEYOND = 1.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One height, box or depth that can be chosen.

    Attributes:
        level_mm: how high it stands on the map.
        one_in: of every load of the sheet, in how many sets there one should be too much, as `core.odds` says it.
        sure, likely, unlikely: loads up to which a set should be acceptable, is as likely as not, and past which it is too much.
    """

    built: Built
    level_mm: float
    one_in: tuple[int, ...]
    sure: float
    likely: float
    unlikely: float

    @property
    def start(self) -> int:
        """What the page of start positions calls it: the height or box in millimetres, or the depth in degrees."""
        setup = self.built.setup
        return setup.height_mm or setup.box_mm or setup.depth_deg


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """One spot of the map.

    Attributes:
        at: which row and which load.
        region: sure, not-sure or too-much.
    """

    at: tuple[int, int]
    row: Row
    load: Decimal
    one_in: int
    region: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MapPage:
    """The page.

    Attributes:
        missing: why there is no map: no-episode, no-consent, stopped, not-modelled, no-height or no-depth; else empty.
        sheets: the lifts that have a sheet each, the painful one first; `lift` is the one that is shown.
        up: what the sheet has upward.
        rows: every height or depth that this gym can build, the lowest first.
        loads: what can be loaded, ascending, as far as the map reaches.
        scales: of the wide drawing and of the phone's.
    """

    episode: Episode | None
    missing: str = ""
    lock: Lock | None = None
    sheets: tuple[str, ...] = ()
    lift: str = ""
    up: Up = Up.HEIGHT
    unit: str = ""
    rows: tuple[Row, ...] = ()
    loads: tuple[Decimal, ...] = ()
    chosen: Chosen | None = None
    pictures: Pictures | None = None
    scales: tuple[Scale, ...] = ()

    @property
    def seldom_percent(self) -> int:
        """Of a hundred sets where one should be acceptable, how many at most are too much."""
        return round(100 * _seldom())

    @property
    def mostly_percent(self) -> int:
        """Of a hundred sets where one is too much for now, how many at least are."""
        return 100 - self.seldom_percent


def _seldom() -> float:
    return float(value("tolerance", "step", "unacceptable_chance"))


def map_page(
    lifter: Lifter, now: datetime, *, lift: str = "", row: int | None = None, load: int | None = None
) -> MapPage:
    """The sheet of `lift` with one spot chosen: the row and load with these numbers, else where the lifter stands."""
    episode = open_episode(lifter)
    if episode is None:
        return MapPage(episode=None, missing="no-episode")
    if consent_of(lifter) is None:
        return MapPage(episode=None, missing="no-consent")
    lock = lock_of(lifter)
    log = log_of(episode)
    if lock or log is None:
        return MapPage(episode=episode, lock=lock, missing="stopped" if lock else "not-modelled")
    stock = stock_of(lifter.gym)
    sheets = _sheets(lifter, episode, stock)
    if not sheets:
        return MapPage(episode=episode, missing=_why_no_sheet(episode))
    key = lift if lift in sheets else next(iter(sheets))
    return _sheet(log, stock, sheets, key, gym_day(lifter.gym, now), (row, load))


def _why_no_sheet(episode: Episode) -> str:
    own = catalogue().get(episode.lift)
    return "no-depth" if own is not None and own.family is Family.SQUAT else "no-height"


def _sheets(lifter: Lifter, episode: Episode, stock: Stock) -> dict[str, Sheet]:
    """What this gym can build of the painful lift and of those on its way back, where the start can be raised or the range shortened.

    A pull has a map where the painful lift itself can be raised; a squat also where only its boxes can.
    """
    own = catalogue().get(episode.lift)
    if own is None:
        return {}
    way = value("comparison", "way_squat" if own.family is Family.SQUAT else "way_pull")
    built, person = all_built(lifter, stock), reads.person(lifter)
    wanted = [catalogue()[lift] for lift in dict.fromkeys((episode.lift, *way))]
    found = {
        lift.key: sheet
        for lift in wanted
        if lift.family is own.family and (sheet := sheet_of(person, lift, built)) is not None
    }
    return found if episode.lift in found or own.family is Family.SQUAT else {}


def _sheet(
    log: Log,
    stock: Stock,
    sheets: dict[str, Sheet],
    lift: str,
    today: date,
    asked_for: tuple[int | None, int | None],
) -> MapPage:
    episode, sheet = log.episode, sheets[lift]
    built = sheet.built
    unit = Unit(built[0].bar.unit)
    start = accepted_start(episode, stock)
    most = _BEYOND * float(max(in_unit(episode.usual_load, episode.unit, unit), _standing(start, unit)))
    loads = tuple(one for one in loads_of(stock, built[0].bar, None) if float(one) <= most)
    tolerance = log.open_to([name_at(episode, one.setup, _whole_mm(one)) for one in built]).tolerance(today)
    found = [
        (one, at_mm, asked_by(episode, one.setup)) for one, at_mm in zip(built, sheet.levels_mm, strict=True)
    ]
    rows = tuple(
        _row(log, tolerance, (one, at_mm), asked, loads, unit)
        for one, at_mm, asked in found
        if asked is not None
    )
    if not rows or not loads:
        return MapPage(episode=episode, missing="not-modelled")
    chosen = _chosen(rows, loads, asked_for, _usual(rows, loads, start, sheet, unit))
    borders = [(row.level_mm, row.sure, row.likely, row.unlikely) for row in rows]
    chart = chart_of(
        log, sheet, start, borders, unit, today, most, chosen=(float(chosen.load), chosen.row.level_mm)
    )
    return MapPage(
        episode=episode,
        sheets=tuple(sheets),
        lift=lift,
        up=sheet.up,
        unit=unit,
        rows=rows,
        loads=loads,
        chosen=chosen,
        pictures=Pictures(
            wide=height_load_map(chart, wide=True),
            narrow=height_load_map(chart, wide=False),
            table=map_table(chart),
        ),
        scales=(scale_of(chart, wide=True), scale_of(chart, wide=False)),
    )


def _whole_mm(built: Built) -> int:
    return FULL_HEIGHT_MM + built.handle_mm


def _standing(start: Start | None, unit: Unit) -> Decimal:
    return start.load.to(unit).value if start else Decimal()


def _row(
    log: Log,
    tolerance: Tolerance,
    place: tuple[Built, float],
    asked: Asked,
    loads: Sequence[Decimal],
    unit: Unit,
) -> Row:
    """The chance at every load, and where it passes the gym's bounds."""
    built, at_mm = place
    name = name_at(log.episode, built.setup, _whole_mm(built))
    demands = np.asarray(asked.demands(tuple(kg(load, unit) for load in loads)))
    chances = chance_unacceptable(tolerance, demands, name, asked.bend - log.full.bend if name else 0.0)
    rising = np.maximum.accumulate(chances)
    bound = _seldom()
    sure, likely, unlikely = (
        float(np.interp(share, rising, [float(load) for load in loads], left=0.0))
        for share in (bound, 0.5, 1 - bound)
    )
    return Row(
        built=built,
        level_mm=at_mm,
        one_in=tuple(one_in(float(chance)) for chance in chances),
        sure=sure,
        likely=likely,
        unlikely=unlikely,
    )


def _chosen(
    rows: tuple[Row, ...],
    loads: tuple[Decimal, ...],
    asked_for: tuple[int | None, int | None],
    usual: tuple[int, int],
) -> Chosen:
    at = [
        usual[i] if one is None else min(max(one, 0), most - 1)
        for i, (one, most) in enumerate(zip(asked_for, (len(rows), len(loads)), strict=True))
    ]
    row, load = rows[at[0]], loads[at[1]]
    region = "sure" if load <= row.sure else "not-sure" if load <= row.unlikely else "too-much"
    return Chosen(at=(at[0], at[1]), row=row, load=load, one_in=row.one_in[at[1]], region=region)


def _usual(
    rows: tuple[Row, ...],
    loads: tuple[Decimal, ...],
    start: Start | None,
    sheet: Sheet,
    unit: Unit,
) -> tuple[int, int]:
    """Where the lifter stands; on another lift's sheet the heaviest load that should be acceptable, as low as it starts."""
    if start is not None and start.built.setup.lift == sheet.lift.key:
        stands_mm = sheet.level_mm(start.built.setup)
        row = min(range(len(rows)), key=lambda i: abs(rows[i].level_mm - stands_mm))
        wanted = start.load.to(unit).value
    else:
        row, wanted = 0, Decimal(str(rows[0].sure))
    found = at_or_under(loads, wanted)
    return row, loads.index(found) if found is not None else 0
