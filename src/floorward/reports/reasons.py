"""Why a step is proposed: the rule that decided and the numbers it read, as findings for `wording`.

One rule can decide on different numbers; each way has a code of its own, so that the sentence names what mattered.
"""

from collections.abc import Mapping
from typing import Any

from floorward.core.findings import Finding
from floorward.core.records import SetUp
from floorward.reports.setup_words import setup_name
from floorward.reports.wording import sentence_for, word

Numbers = Mapping[str, Any]


def reasons(rule: str, numbers: Numbers) -> tuple[Finding, ...]:
    """The findings of a ruling.

    Args:
        rule: R0 to R8, E1, E2 or none.
        numbers: what the rule read: B, D, A, M and its own; `ruled`, the change it asked for; `rule`, the one underneath E1 and E2;
            `limit`, the code of what iron, wood or the model did to it.
    """
    filled, under, ruled = _filled(numbers), numbers.get("rule"), numbers.get("ruled", "")
    codes = [_code(under, ruled, numbers)] if under else []
    if under != rule:
        codes.append(_code(rule, ruled, numbers))
    if rule != "E2" and "step_backs" in numbers:
        codes.append("rule-E2")
    if numbers.get("limit"):
        codes.append(numbers["limit"])
    if numbers.get("next_sets"):
        codes.append("more-sets")
    if numbers.get("to"):
        codes.append("other-setup-leap" if numbers.get("to_instead") == "height" else "other-setup-still")
    return tuple(Finding(code=code, numbers=filled) for code in codes)


def other_setup(numbers: Numbers) -> str:
    """What the set-up is called that a decision brings in, inside a sentence; empty where it brings none."""
    to = dict(numbers.get("to") or {})
    if not to:
        return ""
    rise_mm, from_height = to.pop("rise_mm"), to.pop("from_height")
    return setup_name(SetUp(**to), rise_mm, from_height=from_height, inside=True)


def added(numbers: Numbers) -> str:
    """The set-up with its load that a decision added; empty where it added none."""
    if not numbers.get("onward"):
        return ""
    return sentence_for("added-setup", {"to_name": other_setup(numbers), "to_load": numbers["to_load"]})


def _code(rule: str, change: str, numbers: Numbers) -> str:
    if rule == "R1":
        return "rule-R1-stop" if change == "stop" else "rule-R1-back"
    if rule == "R3":
        return "rule-R3-quiet" if "quiet" in numbers else "rule-R3"
    if rule == "R2":
        return _over(numbers)
    if rule == "R7":
        return _bearable(change, numbers)
    return _nothing(numbers) if rule == "none" else f"rule-{rule}"


def _over(numbers: Numbers) -> str:
    if numbers["D"] > numbers["ceiling_set"]:
        return "rule-R2-during"
    return "rule-R2-after" if (numbers["A"] or 0) > numbers["after_max"] else "rule-R2-not-acceptable"


def _bearable(change: str, numbers: Numbers) -> str:
    if change == "forward":
        return "rule-R7-again"
    return "rule-R7-reps" if numbers.get("in_row", 1) > 1 else "rule-R7-first"


def _nothing(numbers: Numbers) -> str:
    """What kept a quiet exposure from going forward: the first number that is missing or short."""
    if numbers.get("D") is None:
        return "rule-none"
    if numbers["A"] is None:
        return "rule-none-after"
    if numbers["B"] is None:
        return "rule-none-baseline"
    if numbers.get("reps", 0) < numbers.get("target_reps", 0):
        return "rule-none-reps"
    return "rule-none-unrated" if numbers.get("rpe") is None else "rule-none-hard"


def _filled(numbers: Numbers) -> dict[str, Any]:
    """The numbers with what sentences need besides: the worst pain, how far the morning rose, and chances in words."""
    filled = dict(numbers)
    for name in ("ruled", "next", "to"):
        if f"{name}_odds" in numbers:
            filled[f"{name}_often"] = word("often", numbers[f"{name}_odds"])
    if numbers.get("to"):
        filled["to_name"] = other_setup(numbers)
    if filled.get("D") is not None:
        filled["worst"] = max(filled["D"], filled.get("A") or 0)
    if filled.get("M") is not None and filled.get("B") is not None:
        filled["rise"] = filled["M"] - filled["B"]
    return filled
