"""`floorward find --jsonl`: the next load to try on a sore lift, or that the search is done.

Requests and answers stand in docs/reference/command-line.md.
"""

from __future__ import annotations

import argparse
import sys
from typing import Any

from floorward.cli import jsonl
from floorward.cli.jsonl import Answer, BadRequest
from floorward.cli.tolerance_request import (
    BODY_KEYS,
    GIVEN_KEYS,
    LOAD_KEYS,
    MOST_KG,
    PLACE_KEYS,
    Ground,
    check_keys,
    choice,
    flag,
    ground,
    items,
    number,
    whole,
)
from floorward.core.finder import LoadSearch, Manner, Next, Tried, next_test

NEEDED = ("loads_kg", "usual_kg", "history")
OPTIONAL = (*LOAD_KEYS[2:], "manner", *BODY_KEYS, *PLACE_KEYS, *GIVEN_KEYS)
SET_KEYS = ("load_kg", "reps", "pain", "acceptable")


def register(subparsers: Any) -> None:
    """Add the command and its options."""
    command = subparsers.add_parser("find", help="the next load to try on a sore lift", description=__doc__)
    command.add_argument(
        "--jsonl", action="store_true", help="a JSON request a line in, an answer a line out"
    )
    command.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Answer every line of standard input."""
    if not options.jsonl:
        raise BadRequest("a search is asked in JSON; use 'floorward find --jsonl' and give a request a line")
    return jsonl.run(sys.stdin, sys.stdout, answer)


def answer(request: dict[str, Any]) -> Answer:
    """The next test, or the result of the search.

    Raises:
        BadRequest: if a key is unknown, missing, of the wrong type or out of range.
    """
    check_keys(request, "request", NEEDED, OPTIONAL)
    common = ground(request)
    search = LoadSearch(
        loads_kg=common.loads_kg,
        demands=common.demands,
        usual_kg=common.usual_kg,
        usual_demand=common.usual_demand,
        provoking_demand=common.provoking_demand,
        provoking_pain=common.provoking_pain,
        rest_pain=common.rest_pain,
        ceiling=common.ceiling,
        manner=Manner(choice(request, "manner", tuple(Manner))),
        tried=tuple(_tried(each, common) for each in items(request, "history")),
    )
    return _reply(next_test(search))


def _tried(given: Any, common: Ground) -> Tried:
    check_keys(given, "history", SET_KEYS, ("spreading",))
    load = number(given, "load_kg", 0, MOST_KG)
    whole(given, "reps", 1, 1000)
    return Tried(
        load_kg=load,
        demand=common.demand_at(load),
        pain=whole(given, "pain", 0, 10),
        acceptable=flag(given, "acceptable"),
        spreading=flag(given, "spreading", default=False),
    )


def _reply(found: Next) -> Answer:
    chance = found.chance_unacceptable
    return {
        "next_kg": found.next_kg,
        "done": found.done,
        "estimate_kg": found.estimate_kg,
        "accepted_kg": found.accepted_kg,
        "chance_unacceptable": None if chance is None else round(chance, 6),
        "tolerance_nm": {name: round(getattr(found.tolerance, name), 3) for name in ("median", "p05", "p95")},
        "reason": str(found.reason),
    }
