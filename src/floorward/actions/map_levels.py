"""How high each set-up stands on the map of its lift: the hands of a pull, the box of a box squat, the bar of a shorter squat at its lowest."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

import numpy as np

from floorward.actions.buildable import Built
from floorward.core.depths import bar_heights_mm
from floorward.core.lifts import Fixes, Lift, catalogue
from floorward.core.records import FULL_HEIGHT_MM, Person, SetUp


class Up(StrEnum):
    """What a sheet has upward."""

    HEIGHT = "height"
    BOX = "box"
    DEPTH = "depth"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """The rows of one lift, for one lifter.

    Attributes:
        built: every row, the lowest first; `levels_mm` how high each stands.
        floor_mm: the level of the lift in full; of a box squat the lowest box.
    """

    person: Person
    lift: Lift
    up: Up
    built: tuple[Built, ...]
    levels_mm: tuple[float, ...]
    floor_mm: float

    def level_mm(self, setup: SetUp) -> float:
        """How high a set-up of this lift stands, whether or not it can be built here."""
        return _level_mm(self.person, self.lift, self.up, setup)


def sheet_of(person: Person, lift: Lift, built: Iterable[Built]) -> Sheet | None:
    """The sheet of a lift; None where nothing of what is `built` starts higher or ends higher than in full."""
    rows = tuple(one for one in built if one.setup.lift == lift.key)
    up = _up(lift, rows)
    if up is None:
        return None
    levels = _levels_mm(person, lift, up, rows)
    order = sorted(range(len(rows)), key=lambda n: levels[n])
    return Sheet(
        person=person,
        lift=lift,
        up=up,
        built=tuple(rows[n] for n in order),
        levels_mm=tuple(levels[n] for n in order),
        floor_mm=_floor_mm(up, rows[order[0]], levels[order[0]]),
    )


def _levels_mm(person: Person, lift: Lift, up: Up, rows: Sequence[Built]) -> list[float]:
    """How high each row stands: what lies on pins as the rack is measured, else as the body gets there."""
    return [
        float(row.safeties.height_mm) if row.safeties else _level_mm(person, lift, up, row.setup)
        for row in rows
    ]


def _level_mm(person: Person, lift: Lift, up: Up, setup: SetUp) -> float:
    if up is Up.HEIGHT:
        return float(setup.height_mm)
    return float(setup.box_mm) if up is Up.BOX else _bar_mm(person, lift.key, setup.depth_deg)


@lru_cache(maxsize=512)
def _bar_mm(person: Person, lift: str, depth_deg: int) -> float:
    """The bar at the bottom of a squat under as much as the lifter weighs; one load stands for all, as for the pins."""
    found = catalogue()[lift]
    deepest = found.numbers["depth_deg"]
    (height,) = bar_heights_mm(person, found, person.mass_kg, np.array([max(float(depth_deg), deepest)]))
    return float(height)


def _up(lift: Lift, rows: Sequence[Built]) -> Up | None:
    if lift.fixes is Fixes.BOX:
        return Up.BOX if rows else None
    if any(row.safeties for row in rows):
        return Up.DEPTH
    return Up.HEIGHT if rows and all(row.setup.height_mm and row.stand for row in rows) else None


def _floor_mm(up: Up, lowest: Built, level: float) -> float:
    return float(FULL_HEIGHT_MM + lowest.handle_mm) if up is Up.HEIGHT else level
