"""The screen: warning-sign questions before anything is loaded, and what the answers mean together.

One strong sign decides by itself, one weak sign decides nothing. The questions, their tiers and the words of each outcome are
rows of tables/screen.toml. The screen sorts people toward help; it names no cause. A clinician should approve the list
before a gym uses it; rows from memory are marked as awaiting that.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from functools import cache
from typing import Any

from floorward.core.findings import Finding, Weight
from floorward.tables import load, value

APPROVAL_AWAITED_FROM = "memory"


class Answer(StrEnum):
    """What a lifter can say; yes is always the answer that worries."""

    YES = "yes"
    NO = "no"
    UNSURE = "unsure"


class Outcome(StrEnum):
    """What a screen ends in, the most urgent first."""

    EMERGENCY = "emergency"
    SAME_DAY = "same-day"
    SOON = "soon"
    ROUTINE = "routine"
    GO_ON = "go-on"


@dataclass(frozen=True, slots=True, kw_only=True)
class ScreenFacts:
    """What is known of the lifter without asking.

    Attributes:
        age: in years; None when unknown.
        injury: whether it began with a fall, a blow or a twist.
        limb_symptoms: whether pain, tingling, numbness or weakness is felt in a leg or an arm.
        pregnancy_possible: False leaves that question out.
    """

    age: int | None = None
    injury: bool = False
    limb_symptoms: bool = False
    pregnancy_possible: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question of the screen.

    Attributes:
        tier: E, S, U, R, C, or empty when a yes only opens its sub-questions.
        parent: id of the question that opens this one by a yes or unsure; empty when always asked.
        source: key of references.toml, or judgement, or memory.
        repeats: whether it comes back at later sessions.
    """

    id: str
    text: str
    tier: str
    parent: str = ""
    source: str
    repeats: bool = False

    @property
    def awaits_approval(self) -> bool:
        """Whether the row waits for a clinician's approval, because nobody has checked it against a source."""
        return self.source == APPROVAL_AWAITED_FROM


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What the answers come to.

    Attributes:
        reasons: ids of the rows that decided, in the order of the table.
        also: ids of other rows that say something, but less urgently.
        ask_again: ids answered with unsure that should be asked once more.
        locks: person, region or none; a lock is lifted by a clinician's dated word only.
    """

    outcome: Outcome
    reasons: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    ask_again: tuple[str, ...] = ()
    locks: str = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class OutcomeWords:
    """What to say to the lifter and what to do, one step a line."""

    title: str
    say: str
    do: tuple[str, ...]


def questions(
    region: str,
    *,
    age: int | None,
    injury: bool,
    limb_symptoms: bool,
    pregnancy_possible: bool = True,
    repeat: bool = False,
) -> tuple[Question, ...]:
    """What to ask about `region`, sub-questions after their parents; with `repeat` only what comes back at later sessions."""
    facts = ScreenFacts(
        age=age, injury=injury, limb_symptoms=limb_symptoms, pregnancy_possible=pregnancy_possible
    )
    rows = (row for row in load("screen")["question"] if _is_asked(row, region, facts))
    return tuple(_question(row) for row in rows if row.get("repeats") or not repeat)


def own_questions(region: str) -> frozenset[str]:
    """Ids of what anybody sore in `region` is asked, and nobody sore elsewhere."""
    rows = [row for row in load("screen")["question"] if not row.get("parent") and not row.get("needs")]
    return frozenset(row["id"] for row in rows if row["regions"] == [region] and "under" not in row)


def is_open(question: Question, answers: Mapping[str, Answer]) -> bool:
    """Whether `question` is to be answered: it has no parent, or its parent was answered with yes or unsure."""
    return not question.parent or answers.get(question.parent, Answer.NO) != Answer.NO


def unanswered(asked: Sequence[Question], answers: Mapping[str, Answer]) -> tuple[str, ...]:
    """Ids of open questions that still want an answer; no outcome is shown before they have one."""
    return tuple(q.id for q in asked if is_open(q, answers) and q.id not in answers)


def judge(region: str, answers: Mapping[str, Answer], facts: ScreenFacts, *, repeat: bool = False) -> Verdict:
    """What `answers` come to; a question without an answer counts as no, so ask `unanswered` first.

    Unsure counts as yes for E and S; for U it asks again and, until then, books somebody. With `repeat` what the age says by
    itself is left out, because the first screen has dealt with it.
    """
    rows = [row for row in load("screen")["question"] if _is_asked(row, region, facts)]
    by_answer = {row["id"]: tier for row in rows if (tier := _tier(row, answers))}
    by_age = {} if repeat else {row["id"]: row["tier"] for row in _age_rows(region, facts)}
    tiers = {**by_answer, **by_age}
    for found in (*_together(by_answer), *_context(tiers)):
        tiers.update(found)
    return _verdict(tiers, _to_ask_again(rows, answers))


def outcome_words(outcome: Outcome, emergency_number: str, said: Callable[[str], str] = str) -> OutcomeWords:
    """The words of an outcome, with the emergency number of the gym's country filled in.

    Args:
        outcome: which.
        emergency_number: of the gym's country.
        said: puts an English text into the language that is spoken.
    """
    row = load("screen")["outcome"][outcome]
    steps = tuple(said(line).format(emergency_number=emergency_number) for line in row["do"])
    return OutcomeWords(title=said(row["title"]), say=said(row["say"]), do=steps)


def reminders(outcome: Outcome, answered: date) -> tuple[date, ...]:
    """The days on which to ask whether somebody has looked at it."""
    return tuple(
        answered + timedelta(days=days) for days in load("screen")["outcome"][outcome]["remind_days"]
    )


def repeat_due(last_screen_day: date | None, limb_symptoms: bool, today: date) -> bool:  # noqa: FBT001 - a fact of the lifter
    """Whether the repeating questions are due before today's session: each session day with symptoms in a leg or an arm, else weekly."""
    if last_screen_day is None:
        return True
    every = 1 if limb_symptoms else value("screen", "repeat", "weekly")
    return bool((today - last_screen_day).days >= every)


def clearance_findings(answered: date, cleared: date, role: str, today: date) -> tuple[Finding, ...]:
    """What is wrong with a clinician's word: older than the answers it lifts, from the future, or from nobody."""
    wrong = {
        "clearance-before-answer": cleared < answered,
        "clearance-in-future": cleared > today,
        "clearance-without-role": not role.strip(),
    }
    fields = {"clearance-without-role": "clinician_role"}
    numbers = {"answered": answered, "cleared": cleared}
    return tuple(
        Finding(code=code, field=fields.get(code, "day"), weight=Weight.REFUSE, numbers=numbers)
        for code, is_wrong in wrong.items()
        if is_wrong
    )


def all_rows() -> tuple[Question, ...]:
    """Every question of every region, for the page that shows the list to a clinician."""
    return tuple(_question(row) for row in load("screen")["question"])


def row_text(row_id: str) -> str:
    """The words of a question, or of what an age says by itself, by its id."""
    return _texts()[row_id]


@cache
def _texts() -> dict[str, str]:
    return {row["id"]: row["text"] for row in (*load("screen")["question"], *load("screen")["age"])}


def _question(row: Mapping[str, Any]) -> Question:
    return Question(
        id=row["id"],
        text=row["text"],
        tier=row["tier"],
        parent=row.get("parent", ""),
        source=row["source"],
        repeats=row.get("repeats", False),
    )


def _is_asked(row: Mapping[str, Any], region: str, facts: ScreenFacts) -> bool:
    here = region in row["regions"] or (facts.limb_symptoms and region in row.get("limb_symptoms_in", ()))
    return here and _age_fits(row, facts.age) and _need_met(row, facts)


def _need_met(row: Mapping[str, Any], facts: ScreenFacts) -> bool:
    met = {"": True, "injury": facts.injury, "pregnancy": facts.pregnancy_possible}
    return met[row.get("needs", "")]


def _age_fits(row: Mapping[str, Any], age: int | None) -> bool:
    if "under" not in row and "over" not in row:
        return True
    return age is not None and row.get("over", -1) < age < row.get("under", 999)


def _age_rows(region: str, facts: ScreenFacts) -> list[Mapping[str, Any]]:
    return [row for row in load("screen")["age"] if _is_asked(row, region, facts)]


def _tier(row: Mapping[str, Any], answers: Mapping[str, Answer]) -> str:
    """The tier that an answer brings, empty for none. A sub-question counts only while its parent is not a no."""
    answer = answers.get(row["id"], Answer.NO)
    closed = "parent" in row and answers.get(row["parent"], Answer.NO) == Answer.NO
    if answer == Answer.NO or closed:
        return ""
    return str(row["tier"]) if answer == Answer.YES else {"E": "E", "S": "S", "U": "R"}.get(row["tier"], "")


def _to_ask_again(rows: Sequence[Mapping[str, Any]], answers: Mapping[str, Answer]) -> tuple[str, ...]:
    return tuple(
        row["id"] for row in rows if answers.get(row["id"]) == Answer.UNSURE and row["tier"] not in {"E", "S"}
    )


def _together(tiers: Mapping[str, str]) -> list[dict[str, str]]:
    """Rows that mean more together than alone."""
    return [
        dict.fromkeys(row["all"], row["tier"])
        for row in load("screen")["together"]
        if set(row["all"]) <= set(tiers)
    ]


def _context(tiers: Mapping[str, str]) -> list[dict[str, str]]:
    """Weak signs: two book somebody, three or weight loss with another make it soon, one does nothing."""
    weak = [row_id for row_id, tier in tiers.items() if tier == "C"]
    losing = {row["id"] for row in load("screen")["question"] if row.get("weight_loss")}
    if len(weak) < value("screen", "combining", "routine_at"):
        return []
    soon = len(weak) >= value("screen", "combining", "soon_at") or losing & set(weak)
    return [dict.fromkeys(weak, "U" if soon else "R")]


def _verdict(tiers: Mapping[str, str], ask_again: tuple[str, ...]) -> Verdict:
    outcomes = load("screen")["outcome"]
    outcome = next((o for o in Outcome if outcomes[o]["tier"] in tiers.values()), Outcome.GO_ON)
    decided = tuple(row_id for row_id, tier in tiers.items() if tier == outcomes[outcome]["tier"])
    return Verdict(
        outcome=outcome,
        reasons=decided,
        also=tuple(row_id for row_id in tiers if row_id not in decided),
        ask_again=ask_again,
        locks=outcomes[outcome]["locks"],
    )
