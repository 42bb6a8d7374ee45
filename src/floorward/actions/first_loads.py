"""First sets on other set-ups by the tolerance model: what this lifter has taught counts, and what mechanics alone give is never passed."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from floorward.actions.tolerances import Log, asked_by, kg, log_of
from floorward.core.exercises import key_of
from floorward.core.leaning import leaning
from floorward.core.records import SetUp
from floorward.core.tolerance import Tolerance, first_on_variation
from floorward.core.variations import Accepted
from floorward.storage.models import Episode, Session
from floorward.units import to_kg


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """What the log says before a session.

    Attributes:
        tolerance: with every set-up that is asked about.
        accepted_nm: what the accepted pull asks at its load.
    """

    log: Log
    tolerance: Tolerance
    accepted_nm: float

    def first_load(
        self, setup: SetUp, loads: Sequence[Decimal], unit: str, most: Decimal
    ) -> tuple[Decimal, bool]:
        """The heaviest of `loads` up to `most` for a first set on `setup`, and whether even the lightest is likely to be too much."""
        asked, name = asked_by(self.log.episode, setup), key_of(setup)
        if asked is None or name not in self.tolerance.priors.variations:
            return most, False
        up_to = [load for load in loads if load <= most] or [most]
        kilograms = tuple(kg(load, unit) for load in up_to)
        found = first_on_variation(
            self.tolerance,
            self.accepted_nm,
            kilograms,
            asked.demands(kilograms),
            name,
            asked.bend - self.log.full.bend,
        )
        return (up_to[0], True) if found is None else (up_to[kilograms.index(found)], False)

    def leaning(self, setup: SetUp) -> int:
        """1 where the lifter takes to `setup` better than most, -1 worse, 0 while nobody can tell; only from sets done on it."""
        asked, name = asked_by(self.log.episode, setup), key_of(setup)
        if asked is None or name not in self.log.priors.variations:
            return 0
        return leaning(self.tolerance, name, asked.bend - self.log.full.bend)


def learned_of(
    episode: Episode, accepted: Accepted, setups: Sequence[SetUp], session: Session | None, today: date | None
) -> Learned | None:
    """What is known before `session`, or on the day `today` where there is none; None where mechanics do not know the painful lift."""
    log = log_of(episode)
    if log is None:
        return None
    known = log.before_work_of(session) if session else log
    asked = asked_by(episode, accepted.setup) if not accepted.full_range else log.full
    if asked is None:
        return None
    newest = max((report.day for report in known.reports), default=0)
    day = session.day if session else today or date.fromordinal(known.began.toordinal() + newest)
    opened = known.open_to([key_of(setup) for setup in setups])
    return Learned(log=known, tolerance=opened.tolerance(day), accepted_nm=asked.demand(to_kg(accepted.load)))
