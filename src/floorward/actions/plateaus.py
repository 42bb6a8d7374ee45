"""Which episodes have stopped moving, read from the sets of the painful lift."""

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal

from floorward.actions.exposures import Trained, trained_since
from floorward.actions.histories import comparable, in_unit
from floorward.actions.reach import full_mm
from floorward.core.plateau import is_plateau
from floorward.storage.models import Episode
from floorward.tables import value


def on_a_plateau(episodes: Sequence[Episode], today: date) -> frozenset[int]:
    """The numbers of those that have stopped moving; only while the six weeks' review asks for it, the sets are read."""
    first, last = (timedelta(days=value("clock", code)[0]) for code in ("six_weeks", "twelve_weeks"))
    asked = [row for row in episodes if first <= today - row.since < last]
    if not asked:
        return frozenset()
    rows = trained_since(asked, min(row.since for row in asked), {row.pk: {} for row in asked})
    return frozenset(row.pk for row in asked if _stands_still(row, rows[row.pk], today))


def _stands_still(episode: Episode, rows: Sequence[Trained], today: date) -> bool:
    mine = [row for row in rows if row.lift == episode.lift]
    if not mine:
        return False
    usual = in_unit(episode.usual_load, episode.unit, mine[-1].unit)
    return is_plateau(
        comparable(mine),
        today,
        goal=usual * Decimal(str(value("tolerance", "forecast", "share_of_usual"))),
        full_mm=full_mm(mine[-1].pattern),
        ceiling=episode.lifter.gym.ceiling_set,
    )
