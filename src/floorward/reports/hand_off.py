"""What a coach hands to a clinician, as records: the printed note and the health-record file are made from the same ones.

Numbers are as they were logged; nothing here is an estimate, and nothing names a cause.
"""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum


class Moment(StrEnum):
    """When a pain score was asked for."""

    REPORT = "report"
    BEFORE = "before"
    TEST = "test"
    DURING = "during"
    AFTER = "after"
    MORNING = "morning"
    REVIEW = "review"


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """One warning-sign question with its answer: yes, no or unsure."""

    id: str
    text: str
    answer: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Screened:
    """One asking of the warning-sign questions.

    Attributes:
        key: tells this asking from every other.
        at: when, in the gym's zone.
        outcome: the code of what followed.
        cleared: a clinician's word that lifted a lock, in words; empty for none.
    """

    key: str
    at: datetime
    by: str
    outcome: str
    answers: tuple[Answered, ...]
    cleared: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """One pain score, 0 to 10.

    Attributes:
        key: tells this score from every other.
        at: when it was said, in the gym's zone; a day alone where no time was noted.
        about: what was lifted, in words; empty for none.
    """

    key: str
    at: datetime | date
    moment: Moment
    score: int
    about: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evening:
    """One session of a sore lift. Scores are 0 to 10, None where not asked or not answered."""

    day: date
    lift: str
    load: Decimal
    unit: str
    sets: int
    reps: int
    before: int | None
    during: int | None
    after: int | None
    morning: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lifted:
    """A load that was lifted: the one that provoked the pain, or one that was accepted.

    Attributes:
        lift: in words, with where it starts.
        pain: 0 to 10 in that set; None where not asked.
    """

    key: str
    day: date
    lift: str
    load: Decimal
    unit: str
    reps: int
    pain: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """Something that was done about it, in words."""

    day: date
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreed:
    """The consent in force."""

    at: datetime
    by: str
    wording: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HandOff:
    """All of it.

    Attributes:
        key: a pseudonym of the lifter, the same in every note of this installation.
        written: when this note was written, in the gym's zone.
        said: what eases, worsens and came with it, in words.
        screens: newest first.
        evenings, scores, acts: oldest first.
    """

    key: str
    episode_key: str
    name: str
    born_year: int
    sex: str
    stature_m: float
    mass_kg: float
    gym: str
    coach: str
    written: datetime
    region: str
    since: date
    provoking: Lifted
    was_warm_up: bool
    usual: Decimal
    said: tuple[str, ...]
    screens: tuple[Screened, ...]
    scores: tuple[Score, ...]
    evenings: tuple[Evening, ...]
    accepted: tuple[Lifted, ...]
    acts: tuple[Act, ...]
    agreed: Agreed
    question: str
