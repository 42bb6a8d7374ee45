"""What goes by pain alone, because mechanics say nothing of the lift or the region, and what is found anew beside it."""

from floorward.core.lifts import Family, catalogue
from floorward.core.records import ARM_REGIONS
from floorward.storage.models import Episode
from floorward.tables import load


def presses() -> tuple[str, ...]:
    """Every press with a bar, in the order of tables/other_lifts.toml."""
    return tuple(lift for lift, row in load("other_lifts").items() if row.get("family") == "press")


def is_press(lift: str) -> bool:
    """Whether `lift` is one of them."""
    return lift in presses()


def goes_by_pain(episode: Episode) -> bool:
    """Whether the sore region is an arm's, or the sore lift one that is not modelled."""
    lift = catalogue().get(episode.lift)
    return episode.region in ARM_REGIONS or lift is None or not lift.modelled


def kin_of(episode: Episode) -> tuple[str, ...]:
    """Lifts that are found anew beside the sore one: presses beside a press, its own kind where it hurt an arm, else squats."""
    lift = catalogue().get(episode.lift)
    if is_press(episode.lift) or (episode.region in ARM_REGIONS and lift is None):
        return presses()
    return _of(lift.family if lift and episode.region in ARM_REGIONS else Family.SQUAT)


def _of(family: Family) -> tuple[str, ...]:
    return tuple(key for key, row in catalogue().items() if row.family is family)
