"""`floorward plates`: what goes on each side of the bar for a load, within the stock, with the fewest plates."""

import argparse
import json
import re
import sys
from decimal import Decimal
from math import inf
from typing import Any

from floorward.cli import jsonl
from floorward.cli.jsonl import Answer, BadRequest
from floorward.core.plates import nearest, workable
from floorward.core.records import Bar, BarKind, Plate, PlateSet
from floorward.units import Mass, Unit

KEYS = ("target", "unit", "bar", "collars", "stock")
MOST = 10_000  # for a bar or a collar, and for the number of pairs: more is a slip of the finger
NUMBER = re.compile(r"[0-9]{1,9}(\.[0-9]{1,9})?")
PAIRS = re.compile(r"[0-9]{1,9}")


def register(subparsers: Any) -> None:
    """Add the command and its options."""
    command = subparsers.add_parser("plates", help="what goes on each side of the bar", description=__doc__)
    command.add_argument("--target", metavar="LOAD", help="the load wanted, bar and collars included")
    command.add_argument("--unit", metavar="kg|lb", help="the unit of every number")
    command.add_argument("--bar", metavar="MASS", help="mass of the bar")
    command.add_argument("--collars", metavar="MASS", help="mass of one collar; two are used; 0 for none")
    command.add_argument("--stock", metavar="SIZE:PAIRS,…", help="plates in pairs, such as 25:4,20:2,1.25:1")
    command.add_argument("--json", action="store_true", help="answer as JSON")
    command.add_argument(
        "--jsonl", action="store_true", help="a JSON request a line in, an answer a line out"
    )
    command.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Answer the options, or every line of standard input."""
    if options.jsonl:
        return jsonl.run(sys.stdin, sys.stdout, answer)
    given = {key: getattr(options, key) for key in KEYS if getattr(options, key) is not None}
    reply = answer({key: _typed(key, text) for key, text in given.items()})
    print(json.dumps(reply) if options.json else sentence(reply, options.unit))
    return 0


def answer(request: dict[str, Any]) -> Answer:
    """The answer to one request, whose keys are the names of the options.

    Raises:
        BadRequest: if a key is unknown or missing, or its value cannot be used.
    """
    _check_keys(request)
    target = _mass(request, "target")
    plate_set = _plate_set(request)
    if not workable(plate_set, target):
        raise BadRequest(
            "stock has too many plates, or sizes without a common step; give them as they are stamped"
        )
    found = nearest(plate_set, target)
    per_side = found.below.per_side if found.below else ()
    below = _number(found.below.total.value) if found.below else None
    return {
        "target": _number(target),
        "made": below,
        "per_side": [_number(plate.mass.value) for plate in per_side],
        "plates": len(per_side),
        "below": below,
        "above": _number(found.above.total.value) if found.above else None,
        "exact": found.exact,
    }


def sentence(reply: Answer, unit: str) -> str:
    """The answer for a person at a terminal."""
    side = " + ".join(str(mass) for mass in reply["per_side"]) or "nothing"
    if reply["exact"]:
        return f"{reply['made']} {unit}: {side} on each side"
    below = (
        f"below it {reply['made']} {unit}: {side} on each side"
        if reply["made"] is not None
        else "nothing below it"
    )
    above = f"above it {reply['above']} {unit}" if reply["above"] is not None else "nothing above it"
    return f"{reply['target']} {unit} cannot be made; {below}; {above}"


def _check_keys(request: dict[str, Any]) -> None:
    if unknown := sorted(set(request) - set(KEYS)):
        raise BadRequest(f"unknown key {', '.join(unknown)}; the keys are {', '.join(KEYS)}")
    if missing := [key for key in KEYS if key not in request]:
        raise BadRequest(f"missing {', '.join(missing)}; a request needs {', '.join(KEYS)}")


def _plate_set(request: dict[str, Any]) -> PlateSet:
    unit = _unit(request["unit"])
    # Neither sleeve nor thickness is asked for, so they bound nothing here.
    bar = Bar(name="bar", kind=BarKind.STRAIGHT, mass=Mass(_mass(request, "bar", MOST), unit), sleeve_mm=0)
    stock = _stock(request["stock"])
    plates = tuple(Plate(mass=Mass(size, unit), pairs=pairs, thickness_mm=0) for size, pairs in stock.items())
    return PlateSet(bar=bar, collar=Mass(_mass(request, "collars", MOST), unit), plates=plates)


def _unit(value: Any) -> Unit:
    if value not in tuple(Unit):
        raise BadRequest(f"unit must be kg or lb, not {value!r}")
    return Unit(value)


def _mass(request: dict[str, Any], key: str, most: float = inf) -> Decimal:
    """A mass as the decimal that was written, not the binary number nearest to it."""
    value = request[key]
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        raise BadRequest(f"{key} must be a number, not {json.dumps(value)}")
    mass = Decimal(repr(value)) if isinstance(value, float) else Decimal(value)
    if not (mass.is_finite() and 0 <= mass <= most):
        raise BadRequest(
            f"{key} must be 0 or more{'' if most == inf else f' and {most} at most'}, not {value}"
        )
    return mass


def _stock(stock: Any) -> dict[Decimal, int]:
    if not isinstance(stock, dict):
        raise BadRequest('stock must be an object of size and pairs, such as {"25": 4, "20": 2}')
    sizes: dict[Decimal, int] = {}
    for text, pairs in stock.items():
        size = _size(text)
        if size in sizes:
            raise BadRequest(f"stock names the {text} plate twice; add its pairs up")
        if isinstance(pairs, bool) or not isinstance(pairs, int) or not 0 <= pairs <= MOST:
            raise BadRequest(f"stock: pairs of the {text} plate must be a whole number from 0 to {MOST}")
        sizes[size] = pairs
    return sizes


def _size(text: str) -> Decimal:
    if not NUMBER.fullmatch(text) or not Decimal(text):
        raise BadRequest(f"stock: {text!r} is not the mass of a plate, such as 25 or 1.25")
    return Decimal(text)


def _typed(key: str, text: str) -> Any:
    """What JSON would have carried for an option's text."""
    if key == "stock":
        return _stock_of(text)
    if key == "unit":
        return text
    if not NUMBER.fullmatch(text):
        raise BadRequest(f"--{key} must be a number such as 142.5, not {text!r}")
    return Decimal(text)


def _stock_of(text: str) -> dict[str, int]:
    stock: dict[str, int] = {}
    for item in filter(None, text.split(",")):
        size, colon, pairs = item.strip().partition(":")
        if not colon or not PAIRS.fullmatch(pairs):
            raise BadRequest(f"--stock: {item!r} is not a size and its pairs, such as 25:4")
        if size in stock:
            raise BadRequest(f"stock names the {size} plate twice; add its pairs up")
        stock[size] = int(pairs)
    return stock


def _number(value: Decimal) -> int | float:
    """A plain JSON number; whole where it is whole."""
    return int(value) if value == value.to_integral_value() else float(value)
