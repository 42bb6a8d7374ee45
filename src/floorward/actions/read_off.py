"""What loads are read off: the set-up and load that stand for a sore lift, or what a lifter usually pulls."""

from dataclasses import dataclass
from decimal import Decimal

from floorward.actions.buildable import Built, built_at
from floorward.actions.rigging import Stock, usual_bar
from floorward.actions.standing import Source, standing_of
from floorward.core.comparison import ReadOff
from floorward.core.lifts import Fixes, catalogue
from floorward.core.records import SetUp
from floorward.storage.models import Episode, Lifter
from floorward.units import Mass, Unit, to_kg


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """What loads of equal demand are read off."""

    built: Built
    load: Mass

    @property
    def read_off(self) -> ReadOff:
        """The same for the reckoning."""
        return ReadOff(setup=self.built.setup, load_kg=to_kg(self.load))


def accepted_start(episode: Episode, stock: Stock) -> Start | None:
    """The set-up and load that stand for the sore lift: what a search accepted, or what was decided and trained since."""
    standing = standing_of(episode, episode.lift)
    load = standing.accepted or standing.load
    lift, pattern = catalogue().get(episode.lift), standing.pattern
    if (
        standing.source is Source.STOPPED
        or load is None
        or pattern is None
        or lift is None
        or not lift.linked
    ):
        return None
    bar = pattern.bar or usual_bar(episode.lifter.gym, episode.lift, standing.unit)
    if bar is None:
        return None
    setup = SetUp(
        lift=episode.lift,
        height_mm=standing.height_mm,
        depth_deg=pattern.depth_deg,
        box_mm=pattern.box_mm if lift.fixes is Fixes.BOX else 0,
    )
    return Start(built=built_at(setup, bar, stock), load=Mass(load, Unit(standing.unit)))


def usual_load(lifter: Lifter, lift: str) -> Mass:
    """The heaviest best set of a lift, or as much as the lifter weighs, in their own unit."""
    best = max((Mass(row.load, Unit(row.unit)) for row in lifter.best_sets.filter(lift=lift)), default=None)
    weight = Mass(Decimal(round(lifter.mass_kg))).to(Unit(lifter.unit)).value
    return best or Mass(Decimal(round(weight)), Unit(lifter.unit))
