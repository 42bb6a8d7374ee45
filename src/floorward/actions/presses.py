"""Presses: mechanics say nothing of them, so each finds its own load, and they are offered beside one another."""

from floorward.tables import load


def presses() -> tuple[str, ...]:
    """Every press with a bar, in the order of tables/other_lifts.toml."""
    return tuple(lift for lift, row in load("other_lifts").items() if row.get("family") == "press")


def is_press(lift: str) -> bool:
    """Whether `lift` is one of them."""
    return lift in presses()
