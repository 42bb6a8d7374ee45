"""What `find` and `step` requests have in common: loads, what they ask of the sore region, scores, and strict types."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from floorward.cli import demand
from floorward.cli.jsonl import BadRequest
from floorward.core.protocol import SHIPPED

LOAD_KEYS = ("loads_kg", "usual_kg", "provoking_kg", "provoking_pain", "rest_pain", "ceiling")
GIVEN_KEYS = ("demand_nm", "usual_demand_nm", "provoking_demand_nm")
BODY_KEYS = ("lift", "body")
PLACE_KEYS = ("height_cm", "depth_deg", "box_cm")
MOST_KG = 2000
MOST_LOADS = 2000
MOST_LETTERS = 60
_KNOTS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """The common part of a request, checked.

    Attributes:
        knots: loads [kg] and demands between which the demand of any load is read off a line.
    """

    loads_kg: tuple[float, ...]
    demands: tuple[float, ...]
    usual_kg: float
    usual_demand: float
    provoking_demand: float
    provoking_pain: int | None
    rest_pain: int | None
    ceiling: int
    knots: tuple[tuple[float, float], ...]

    def demand_at(self, load_kg: float) -> float:
        """Demand of any load; beyond the ends the last line goes on."""
        return demand_between(self.knots, load_kg)


def ground(request: dict[str, Any]) -> Ground:
    """The common part of `request`.

    Raises:
        BadRequest: if a value is missing, of the wrong type or out of range.
    """
    loads = ascending_loads(request["loads_kg"])
    usual = number(request, "usual_kg", 0, MOST_KG)
    given = request.get("provoking_kg") is not None
    provoking = number(request, "provoking_kg", 0, MOST_KG) if given else usual
    knots, usual_demand, provoking_demand = _demands(request, loads, usual, provoking)
    return Ground(
        loads_kg=loads,
        demands=tuple(asked for load, asked in knots if load in loads),
        usual_kg=usual,
        usual_demand=usual_demand,
        provoking_demand=provoking_demand,
        provoking_pain=score(request, "provoking_pain"),
        rest_pain=score(request, "rest_pain"),
        ceiling=_ceiling(request),
        knots=knots,
    )


def demand_between(knots: Sequence[tuple[float, float]], load_kg: float) -> float:
    """Demand of any load by a line through some; beyond the ends the last line goes on."""
    loads, demands = np.array(knots).T
    if len(loads) == 1:
        return float(demands[0] * load_kg / loads[0])
    place = int(np.clip(np.searchsorted(loads, load_kg), 1, len(loads) - 1))
    slope = (demands[place] - demands[place - 1]) / (loads[place] - loads[place - 1])
    asked = demands[place - 1] + slope * (load_kg - loads[place - 1])
    return float(max(asked, 0.01 * demands[0]))


def check_keys(thing: Any, name: str, needed: tuple[str, ...], optional: tuple[str, ...]) -> None:
    """Refuse what is not an object with all of `needed` and nothing beyond `optional`."""
    if not isinstance(thing, dict):
        raise BadRequest(f"{name} must be an object, not {json.dumps(thing)}")
    if unknown := sorted(set(thing) - {*needed, *optional}):
        keys = ", ".join((*needed, *optional))
        raise BadRequest(f"{name}: unknown key {', '.join(unknown)}; the keys are {keys}")
    if missing := [key for key in needed if key not in thing]:
        raise BadRequest(f"{name}: missing {', '.join(missing)}; it needs {', '.join(needed)}")


def number(thing: dict[str, Any], key: str, over: float, most: float) -> float:
    """A number over `over` and at most `most`."""
    return _number(thing[key], key, over, most)


def whole(thing: dict[str, Any], key: str, least: int, most: int) -> int:
    """A whole number from `least` to `most`."""
    given = thing[key]
    if isinstance(given, bool) or not isinstance(given, int) or not least <= given <= most:
        raise BadRequest(f"{key} must be a whole number from {least} to {most}, not {json.dumps(given)}")
    return given


def score(thing: dict[str, Any], key: str) -> int | None:
    """A pain score, or None where it is null or left out."""
    return None if thing.get(key) is None else whole(thing, key, 0, 10)


def flag(thing: dict[str, Any], key: str, *, default: bool | None = None) -> bool:
    """True or false."""
    given = thing.get(key, default)
    if not isinstance(given, bool):
        raise BadRequest(f"{key} must be true or false, not {json.dumps(given)}")
    return given


def choice(thing: dict[str, Any], key: str, options: tuple[str, ...]) -> str:
    """One of `options`, the first where nothing is said."""
    given = thing.get(key, options[0])
    if given not in options:
        raise BadRequest(f"{key} must be one of {', '.join(options)}, not {json.dumps(given)}")
    return str(given)


def items(request: dict[str, Any], key: str) -> list[Any]:
    """A list."""
    given = request[key]
    if not isinstance(given, list):
        raise BadRequest(f"{key} must be a list, not {json.dumps(given)}")
    return given


def text(thing: dict[str, Any], key: str) -> str:
    """A word or a few."""
    given = thing[key]
    if not isinstance(given, str) or not 0 < len(given) <= MOST_LETTERS:
        raise BadRequest(f"{key} must be a text of 1 to {MOST_LETTERS} letters, not {json.dumps(given)}")
    return given


def _number(given: Any, name: str, over: float, most: float) -> float:
    if isinstance(given, bool) or not isinstance(given, int | float) or not over < given <= most:
        raise BadRequest(
            f"{name} must be a number over {over:g} and {most:g} at most, not {json.dumps(given)}"
        )
    return float(given)


def ascending_loads(given: Any) -> tuple[float, ...]:
    """The loads of a request."""
    if not isinstance(given, list) or not 0 < len(given) <= MOST_LOADS:
        raise BadRequest(f"loads_kg must be a list of 1 to {MOST_LOADS} loads, such as [20, 22.5, 25]")
    loads = tuple(_number(load, "loads_kg", 0, MOST_KG) for load in given)
    for low, high in pairwise(loads):
        if high <= low:
            raise BadRequest(f"loads_kg must go upward without repeats; {high:g} comes after {low:g}")
    return loads


def _ceiling(request: dict[str, Any]) -> int:
    """The ceiling of a search may be lowered, never raised."""
    if request.get("ceiling") is None:
        return SHIPPED.ceiling_finding
    return whole(request, "ceiling", 0, SHIPPED.ceiling_finding)


_Knots = tuple[tuple[float, float], ...]


def _demands(
    request: dict[str, Any], loads: tuple[float, ...], usual: float, provoking: float
) -> tuple[_Knots, float, float]:
    by_number = [key for key in GIVEN_KEYS if key in request]
    by_body = [key for key in (*BODY_KEYS, *PLACE_KEYS) if key in request]
    if by_number and by_body:
        raise BadRequest(
            f"give either lift and body or demand_nm, not both ({by_number[0]} beside {by_body[0]})"
        )
    if by_body:
        return _by_mechanics(request, loads, usual, provoking)
    if missing := [key for key in GIVEN_KEYS[:2] if key not in request]:
        raise BadRequest(
            f"missing {', '.join(missing)}; a request needs lift and body, or demand_nm and usual_demand_nm"
        )
    return _by_number(request, loads, usual, provoking)


def given_demands(thing: dict[str, Any], loads: tuple[float, ...]) -> list[float]:
    """`demand_nm`: one for each load, never falling."""
    given = items(thing, "demand_nm")
    if len(given) != len(loads):
        raise BadRequest(f"demand_nm must hold one demand for each load: {len(loads)}, not {len(given)}")
    asked = [_number(each, "demand_nm", 0, 1e9) for each in given]
    for low, high in pairwise(asked):
        if high < low:
            raise BadRequest(f"demand_nm must not fall as the load rises; {high:g} comes after {low:g}")
    return asked


def _by_number(
    request: dict[str, Any], loads: tuple[float, ...], usual: float, provoking: float
) -> tuple[_Knots, float, float]:
    asked = given_demands(request, loads)
    usual_demand = number(request, "usual_demand_nm", 0, 1e9)
    knots = tuple(zip(loads, asked, strict=True))
    if usual > loads[-1] and usual_demand >= asked[-1]:
        knots = (*knots, (usual, usual_demand))
    if request.get("provoking_demand_nm") is not None:
        return knots, usual_demand, number(request, "provoking_demand_nm", 0, 1e9)
    if provoking == usual:
        return knots, usual_demand, usual_demand
    raise BadRequest("missing provoking_demand_nm; a provoking_kg beside the usual load needs its own demand")


def _by_mechanics(
    request: dict[str, Any], loads: tuple[float, ...], usual: float, provoking: float
) -> tuple[_Knots, float, float]:
    if missing := [key for key in BODY_KEYS if key not in request]:
        raise BadRequest(
            f"missing {', '.join(missing)}; a request needs lift and body, or demand_nm and usual_demand_nm"
        )
    body = request["body"]
    check_keys(body, "body", ("stature_cm", "mass_kg", "sex"), demand.TAPES)
    knots = sorted({*loads, usual, provoking})
    demands = dict(zip(knots, mechanics(request, body, knots), strict=True))
    return tuple(demands.items()), demands[usual], demands[provoking]


def mechanics(thing: dict[str, Any], body: dict[str, Any], loads: Sequence[float]) -> list[float]:
    """Largest low-back moment [N·m] of the lift of `thing` at each load, from a few that are worked out."""
    at = sorted({float(load) for load in np.linspace(min(loads), max(loads), _KNOTS)})
    asked = [float(_answer(thing, body, load, peak=True)["moments_nm"]["l5s1"]) for load in at]
    found: list[float] = np.interp(loads, at, np.maximum.accumulate(asked)).tolist()
    return found


def bend_deg(thing: dict[str, Any], body: dict[str, Any], load: float) -> float:
    """How far the hips are bent at the start (pulls) or bottom of the lift of `thing`."""
    return float(_answer(thing, body, load, peak=False)["bend"]["hip_flexion_deg"])


def _answer(thing: dict[str, Any], body: dict[str, Any], load: float, *, peak: bool) -> dict[str, Any]:
    place = {key: thing[key] for key in PLACE_KEYS if key in thing}
    return demand.answer({"lift": thing["lift"], "load": load, "peak": peak, **body, **place})
