"""The reason of each step of a search: the code of its sentence and the numbers behind it."""

from decimal import Decimal

from floorward.core.findings import Finding
from floorward.core.ladder import Search, Step, StepKind, Test, is_acceptable
from floorward.core.loadable import at_or_under
from floorward.core.search import is_raised
from floorward.tables import value
from floorward.units import Mass, Unit


def why(record: Search, step: Step, unit: Unit) -> Finding:
    """Why this is the next set, or why the search is over."""
    ended = step.kind in {StepKind.DONE, StepKind.STOP}
    reason = step.reason
    if reason == "lightest" and record.tests:
        reason = "lightest-after-two"
    if reason == "no-height" and not any(is_raised(record, test.height_mm) for test in record.tests):
        reason = "lightest-failed"  # of a lift that does not start from a height
    code = f"search-end-{reason}" if ended else f"search-why-{reason}"
    return Finding(code=code, numbers=_numbers(record, step, unit))


def _numbers(record: Search, step: Step, unit: Unit) -> dict[str, object]:
    good = [test for test in record.tests if is_acceptable(record, test)]
    bad = [test for test in record.tests if not is_acceptable(record, test)]
    parts = value("ladder", "climb", "parts")
    jump = at_or_under(record.loads, record.usual_load / parts) or record.usual_load / parts
    return {
        "load": _mass(step.load, unit),
        "hurt": _mass(record.provoking_load, unit),
        "lightest": _mass(record.loads[0], unit),
        "accepted": _mass(step.accepted_load, unit),
        "percent": record.rung_percent,
        "ceiling": record.ceiling,
        "rest": record.rest_pain,
        "last_good": _mass(good[-1].load if good else None, unit),
        "last_good_pain": good[-1].pain if good else "",
        "last_bad": _mass(bad[-1].load if bad else None, unit),
        "worst": _worst(good),
        "jump": _mass(jump, unit),
        "height": f"{step.height_mm / 10:g}",
        "unacceptable": len(bad),
    }


def _worst(tests: list[Test]) -> int:
    return max((test.pain for test in tests), default=0)


def _mass(load: Decimal | None, unit: Unit) -> str:
    return "" if load is None else str(Mass(load.normalize(), unit))
