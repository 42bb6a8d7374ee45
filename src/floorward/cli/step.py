"""`floorward step --jsonl`: the next load after a history of training, and when the old load should be back.

Requests and answers stand in docs/reference/command-line.md.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise
from typing import Any

from floorward.cli import jsonl
from floorward.cli.jsonl import Answer, BadRequest
from floorward.cli.onward_request import OtherGround, others
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
    score,
    text,
    whole,
)
from floorward.core.exposures import Exposure
from floorward.core.forecast import Forecast
from floorward.core.protocol import SHIPPED, Profile
from floorward.core.steps import History, Step, chance_limit, next_step, report_of, step_forecast
from floorward.core.tolerance import Priors, Report
from floorward.tables import value

NEEDED = ("loads_kg", "usual_kg", "history", "today")
OPTIONAL = (*LOAD_KEYS[2:], "profile", "variations", *BODY_KEYS, *PLACE_KEYS, *GIVEN_KEYS)
SET_NEEDED = ("day", "load_kg", "sets", "reps", "target_reps", "pain", "acceptable")
SET_OPTIONAL = ("rpe", "before", "after", "morning", "spreading", "variation")
MOST_DAYS = 3650
SEED = 20260301

_BEGAN = date(2001, 1, 1)  # a Monday: calendar weeks are counted from the day the episode began


def register(subparsers: Any) -> None:
    """Add the command and its options."""
    command = subparsers.add_parser(
        "step", help="the next load after a history of training", description=__doc__
    )
    command.add_argument(
        "--jsonl", action="store_true", help="a JSON request a line in, an answer a line out"
    )
    command.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Answer every line of standard input."""
    if not options.jsonl:
        raise BadRequest("a history is given in JSON; use 'floorward step --jsonl' and give a request a line")
    return jsonl.run(sys.stdin, sys.stdout, answer)


def answer(request: dict[str, Any]) -> Answer:
    """The next load, and the forecast.

    Raises:
        BadRequest: if a key is unknown, missing, of the wrong type or out of range, or days are out of order.
    """
    check_keys(request, "request", NEEDED, OPTIONAL)
    common = ground(request)
    profile = Profile(choice(request, "profile", tuple(Profile)))
    usual_step = Decimal(
        value("rules", "R8", "cap_percent")
    )  # another program has no gym with a step of its own
    protocol = replace(SHIPPED, profile=profile, ceiling_finding=common.ceiling, forward_percent=usual_step)
    today = whole(request, "today", 0, MOST_DAYS)
    history = _history(common, others(request, common), items(request, "history"), today)
    now = _BEGAN + timedelta(days=today)
    step = next_step(history, protocol, now)
    return _reply(step, step_forecast(history, step, protocol, now, SEED))


def _history(common: Ground, onward: tuple[OtherGround, ...], given: list[Any], today: int) -> History:
    known = {each.name: each for each in onward}
    rows = [(_exposure(each), _variation(each, known)) for each in given]
    _check_days([(exposure.day - _BEGAN).days for exposure, _ in rows], today)
    exposures = tuple(exposure for exposure, other in rows if other is None)
    if not exposures:
        raise BadRequest(
            "history must hold at least one exposure of the lift itself; to begin with, use find"
        )
    last, over = exposures[-1], common.ceiling
    hurt = [(e.day, o.name if o else "") for e, o in rows if e.during > over or not e.acceptable]
    done = {other.name for _, other in rows if other is not None}
    return History(
        began=_BEGAN,
        loads=tuple(_exact(load) for load in common.loads_kg),
        demands=common.demands,
        usual_load=_exact(common.usual_kg),
        priors=Priors(
            usual_demand=common.usual_demand,
            provoking_demand=common.provoking_demand,
            provoking_pain=common.provoking_pain,
            ceiling=common.ceiling,
            variations=tuple(sorted(known)),
        ),
        exposures=exposures,
        asked=tuple(common.demand_at(float(exposure.load)) for exposure in exposures),
        others=tuple(_report(exposure, other) for exposure, other in rows if other is not None),
        onward=tuple(
            each.up_to(
                float(last.load),
                known=each.name in done,
                limit=chance_limit((day for day, name in hurt if name in {"", each.name}), last.day),
            )
            for each in onward
        ),
    )


def _check_days(days: list[int], today: int) -> None:
    for earlier, later in pairwise(days):
        if later < earlier:
            raise BadRequest(f"history must go by its days; day {later} comes after day {earlier}")
    if days and days[-1] > today:
        raise BadRequest(f"history must not go beyond today; day {days[-1]} is after day {today}")


def _variation(given: dict[str, Any], known: Mapping[str, OtherGround]) -> OtherGround | None:
    """The other set-up that a line of the history was done on; None for the lift itself."""
    if given.get("variation") is None:
        return None
    name = text(given, "variation")
    if name not in known:
        raise BadRequest(f"history: {name} is not among the variations of the request")
    return known[name]


def _report(exposure: Exposure, other: OtherGround) -> Report:
    return report_of(
        exposure, other.demand_at(float(exposure.load)), _BEGAN, variation=other.name, bend=other.bend
    )


def _exposure(given: Any) -> Exposure:
    check_keys(given, "history", SET_NEEDED, SET_OPTIONAL)
    return Exposure(
        day=_BEGAN + timedelta(days=whole(given, "day", 0, MOST_DAYS)),
        load=_exact(number(given, "load_kg", 0, MOST_KG)),
        sets=whole(given, "sets", 1, 100),
        reps=whole(given, "reps", 0, 1000),
        target_reps=whole(given, "target_reps", 0, 1000),
        rpe=None if given.get("rpe") is None else number(given, "rpe", 0, 10),
        before=score(given, "before"),
        during=whole(given, "pain", 0, 10),
        after=score(given, "after"),
        morning=score(given, "morning"),
        acceptable=flag(given, "acceptable"),
        spreading=flag(given, "spreading", default=False),
    )


def _exact(load_kg: float) -> Decimal:
    """The decimal that was written, not the binary number nearest to it."""
    return Decimal(repr(load_kg))


def _reply(step: Step, ahead: Forecast) -> Answer:
    chance = step.chance_unacceptable
    return {
        "next_kg": None if step.load is None else float(step.load),
        "sets": step.sets,
        "variation": step.turn.to.name if step.turn else None,
        "change": str(step.change),
        "reason": step.reason,
        "chance_unacceptable": None if chance is None else round(chance, 6),
        "tolerance_nm": {name: round(getattr(step.band, name), 3) for name in ("median", "p05", "p95")},
        "forecast": {
            "p10_day": ahead.p10_day,
            "p50_day": ahead.p50_day,
            "p90_day": ahead.p90_day,
            "share_not_by_26_weeks": round(ahead.share_not_by_26_weeks, 4),
        },
    }
