"""Plans in words: exercises by the names that coaches use, and the reasons of a plan as sentences."""

from collections.abc import Mapping
from typing import Any

from floorward.core.exercises import Exercise
from floorward.core.findings import Finding
from floorward.core.records import FULL_HEIGHT_MM, SetUp
from floorward.core.session_request import Request
from floorward.language import number as spoken_number
from floorward.reports.wording import lift_name, sentence_for, words


def exercise_name(setup: SetUp) -> str:
    """The lift, and from where or how deep, where that is not the lift's own."""
    name = lift_name(setup.lift)
    if setup.height_mm and setup.height_mm != FULL_HEIGHT_MM:
        return sentence_for("exercise-from", {"lift": name, "cm": f"{setup.height_mm / 10:g}"})
    if setup.box_mm:
        return sentence_for("exercise-box", {"lift": name, "cm": f"{setup.box_mm / 10:g}"})
    if setup.depth_deg:
        return sentence_for("exercise-deep", {"lift": name, "deg": f"{setup.depth_deg:+d}"})
    return name


def names_of(request: Request) -> dict[str, str]:
    """Every exercise's name by its key."""
    return {exercise.key: _name(exercise) for exercise in request.exercises}


def plan_sentence(finding: Finding, names: Mapping[str, str]) -> str:
    """A plan's finding as a sentence, with names in place of keys.

    Args:
        finding: of `core.plan_reasons`, `core.edits`.
        names: as `names_of` gives them.
    """
    known = {**words("region"), **words("muscle"), **names}
    return sentence_for(
        finding.code, {key: _spoken(number, known) for key, number in finding.numbers.items()}
    )


def _name(exercise: Exercise) -> str:
    return exercise_name(exercise.setup)


def _spoken(number: Any, names: Mapping[str, str]) -> Any:
    if isinstance(number, dict):
        return ", ".join(f"{names.get(one, one)} {spoken_number(f'{of:.1f}')}" for one, of in number.items())
    if isinstance(number, tuple):
        return ", ".join(names.get(one, one) for one in number)
    return names.get(number, number) if isinstance(number, str) else number
