"""What a height–load map draws: regions, sets as they were done, lines of one demand, the way back."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

from floorward.actions.histories import in_unit
from floorward.actions.map_levels import Sheet, Up
from floorward.actions.progress import mark_of
from floorward.actions.read_off import Start
from floorward.actions.stairs import stairs_of
from floorward.actions.tolerances import Log, asked_by, kg, scored, setup_of
from floorward.language import unit_shown
from floorward.reports.drawings.map_scale import HeightLoadMap, MapSet, Spot, round_step
from floorward.reports.wording import word
from floorward.storage.models import Lifter
from floorward.units import Unit

_LINES = 4

# a level, and the loads up to which a set there should be acceptable, is as likely as not, and past which it is too much
Border = tuple[float, float, float, float]


def chart_of(
    log: Log,
    sheet: Sheet,
    start: Start | None,
    borders: Sequence[Border],
    unit: Unit,
    today: date,
    most: float,
    *,
    chosen: Spot,
) -> HeightLoadMap:
    """The map of one sheet, for loads up to `most` in `unit`, with the spot `chosen` marked."""
    episode, key = log.episode, sheet.lift.key
    old = key == episode.lift and episode.usual_load
    return HeightLoadMap(
        sets=_sets(log, sheet, unit, today),
        old_load=(float(in_unit(episode.usual_load, episode.unit, unit)), sheet.floor_mm) if old else None,
        way_back=_way_back(episode.lifter, sheet, start, unit),
        sure=tuple((sure, level) for level, sure, _, _ in borders),
        likely=tuple((likely, level) for level, _, likely, _ in borders),
        unlikely=tuple((unlikely, level) for level, _, _, unlikely in borders),
        same_demand=_same_demand(log, sheet, unit, most),
        level_mm=chosen[1],
        chosen=chosen,
        floor_mm=sheet.floor_mm,
        floor_name=word("drawing", "full-depth") if sheet.up is Up.DEPTH else "",
        as_measured=sheet.up is Up.BOX,
        top_mm=max(sheet.floor_mm + 150.0, sheet.levels_mm[-1]),
        most_load=most,
        unit=unit,
    )


def _sets(log: Log, sheet: Sheet, unit: Unit, today: date) -> tuple[MapSet, ...]:
    rows = [row for row in scored([log.episode]) if row.lift == sheet.lift.key]
    placed = [(row, sheet.level_mm(setup_of(row))) for row in rows]
    return tuple(
        replace(mark_of(row, log.episode, unit, today), height_mm=level) for row, level in placed if level
    )


def _same_demand(log: Log, sheet: Sheet, unit: Unit, most: float) -> tuple[tuple[str, tuple[Spot, ...]], ...]:
    """Lines along which the region is asked as much as by round loads of the painful lift in full."""
    shown = Unit(unit_shown(unit))
    most_shown = most * kg(Decimal(1), unit) / kg(Decimal(1), shown)
    step = round_step(most_shown, 1.0, _LINES)
    asked = [
        (there, level)
        for one, level in zip(sheet.built, sheet.levels_mm, strict=True)
        if (there := asked_by(log.episode, one.setup)) is not None
    ]
    return tuple(
        (
            f"{step * number:g} {shown}",
            tuple((there.load_kg(demand) / kg(Decimal(1), unit), level) for there, level in asked),
        )
        for number in range(1, int(most_shown // step) + 1)
        for demand in [log.full.demand(kg(Decimal(str(step * number)), shown))]
    )


def _way_back(lifter: Lifter, sheet: Sheet, start: Start | None, unit: Unit) -> tuple[Spot, ...]:
    """The stages of the way back that are of this lift, at today's load."""
    if start is None:
        return ()
    load = float(start.load.to(unit).value)
    return tuple(
        (load, sheet.level_mm(rung.built.setup))
        for rung in stairs_of(lifter).rungs[1:]
        if rung.built.setup.lift == sheet.lift.key
    )
