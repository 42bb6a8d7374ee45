"""Why a plan is as it is: each line's reasons, what was left out and why, what gave way. Codes and numbers, no sentences.

Every number can be recomputed from the request and the lines.
"""

from collections.abc import Iterator
from typing import Any

from floorward.core.alternatives import Alternative
from floorward.core.builder import Plan
from floorward.core.choices import LeftOut
from floorward.core.exercises import Role
from floorward.core.findings import Finding, Weight
from floorward.core.levers import Lever, levers
from floorward.core.line_choice import rest_seconds
from floorward.core.reckoning import PlannedLine, reckon
from floorward.core.worth import Effort, is_shortened, is_training
from floorward.tables import value
from floorward.units import plain

_TELLING = 0.05  # of a hard set: less is printed as nought


def line_reasons(plan: Plan, line: PlannedLine) -> tuple[Finding, ...]:
    """Why this line: its role, what it earns, what it asks and risks, and what the plan would be worth without it."""
    return tuple(
        Finding(code=code, field=line.key, numbers=numbers)
        for code, numbers in (*_role(line), *_earned(line), *_limits(plan, line), *_difference(plan, line))
    )


def left_out_reason(left_out: LeftOut) -> Finding:
    """Why an exercise could not be planned at all."""
    return Finding(code=f"left-{left_out.code}", field=left_out.exercise, numbers=dict(left_out.numbers))


def alternative_reason(alternative: Alternative) -> Finding:
    """Why the best line that was left out was left out."""
    line = alternative.line
    code = "left-worth-less" if alternative.instead_of else "left-fewer-sets"
    numbers = {
        "lift": line.key,
        "sets": line.sets,
        "repetitions": line.choice.repetitions,
        "load": _load(line),
        "worth_less": round(alternative.worth_less, 2),
        "instead_of": alternative.instead_of,
    }
    return Finding(code=code, field=line.key, numbers=numbers)


def plan_reasons(plan: Plan) -> tuple[Finding, ...]:
    """What is to be said about the whole: how sure it is, what stands in, what is missing, and what gave way."""
    return (*_sureness(plan), *_full_range(plan), *_easy_days(plan), *_gave_way(plan))


def line_levers(plan: Plan, line: PlannedLine) -> tuple[Lever, ...]:
    """What would make a line's sets harder at the same load; nothing for work that is as usual."""
    choice = line.choice
    if choice.exercise.role is Role.USUAL or choice.exercise.earns:
        return ()
    effort = Effort(
        share=choice.load.share,
        repetitions=choice.repetitions,
        left=choice.left,
        shortened=is_shortened(choice.exercise.setup),
    )
    return levers(
        effort,
        seconds_a_rep=value("builder", "time", "repetition"),
        rest_seconds=rest_seconds(choice.exercise, choice.load),
        curve=plan.request.curve,
    )


def _role(line: PlannedLine) -> Iterator[tuple[str, dict[str, Any]]]:
    exercise = line.choice.exercise
    numbers = {"load": _load(line), "percent": _percent(line.choice.load.share)}
    if exercise.role is Role.FULL_RANGE and exercise.short_of_full_mm:
        yield "line-stands-in", {**numbers, "short_cm": exercise.short_of_full_mm / 10}
    else:
        yield f"line-{exercise.role}", numbers
    accepted = exercise.loads[-1].load
    if exercise.role is Role.FULL_RANGE and line.choice.load.load < accepted and not line.choice.pinned:
        yield "line-lighter", {"accepted": f"{plain(accepted)} {exercise.unit}"}
    if exercise.single_from:
        code = "line-guess" if exercise.single_guessed else "line-ratio"
        yield code, {"lift": exercise.single_from}
    if line.choice.pinned:
        yield "line-settled", {}
    if exercise.first_time:
        sets, rpe, repetitions = value("builder", "new")[0]
        yield "line-new", {"sets": sets, "rpe": rpe, "repetitions": repetitions}


def _earned(line: PlannedLine) -> Iterator[tuple[str, dict[str, Any]]]:
    share = line.choice.load.share
    if not line.choice.exercise.earns and not is_training(share):
        yield (
            "line-movement",
            {"percent": _percent(share), "least": _percent(value("worth", "training_from"))},
        )
        return
    earned = {name: round(amount, 2) for name, amount in line.credits.items() if not name.startswith("lift:")}
    told = {name: amount for name, amount in earned.items() if amount >= _TELLING} or earned
    yield "line-earns", {"listed": told, "credits": earned}


def _limits(plan: Plan, line: PlannedLine) -> Iterator[tuple[str, dict[str, Any]]]:
    if line.choice.asks:
        yield (
            "line-chance",
            {"percent": _percent(line.choice.load.chance), "most": _percent(plan.request.chance_most)},
        )
    for region, asked in line.asks.items():
        allowed = plan.request.allowances.get(region)
        if allowed:
            yield "line-asks", {"region": str(region), "percent": _percent(asked / allowed.day)}
    yield "line-minutes", {"minutes": round(line.minutes)}


def _difference(plan: Plan, line: PlannedLine) -> Iterator[tuple[str, dict[str, Any]]]:
    without = reckon(plan.request, [other for other in plan.lines if other != line])
    more = round(plan.reckoning.worth - without.worth, 2)
    if more > 0:
        yield "line-worth", {"worth": more}


def _sureness(plan: Plan) -> Iterator[Finding]:
    if plan.lines:
        numbers = {"worth": round(plan.reckoning.worth, 1), "percent": round(100 * plan.gap, 1)}
        code = "plan-best" if plan.gap == 0 else "plan-within-gap"
        yield Finding(code=code, numbers=numbers)
    else:
        yield Finding(code="plan-empty", weight=Weight.ASK)


def _full_range(plan: Plan) -> Iterator[Finding]:
    wanted = [one for one in plan.request.exercises if one.role is Role.FULL_RANGE]
    there = [line for line in plan.lines if line.choice.exercise.role is Role.FULL_RANGE]
    keys = {one.key for one in wanted}
    too_sore = any(one.exercise in keys and one.code == "too-sore" for one in plan.left_out)
    if wanted and not there and (plan.lines or too_sore):
        yield Finding(code="plan-find-again" if too_sore else "plan-no-range", weight=Weight.ASK)
    offered = any(one.role is Role.VARIATION for one in plan.request.exercises)
    if offered and plan.lines and not any(line.choice.exercise.role is Role.VARIATION for line in plan.lines):
        yield Finding(code="plan-no-variation")


def _easy_days(plan: Plan) -> Iterator[Finding]:
    """Regions whose last hard day is so near that the first day planned stays easy."""
    apart, easy = value("builder", "spacing", "days"), value("builder", "spacing", "hard")
    for region, allowance in plan.request.allowances.items():
        last = allowance.last_hard_day
        if last is not None and plan.request.days[0].day - last < apart:
            yield Finding(code="plan-easy-day", numbers={"region": str(region), "percent": _percent(easy)})


def _gave_way(plan: Plan) -> Iterator[Finding]:
    if plan.conflict is None:
        return
    minutes = dict(plan.conflict.minutes_needed)
    for wish in plan.conflict.given_up:
        yield Finding(
            code=f"gives-way-{wish.kind}",
            field=wish.about,
            weight=Weight.ASK,
            numbers={"lift": wish.about, "minutes": minutes.get(wish.day, 0), "day": wish.day},
        )
    for wish in plan.conflict.instead:
        yield Finding(
            code=f"instead-{wish.kind}", field=wish.about, numbers={"lift": wish.about, "day": wish.day}
        )


def _load(line: PlannedLine) -> str:
    return f"{plain(line.choice.load.load)} {line.choice.exercise.unit}"


def _percent(share: float) -> int:
    return round(100 * share)
