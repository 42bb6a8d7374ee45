"""Whether a sore lift has stopped moving: neither heavier, nor lower, nor more sets than before, and not back yet."""

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal

from floorward.core.exposures import Exposure
from floorward.tables import value


def is_plateau(
    exposures: Sequence[Exposure], today: date, *, goal: Decimal, full_mm: int, ceiling: int
) -> bool:
    """Whether the last weeks brought nothing that was not acceptable before them already.

    A lift that was hardly trained lately, or is new, has no plateau; nor has one that is back at `goal` in full.

    Args:
        exposures: of one lift, in any order, their loads in one unit.
        today: the day from which the last weeks are counted.
        goal: the load that counts as back, in that unit.
        full_mm: the height of the full lift; nothing higher counts as back.
        ceiling: most pain in a set that counts as acceptable, 0 to 10.
    """
    since = today - timedelta(days=value("clock", "plateau_days"))
    late = [row for row in exposures if since < row.day <= today]
    before = [row for row in exposures if row.day <= since]
    if len({row.day for row in late}) < value("clock", "plateau_exposures") or not before:
        return False
    good, known = _accepted(late, ceiling), _accepted(before, ceiling)
    if any(row.load >= goal and row.height_mm <= full_mm for row in good):
        return False
    return all(any(_asked_no_less(old, row) for old in known) for row in good)


def _accepted(rows: Sequence[Exposure], ceiling: int) -> list[Exposure]:
    return [row for row in rows if row.acceptable and not row.spreading and row.during <= ceiling]


def _asked_no_less(old: Exposure, new: Exposure) -> bool:
    same = old.setup == new.setup
    return same and old.load >= new.load and old.height_mm <= new.height_mm and old.sets >= new.sets
