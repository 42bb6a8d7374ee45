"""Floorward: keeps a sore lifter training, and brings the bar back to the floor.

For sport scientists `import floorward` gives the core by name: pure functions over frozen records, no database and no clock.
Each name is loaded when it is first used.
"""

from importlib import import_module
from typing import Any

_HOME = {
    "Person": "core.records",
    "Tape": "core.records",
    "Sex": "core.records",
    "SetUp": "core.records",
    "Region": "core.records",
    "Bar": "core.records",
    "BarKind": "core.records",
    "Plate": "core.records",
    "PlateSet": "core.records",
    "Mass": "units",
    "kg": "units",
    "lb": "units",
    "catalogue": "core.lifts",
    "demand_of": "core.demand",
    "curve_of": "core.atlas",
    "equal_demand_load_kg": "core.atlas",
    "loads": "core.plates",
    "loading_for": "core.plates",
    "neighbours": "core.plates",
    "estimate": "core.strength",
    "Exposure": "core.exposures",
    "Protocol": "core.protocol",
    "propose": "core.rules",
}
__all__ = sorted(_HOME)  # noqa: PLE0605 - the names of the table above


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module 'floorward' has no attribute {name!r}")
    return getattr(import_module(f"floorward.{_HOME[name]}"), name)


def __dir__() -> list[str]:
    return sorted({*globals(), *_HOME})
