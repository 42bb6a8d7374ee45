"""`floorward lifts`: the catalogue, with each lift's defaults."""

import argparse
import json
import sys
from typing import Any

from floorward.cli import jsonl
from floorward.cli.jsonl import Answer, BadRequest
from floorward.core.lifts import Lift, catalogue


def register(subparsers: Any) -> None:
    """Add the command and its options."""
    command = subparsers.add_parser("lifts", help="the catalogue of lifts", description=__doc__)
    command.add_argument("--lift", metavar="KEY", help="one lift only")
    command.add_argument("--json", action="store_true", help="answer as JSON")
    command.add_argument(
        "--jsonl", action="store_true", help="a JSON request a line in, an answer a line out"
    )
    command.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Answer the options, or every line of standard input."""
    if options.jsonl:
        return jsonl.run(sys.stdin, sys.stdout, answer)
    reply = answer({"lift": options.lift} if options.lift else {})
    print(json.dumps(reply) if options.json else "\n".join(sentence(row) for row in reply["lifts"]))
    return 0


def answer(request: dict[str, Any]) -> Answer:
    """All lifts, or the one that `lift` names.

    Raises:
        BadRequest: if a key is unknown or the lift is not in the catalogue.
    """
    if unknown := sorted(set(request) - {"lift"}):
        raise BadRequest(f"unknown key {', '.join(unknown)}; the only key is lift")
    if "lift" not in request:
        return {"lifts": [_row(lift) for lift in catalogue().values()]}
    key = request["lift"]
    if not isinstance(key, str) or key not in catalogue():
        raise BadRequest(f"lift {json.dumps(key)} is not in the catalogue; ask without it to see all")
    return {"lifts": [_row(catalogue()[key])]}


def sentence(row: Answer) -> str:
    """One lift on one line."""
    defaults = ", ".join(f"{name.replace('_', ' ')} {number:g}" for name, number in row["defaults"].items())
    return f"{row['lift']:32} {row['family']:16} {defaults or 'not modelled: go by pain'}"


def _row(lift: Lift) -> Answer:
    return {
        "lift": lift.key,
        "name": lift.name,
        "family": str(lift.family),
        "modelled": lift.modelled,
        "implement": lift.implement,
        "held": str(lift.held),
        "fixes": str(lift.fixes),
        "defaults": _defaults(lift),
        "equipment": list(lift.equipment),
        "contest": list(lift.contest),
        "learning": lift.learning,
        "cautions": list(lift.cautions),
        "direct": list(lift.direct),
        "indirect": list(lift.indirect),
        "leads_back_to": lift.leads_back_to or None,
    }


def _defaults(lift: Lift) -> dict[str, float]:
    """The lift's own numbers in the units that `demand` takes."""
    numbers = lift.numbers if lift.modelled else {}
    lengths = {"height_mm": "height_cm", "box_mm": "box_cm", "stance_mm": "stance_cm"}
    found = {lengths[name]: number / 10.0 for name, number in numbers.items() if name in lengths}
    return found | {
        name: float(number) for name, number in numbers.items() if name in {"depth_deg", "trunk_deg"}
    }
