"""`floorward demand`: posture, moments and bend of a lift at a load, for one body.

Angles in degrees: shank and trunk from the horizontal, leaning forward < 90; thigh 0 with hip and knee level, positive with the hip
higher; knee and hip included angles, 180 straight. Moments in N·m, both legs together, positive when the muscles must extend.
"""

import argparse
import json
import sys
from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from floorward.cli import jsonl
from floorward.cli.jsonl import Answer, BadRequest
from floorward.core.body import tape_scores
from floorward.core.demand import Case, Demand, Unreachable, demand_at, demands_at
from floorward.core.lifts import Fixes, Lift, catalogue
from floorward.core.records import Person, Sex, Tape
from floorward.core.tasks import Given, Place
from floorward.units import KG_PER_LB

Done = TypeVar("Done")
NEEDED = ("lift", "load", "stature_cm", "mass_kg", "sex")
TAPES = ("span_cm", "crotch_cm", "sitting_height_cm", "knee_height_cm", "sleeve_cm")
LIMITS = {
    "load": (0, 1000),
    "stature_cm": (120, 230),
    "mass_kg": (30, 250),
    "height_cm": (0, 200),
    "depth_deg": (-45, 80),
    "box_cm": (5, 100),
    "stance_cm": (10, 150),
    "knee_deg": (20, 180),
    "trunk_deg": (0, 90),
    **dict.fromkeys(TAPES, (10, 300)),
}
KEYS = (*NEEDED, "unit", *(key for key in LIMITS if key not in NEEDED), "peak")
UNUSUAL = 6.0  # standard deviations beyond which a tape measure is taken for a slip

BECAUSE = {
    "hand-height": "straight arms do not bring the hands there",
    "hip-height": "the hip cannot be at that height",
    "thigh-angle": "the thigh cannot be at that angle",
    "knee-angle": "the knee cannot be at that angle",
    "trunk-angle": "the trunk cannot lean like that",
    "balance-forward": "the lifter would fall forward",
    "balance-back": "the lifter would fall back",
    "bar-and-leg": "the bar would be inside the leg",
    "dorsiflexion": "the ankle does not bend so far",
    "shank-back": "the shank would lean too far back",
    "knee-bend": "the knee does not bend so far",
    "knee-straight": "the knee cannot be straighter than straight",
    "fold": "trunk and thigh do not fold so far",
    "trunk-level": "the trunk would hang below the level",
    "trunk-back": "the trunk would lean back beyond upright",
    "arms-forward": "the arms would swing too far forward",
    "arms-back": "the arms would swing too far back",
}


def register(subparsers: Any) -> None:
    """Add the command and its options."""
    command = subparsers.add_parser(
        "demand", help="what a lift asks of back, hip and knee", description=__doc__
    )
    command.add_argument("--lift", metavar="KEY", help="a key of 'floorward lifts'")
    command.add_argument(
        "--load", metavar="LOAD", help="all that is held or carried, bar and collars included"
    )
    command.add_argument("--unit", metavar="kg|lb", help="unit of the load, kg unless said")
    command.add_argument("--sex", metavar="male|female", help="which body tables apply")
    for key in LIMITS:
        if key != "load":
            command.add_argument(
                _option(key), metavar="NUMBER", help=f"{key.rpartition('_')[0].replace('_', ' ')}"
            )
    command.add_argument("--peak", action="store_true", default=None, help="largest moments of the way up")
    command.add_argument("--json", action="store_true", help="answer as JSON")
    command.add_argument(
        "--jsonl", action="store_true", help="a JSON request a line in, an answer a line out"
    )
    command.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Answer the options, or every line of standard input."""
    if options.jsonl:
        return jsonl.run_together(jsonl.come_in(sys.stdin.fileno()), sys.stdout, answer_all)
    given = {key: getattr(options, key) for key in KEYS if getattr(options, key) is not None}
    reply = answer({key: _typed(key, text) for key, text in given.items()})
    print(json.dumps(reply) if options.json else sentence(reply))
    return 0


def answer(request: dict[str, Any]) -> Answer:
    """The answer to one request, whose keys are the names of the options with underscores.

    Raises:
        BadRequest: if a key is unknown, missing, of the wrong type or out of range, or no posture reaches what is asked.
    """
    case, where = _case(request)
    found = demand_at(case.person, case.lift, case.place, case.load_kg, case.given, way_up=case.way_up)
    return _said(case, where, found)


def answer_all(requests: list[dict[str, Any]]) -> list[Answer | BadRequest]:
    """The answers to many requests, in order, each as `answer` gives it or what is wrong with it; worked out together."""
    read = [_tried(_case, request) for request in requests]
    cases = [one[0] for one in read if not isinstance(one, BadRequest)]
    found = iter(demands_at(cases))
    return [one if isinstance(one, BadRequest) else _tried(_said, *one, next(found)) for one in read]


def _tried(work: Callable[..., Done], *given: Any) -> Done | BadRequest:
    try:
        return work(*given)
    except BadRequest as error:
        return error


def _case(request: dict[str, Any]) -> tuple[Case, str]:
    """What is asked, and the words for where."""
    if unknown := sorted(set(request) - set(KEYS)):
        raise BadRequest(f"unknown key {', '.join(unknown)}; the keys are {', '.join(KEYS)}")
    if missing := [key for key in NEEDED if key not in request]:
        raise BadRequest(f"missing {', '.join(missing)}; a request needs {', '.join(NEEDED)}")
    lift = _lift(request["lift"])
    numbers = {key: _number(request, key) for key in LIMITS if key in request}
    load_kg = numbers["load"] * (float(KG_PER_LB) if _unit(request.get("unit", "kg")) == "lb" else 1.0)
    if load_kg > LIMITS["load"][1]:
        raise BadRequest(f"load must be {LIMITS['load'][1]} kg at most, not {load_kg:.0f} kg")
    peak = request.get("peak", False)
    if not isinstance(peak, bool):
        raise BadRequest(f"peak must be true or false, not {json.dumps(peak)}")
    given = Given(
        stance_mm=numbers.get("stance_cm", 0.0) * 10.0,
        knee_deg=numbers.get("knee_deg"),
        trunk_deg=numbers.get("trunk_deg"),
    )
    case = Case(
        person=_person(request, numbers),
        lift=lift,
        place=_place(lift, numbers),
        load_kg=load_kg,
        given=given,
        way_up=peak,
    )
    return case, _where(numbers)


def _said(case: Case, where: str, found: Demand | Unreachable) -> Answer:
    if isinstance(found, Unreachable):
        raise BadRequest(f"{case.lift.key} {where}cannot be reached because {BECAUSE[found.code]}")
    return _reply(case.lift, case.load_kg, found, peak=case.way_up)


def sentence(reply: Answer) -> str:
    """The answer for a person at a terminal."""
    moments, posture, band = reply["moments_nm"], reply["posture"], reply["band"]
    if moments["knee"] is None:
        return (
            f"{reply['lift']} {reply['load_kg']:g} kg: low back {moments['l5s1']:.0f} N·m, hip {moments['hip']:.0f} N·m;"
            " legs are not modelled. Model, not a measurement."
        )
    return (
        f"{reply['lift']} {reply['load_kg']:g} kg: low back {moments['l5s1']:.0f} N·m"
        f" ({band['l5s1_nm'][0]:.0f} to {band['l5s1_nm'][1]:.0f}), hip {moments['hip']:.0f}, knee {moments['knee']:.0f},"
        f" ankle {moments['ankle']:.0f} N·m; trunk {posture['trunk_deg']:.0f}°, thigh {posture['thigh_deg']:.0f}°,"
        f" knee {posture['knee_deg']:.0f}°. Model, not a measurement: one of several likely postures."
    )


def _reply(lift: Lift, load_kg: float, found: Demand, *, peak: bool) -> Answer:
    state = found.heaviest if peak else found.start
    moments = found.peak_nm if peak else state.moments_nm
    angles = state.angles_deg
    return {
        "lift": lift.key,
        "load_kg": _round(load_kg),
        "height_m": _round(state.points_m["load"][1]),
        "posture": {
            **{f"{name}_deg": _known(angles, name) for name in ("shank", "thigh", "trunk", "knee", "hip")},
            "com_offset_m": _round(state.centre_offset_m),
            "grip_x_m": _round(state.points_m["load"][0]),
        },
        "moments_nm": {joint: _known(moments, joint) for joint in ("ankle", "knee", "hip", "l5s1")},
        "bend": {
            "hip_flexion_deg": _round(180.0 - angles["hip"]),
            "lumbar_flexion_deg": _round(state.lumbar_flexion_deg),
        },
        "band": {
            "l5s1_nm": _band(found, "l5s1_nm", moments["l5s1"] - found.start.moments_nm["l5s1"]),
            "trunk_deg": _band(found, "trunk_deg", angles["trunk"] - found.start.angles_deg["trunk"]),
            "thigh_deg": _band(found, "thigh_deg", angles["thigh"] - found.start.angles_deg["thigh"]),
        },
        "peak": peak,
    }


def _known(found: Mapping[str, float], name: str) -> float | None:
    """A number of the answer; null where the lift's model says nothing about it."""
    return _round(found[name]) if name in found else None


def _band(found: Demand, name: str, shift: float) -> list[float]:
    """The band worked out at the start, moved to the reported instant."""
    band = found.bands[name]
    return [_round(band.p10 + shift), _round(band.p90 + shift)]


def _round(number: float) -> float:
    return round(number, 6) + 0.0  # no minus zero


def _lift(key: Any) -> Lift:
    if not isinstance(key, str) or key not in catalogue():
        raise BadRequest(f"lift {json.dumps(key)} is not in the catalogue; see 'floorward lifts'")
    lift = catalogue()[key]
    if not lift.modelled:
        raise BadRequest(f"lift {key} is not modelled; go by pain only")
    return lift


def _unit(value: Any) -> str:
    if value not in ("kg", "lb"):
        raise BadRequest(f"unit must be kg or lb, not {json.dumps(value)}")
    return str(value)


def _number(request: dict[str, Any], key: str) -> float:
    value = request[key]
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise BadRequest(f"{key} must be a number, not {json.dumps(value)}")
    low, high = LIMITS[key]
    if key == "load":
        high = int(high / float(KG_PER_LB)) + 1  # in either unit; the load in kilograms is looked at later
    if not low <= value <= high:
        raise BadRequest(f"{key} must be from {low} to {LIMITS[key][1]}")
    return float(value)


def _person(request: dict[str, Any], numbers: dict[str, float]) -> Person:
    if request["sex"] not in ("male", "female"):
        raise BadRequest(f"sex must be male or female, not {json.dumps(request['sex'])}")
    tape = Tape(**{f"{key[:-3]}_m": numbers[key] / 100.0 for key in TAPES if key in numbers})
    person = Person(
        stature_m=numbers["stature_cm"] / 100.0,
        mass_kg=numbers["mass_kg"],
        sex=Sex(request["sex"]),
        tape=tape,
    )
    for name, score in tape_scores(person).items():
        if abs(score) > UNUSUAL:
            raise BadRequest(
                f"{name}_cm does not fit a stature of {numbers['stature_cm']:g} cm; measure it again"
            )
    return person


def _place(lift: Lift, numbers: dict[str, float]) -> Place:
    """Where the lift starts or turns; keys that this lift does not take are refused."""
    takes = {Fixes.HEIGHT: "height_cm", Fixes.THIGH: "depth_deg", Fixes.BOX: "box_cm"}.get(lift.fixes)
    for key in ("height_cm", "depth_deg", "box_cm"):
        if key in numbers and key != takes:
            raise BadRequest(f"{key} does not apply to {lift.key}" + (f"; it takes {takes}" if takes else ""))
    usual = lift.numbers
    return Place(
        hand_height_m=numbers.get("height_cm", lift.default_height_mm / 10.0) / 100.0,
        depth_deg=numbers.get("depth_deg", usual.get("depth_deg", 0.0)),
        box_m=numbers.get("box_cm", usual.get("box_mm", 0.0) / 10.0) / 100.0,
    )


def _where(numbers: dict[str, float]) -> str:
    said = [
        f"{key} {numbers[key]:g}"
        for key in ("height_cm", "depth_deg", "box_cm", "knee_deg", "trunk_deg")
        if key in numbers
    ]
    return f"with {', '.join(said)} " if said else ""


def _typed(key: str, text: Any) -> Any:
    """What JSON would have carried for an option's text."""
    if key in LIMITS:
        try:
            return float(text)
        except ValueError:
            raise BadRequest(f"{_option(key)} must be a number such as 42.5, not {text!r}") from None
    return text


def _option(key: str) -> str:
    return f"--{key.replace('_', '-')}"
