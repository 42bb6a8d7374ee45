"""What is to be said about an input or a result: a code and its numbers, never a sentence.

The same record serves a typing slip, a warning and the reason of a recommendation; `reports/wording` writes the words.
"""

import dataclasses
from dataclasses import dataclass
from enum import StrEnum
from typing import Any


class Weight(StrEnum):
    """How much a finding weighs: a note, a question that wants an answer, or a refusal."""

    NOTE = "note"
    ASK = "ask"
    REFUSE = "refuse"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing to say.

    Attributes:
        code: the key of its sentence in `reports/wording`, such as `plate-odd`.
        field: the input it stands beside, empty when it is about the whole.
        weight: note, ask (accepted once confirmed) or refuse.
        numbers: what the sentence fills in.
    """

    code: str
    field: str = ""
    weight: Weight = Weight.NOTE
    numbers: dict[str, Any] = dataclasses.field(default_factory=dict, hash=False)


def refused(findings: tuple[Finding, ...]) -> bool:
    """Whether any finding refuses the input."""
    return any(finding.weight == Weight.REFUSE for finding in findings)
