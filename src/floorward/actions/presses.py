"""Presses and arms: mechanics say nothing of them, so each lift finds its own load by pain, and presses are offered beside a press."""

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
    """Whether the sore lift is a press or the sore region an arm's."""
    return is_press(episode.lift) or episode.region in ARM_REGIONS
