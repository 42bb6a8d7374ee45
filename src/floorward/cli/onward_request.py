"""The other set-ups of a `step` request: those further on the way back, and what of the history was done on them."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from floorward.cli.jsonl import BadRequest
from floorward.cli.tolerance_request import (
    PLACE_KEYS,
    Ground,
    ascending_loads,
    bend_deg,
    check_keys,
    demand_between,
    given_demands,
    items,
    mechanics,
    text,
)
from floorward.core.even_steps import OtherSetUp
from floorward.core.tolerance_log import FOLDED_DEG

MOST_OTHERS = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherGround:
    """A set-up of a request, checked: its loads, what they ask, and how much more it bends than the painful lift."""

    name: str
    loads_kg: tuple[float, ...]
    demands: tuple[float, ...]
    bend: float
    another_lift: bool

    def demand_at(self, load_kg: float) -> float:
        """Demand of any load."""
        return demand_between(tuple(zip(self.loads_kg, self.demands, strict=True)), load_kg)

    def up_to(self, load_kg: float, *, known: bool, limit: float) -> OtherSetUp:
        """The set-up with the loads that are no heavier than what is done now; `limit` is how likely a set may be too much."""
        found = [
            (load, asked) for load, asked in zip(self.loads_kg, self.demands, strict=True) if load <= load_kg
        ]
        return OtherSetUp(
            name=self.name,
            loads=tuple(Decimal(repr(load)) for load, _ in found),
            demands=tuple(asked for _, asked in found),
            bend=self.bend,
            limit=limit,
            known=known,
            another_lift=self.another_lift,
        )


def others(request: dict[str, Any], common: Ground) -> tuple[OtherGround, ...]:
    """The set-ups under `variations`.

    Raises:
        BadRequest: if a key is unknown, missing, of the wrong type or out of range, or a name stands twice.
    """
    given = items(request, "variations") if request.get("variations") is not None else []
    if len(given) > MOST_OTHERS:
        raise BadRequest(f"variations must hold {MOST_OTHERS} set-ups at most, not {len(given)}")
    found = tuple(_other(each, request, common) for each in given)
    names = [each.name for each in found]
    if twice := sorted({name for name in names if names.count(name) > 1}):
        raise BadRequest(f"variations: the name {twice[0]} stands twice")
    return found


def _other(given: Any, request: dict[str, Any], common: Ground) -> OtherGround:
    if "body" in request:
        check_keys(given, "variations", ("name", "loads_kg", "lift"), PLACE_KEYS)
        return _by_mechanics(given, request, common)
    check_keys(given, "variations", ("name", "loads_kg", "demand_nm"), ("bend_deg",))
    loads = ascending_loads(given["loads_kg"])
    return OtherGround(
        name=text(given, "name"),
        loads_kg=loads,
        demands=tuple(given_demands(given, loads)),
        bend=_further(given) / FOLDED_DEG,
        another_lift=True,
    )


def _by_mechanics(given: dict[str, Any], request: dict[str, Any], common: Ground) -> OtherGround:
    loads, body = ascending_loads(given["loads_kg"]), request["body"]
    middle = common.loads_kg[len(common.loads_kg) // 2]
    further = bend_deg(given, body, middle) - bend_deg(request, body, middle)
    return OtherGround(
        name=text(given, "name"),
        loads_kg=loads,
        demands=tuple(mechanics(given, body, loads)),
        bend=further / FOLDED_DEG,
        another_lift=given["lift"] != request["lift"],
    )


def _further(given: dict[str, Any]) -> float:
    further = given.get("bend_deg", 0)
    if (
        isinstance(further, bool)
        or not isinstance(further, int | float)
        or not -FOLDED_DEG <= further <= FOLDED_DEG
    ):
        raise BadRequest(f"bend_deg must be a number from -180 to 180, not {further!r}")
    return float(further)
