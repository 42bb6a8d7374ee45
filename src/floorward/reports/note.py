"""The note to a clinician: one A4 page of what was said, asked, lifted and felt, and the coach's question. Bytes out.

However much there is to tell, it stays one page: the newest is kept, what is left out is counted, and the letters shrink.
"""

from collections.abc import Iterable
from datetime import datetime
from statistics import median
from typing import Any

from floorward.language import number
from floorward.reports import paper
from floorward.reports.hand_off import Evening, HandOff, Lifted, Moment, Screened
from floorward.reports.paper import shown
from floorward.reports.wording import day_and_month, sentence_for, whole_day, word, words
from floorward.units import plain

EVENINGS_MOST = 12
ACTS_MOST = 10
ACCEPTED_MOST = 4
WEEKS_MOST = 16


def note_pdf(note: HandOff) -> bytes:
    """The note as PDF, tagged for screen readers (PDF/UA-1)."""
    return paper.pdf("note.typ", page_of(note))


def page_of(note: HandOff) -> dict[str, Any]:
    """Everything that the page shows, as plain JSON."""
    told = _told(note.screens)
    left_out = max(len(note.evenings) - EVENINGS_MOST, 0)
    return {
        "said": words("note"),
        "title": sentence_for("note-title", {"name": shown(note.name)}),
        "name": shown(note.name),
        "who": _who(note),
        "question": shown(note.question) or sentence_for("note-no-question", {}),
        "began": [shown(text) for text in _began(note)],
        "screen": [_screen(row) for row in told],
        "earlier": [
            sentence_for("note-screened-before", _when(row)) for row in note.screens[1:4] if row not in told
        ],
        "cleared": [shown(row.cleared) for row in note.screens if row.cleared][:3],
        "rows": [_row(row) for row in note.evenings[left_out:]],
        "rows_left_out": sentence_for("note-left-out", {"count": left_out}) if left_out else "",
        "mornings": _mornings(note),
        "accepted": [_lifted("note-accepted", row) for row in note.accepted[-ACCEPTED_MOST:]]
        or [sentence_for("note-none-accepted", {})],
        "acts": [{"day": day_and_month(act.day), "text": shown(act.text)} for act in note.acts[-ACTS_MOST:]],
        "acts_left_out": _acts_left_out(note),
        "written": shown(_written(note)),
        "standing": sentence_for("note-standing", {}),
        "agreed": shown(
            sentence_for("note-agreed", {"by": note.agreed.by, "day": whole_day(note.agreed.at.date())})
        ),
    }


def _who(note: HandOff) -> str:
    return sentence_for(
        "note-who",
        {
            "born": note.born_year,
            "height": f"{note.stature_m * 100:.0f}",
            "mass": f"{note.mass_kg:.0f}",
        },
    )


def _began(note: HandOff) -> Iterable[str]:
    region = word("region", note.region)
    days = (note.written.date() - note.since).days
    yield sentence_for("note-since", {"region": region, "day": whole_day(note.since), "days": days})
    yield _lifted("note-provoked-warm-up" if note.was_warm_up else "note-provoked", note.provoking)
    if note.usual:
        yield sentence_for("note-usual", {"load": plain(note.usual), "unit": note.provoking.unit})
    yield from note.said


def _lifted(code: str, row: Lifted) -> str:
    numbers = {
        "day": day_and_month(row.day),
        "lift": row.lift,
        "load": plain(row.load),
        "unit": row.unit,
        "reps": row.reps,
        "pain": word("note", "pain-not-asked") if row.pain is None else row.pain,
    }
    return shown(sentence_for(code, numbers))


def _told(rows: tuple[Screened, ...]) -> list[Screened]:
    """The newest asking, and the newest of the longest where it asked more: later ones repeat only some questions."""
    fullest = max(rows, key=lambda row: len(row.answers), default=None)
    return [*rows[:1], *(row for row in rows[1:] if row is fullest)]


def _screen(row: Screened) -> dict[str, Any]:
    worrying = [one for one in row.answers if one.answer != "no"]
    return {
        "head": shown(sentence_for("note-screened", _when(row))),
        "not_no": [
            sentence_for("note-answer", {"answer": word("answer", one.answer), "text": shown(one.text)})
            for one in worrying
        ],
        "no": [shown(one.text) for one in row.answers if one.answer == "no"],
    }


def _when(row: Screened) -> dict[str, str]:
    return {
        "day": whole_day(row.at.date()),
        "time": f"{row.at:%H:%M}",
        "by": row.by or word("note", "somebody"),
        "outcome": word("outcome", row.outcome),
    }


def _row(row: Evening) -> list[str]:
    scores = (row.before, row.during, row.after, row.morning)
    return [
        day_and_month(row.day),
        shown(row.lift),
        f"{number(plain(row.load))} {row.unit}",
        f"{row.sets} × {row.reps}",
        *("–" if score is None else str(score) for score in scores),
    ]


def _mornings(note: HandOff) -> str:
    """The middle morning score of each week, the first week being that of the onset."""
    weeks: dict[int, list[int]] = {}
    for score in note.scores:
        if score.moment == Moment.MORNING:
            day = score.at.date() if isinstance(score.at, datetime) else score.at
            weeks.setdefault((day - note.since).days // 7 + 1, []).append(score.score)
    newest = sorted(weeks.items())[-WEEKS_MOST:]
    each = ", ".join(
        sentence_for("note-week", {"week": week, "score": f"{median(scores):g}"}) for week, scores in newest
    )
    return sentence_for("note-mornings", {"weeks": each}) if each else sentence_for("note-no-mornings", {})


def _acts_left_out(note: HandOff) -> str:
    count = len(note.acts) - ACTS_MOST
    return sentence_for("note-left-out", {"count": count}) if count > 0 else ""


def _written(note: HandOff) -> str:
    numbers = {
        "coach": note.coach,
        "gym": note.gym,
        "day": whole_day(note.written.date()),
        "time": f"{note.written:%H:%M}",
    }
    return sentence_for("note-written", numbers)
