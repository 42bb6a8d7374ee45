"""The note to a clinician as a health-record file: a FHIR R4 document bundle, as plain JSON.

Pain is a number under LOINC 72514-3; loads stand under codes of our own, because the standards have none. The lifter is a pseudonym.
Nothing in it is a condition: a coach reports what was said and lifted, and asks somebody to look. The same note always gives
the same bytes.
Source: fhir-r4 (shape of the document), loinc-72514-3 (the code of pain).
"""

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime
from html import escape
from typing import Any
from uuid import NAMESPACE_URL, UUID, uuid5

from floorward.errors import ContractError
from floorward.reports.hand_off import HandOff, Lifted, Moment, Score, Screened
from floorward.reports.paper import plain_words
from floorward.reports.wording import sentence_for, whole_day, word
from floorward.units import plain

MEDIA_TYPE = "application/fhir+json"
LOINC = "http://loinc.org"
UCUM = "http://unitsofmeasure.org"
CATEGORY = "http://terminology.hl7.org/CodeSystem/observation-category"
SCOPE = "http://terminology.hl7.org/CodeSystem/consentscope"
URI = "urn:ietf:rfc:3986"

PAIN, HEIGHT, MASS = "72514-3", "8302-2", "29463-7"
DISPLAYS = {PAIN: "pain", HEIGHT: "height", MASS: "mass"}
UNITS = {"kg": ("kg", "kg"), "lb": ("lb", "[lb_av]")}
GENDERS = {"male": "male", "female": "female"}
PRIORITIES = {"emergency": "stat", "same-day": "asap", "soon": "urgent"}

_SPACE = uuid5(NAMESPACE_URL, "urn:floorward:health-record")  # what all our own identifiers are derived from
CODES = f"urn:uuid:{uuid5(_SPACE, 'codes')}"
QUESTIONS = f"urn:uuid:{uuid5(_SPACE, 'questionnaire')}"
PEOPLE = f"urn:uuid:{uuid5(_SPACE, 'pseudonyms')}"

# who may hold which value: the required bindings of R4 that this document uses
VALUE_SETS: Mapping[tuple[str, str], frozenset[str]] = {
    ("Bundle", "type"): frozenset({"document"}),
    ("Composition", "status"): frozenset({"final"}),
    ("Patient", "gender"): frozenset({"male", "female", "other", "unknown"}),
    ("Observation", "status"): frozenset({"final"}),
    ("QuestionnaireResponse", "status"): frozenset({"completed"}),
    ("ServiceRequest", "status"): frozenset({"active"}),
    ("ServiceRequest", "intent"): frozenset({"proposal"}),
    ("ServiceRequest", "priority"): frozenset({"routine", "urgent", "asap", "stat"}),
    ("Consent", "status"): frozenset({"active"}),
}
SYSTEMS: Mapping[str, frozenset[str]] = {
    LOINC: frozenset(DISPLAYS),
    CATEGORY: frozenset({"survey", "vital-signs", "activity"}),
    SCOPE: frozenset({"patient-privacy"}),
    CODES: frozenset(
        {
            *map(str, Moment),
            *("yes", "no", "unsure", "moment", "accepted-load", "provoking-load", "repetitions", "note"),
        }
    ),
}

Resource = dict[str, Any]


def record(note: HandOff) -> bytes:
    """The note as a FHIR R4 document, UTF-8 JSON."""
    made = bundle(note)
    wrong = faults(made)
    if wrong:
        raise ContractError(f"the health record is not whole: {wrong[0]}")
    return json.dumps(made, ensure_ascii=False, indent=1).encode()


def bundle(note: HandOff) -> Resource:
    """The document: the Composition first, then everything that it refers to."""
    who, gym = _patient(note), _gym(note)
    screens = [_screen(note, row) for row in note.screens]
    pains = [_pain(note, row) for row in note.scores]
    body = [
        _vital(note, HEIGHT, round(note.stature_m * 100, 1), "cm"),
        _vital(note, MASS, round(note.mass_kg, 1), "kg"),
    ]
    loads = [
        _load(note, "provoking", note.provoking),
        *(_load(note, "accepted", one) for one in note.accepted),
    ]
    asked, agreed = _request(note), _consent(note)
    sections: tuple[tuple[str, list[Resource], list[str]], ...] = (
        ("asked", [asked], [note.question]),
        ("questions", screens, _screen_lines(note.screens)),
        ("course", [*pains, *body], _pain_lines(note.scores)),
        ("loads", loads, _load_lines(note)),
        ("acts", [], [f"{whole_day(act.day)}: {act.text}" for act in note.acts]),
        ("agreed", [agreed], [sentence_for("record-loinc", {})]),
    )
    first = _composition(note, sections)
    entries = [first, who, gym, *screens, *pains, *body, *loads, asked, agreed]
    return {
        "resourceType": "Bundle",
        "id": _id(note, "bundle"),
        "identifier": {"system": URI, "value": f"urn:uuid:{_id(note, 'bundle')}"},
        "type": "document",
        "timestamp": _instant(note.written),
        "entry": [{"fullUrl": f"urn:uuid:{row['id']}", "resource": row} for row in entries],
    }


def faults(made: Resource) -> list[str]:
    """What is wrong with a document: codes outside their sets, pain that is no number from 0 to 10, references that lead nowhere."""
    rows = [entry["resource"] for entry in made["entry"]]
    known = {entry["fullUrl"] for entry in made["entry"]}
    found = [f"{row['resourceType']}.{name} {row[name]}" for row in (made, *rows) for name in _outside(row)]
    if [row["resourceType"] for row in rows[:1]] != ["Composition"]:
        found.append("the first entry is no Composition")
    if not {"system", "value"} <= set(made.get("identifier", {})) or made["timestamp"] < rows[0]["date"]:
        found.append("identifier or timestamp")
    found += [f"a {row['resourceType']}" for row in rows if row["resourceType"] == "Condition"]
    found += [
        f"{coding}"
        for coding in _codings(made)
        if coding.get("code") not in SYSTEMS.get(coding["system"], ())
    ]
    found += [f"{there} leads nowhere" for there in _references(made) if there not in known]
    return found + [f"pain {row['valueQuantity']}" for row in rows if _is_pain(row) and not _in_range(row)]


def _outside(row: Resource) -> Iterator[str]:
    for (kind, name), allowed in VALUE_SETS.items():
        if row["resourceType"] == kind and name in row and row[name] not in allowed:
            yield name


def _is_pain(row: Resource) -> bool:
    return bool(row["resourceType"] == "Observation" and row["code"]["coding"][0]["code"] == PAIN)


def _in_range(row: Resource) -> bool:
    value = row["valueQuantity"]["value"]
    return isinstance(value, int) and 0 <= value <= 10


def _codings(value: Any) -> Iterator[Mapping[str, str]]:
    """Every coding in a tree: what has a system and a code, but for quantities."""
    if isinstance(value, dict):
        if {"system", "code"} <= set(value) and "value" not in value:
            yield value
        for inner in value.values():
            yield from _codings(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _codings(inner)


def _references(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        if isinstance(value.get("reference"), str):
            yield value["reference"]
        for inner in value.values():
            yield from _references(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _references(inner)


def _id(note: HandOff, what: str, key: str = "") -> str:
    """The identifier of one resource of this note; of people and places that of the lifter."""
    about = note.key if what in {"patient", "gym"} else f"{note.episode_key} {_instant(note.written)}"
    return str(uuid5(UUID(str(_SPACE)), f"{what} {key} {about}"))


def _to(note: HandOff, what: str) -> dict[str, str]:
    return {"reference": f"urn:uuid:{_id(note, what)}"}


def _coach(note: HandOff) -> dict[str, str]:
    return {**_to(note, "gym"), "display": _text(f"{note.coach}, {note.gym}")}


def _own(code: str, text: str) -> Resource:
    return {"coding": [{"system": CODES, "code": code, "display": text}], "text": text}


def _loinc(code: str) -> Resource:
    text = word("record", DISPLAYS[code])
    return {"coding": [{"system": LOINC, "code": code, "display": text}], "text": text}


def _category(code: str) -> list[Resource]:
    return [{"coding": [{"system": CATEGORY, "code": code}]}]


def _composition(note: HandOff, sections: Sequence[tuple[str, list[Resource], list[str]]]) -> Resource:
    title = sentence_for("record-title", {})
    return {
        "resourceType": "Composition",
        "id": _id(note, "composition"),
        "text": _narrative([sentence_for("record-not-diagnosed", {})]),
        "status": "final",
        "type": _own("note", title),
        "subject": _to(note, "patient"),
        "date": _instant(note.written),
        "author": [_coach(note)],
        "title": title,
        "section": [
            {
                "title": word("record", name),
                "text": _narrative(lines or ["–"]),
                **({"entry": [{"reference": f"urn:uuid:{row['id']}"} for row in rows]} if rows else {}),
            }
            for name, rows, lines in sections
        ],
    }


def _patient(note: HandOff) -> Resource:
    return {
        "resourceType": "Patient",
        "id": _id(note, "patient"),
        "identifier": [{"system": PEOPLE, "value": note.key[:32]}],
        "gender": GENDERS.get(note.sex, "unknown"),
        "birthDate": f"{note.born_year:04d}",
    }


def _gym(note: HandOff) -> Resource:
    return {"resourceType": "Organization", "id": _id(note, "gym"), "name": _text(note.gym) or "–"}


def _screen(note: HandOff, row: Screened) -> Resource:
    return {
        "resourceType": "QuestionnaireResponse",
        "id": _id(note, "screen", row.key),
        "questionnaire": QUESTIONS,
        "status": "completed",
        "subject": _to(note, "patient"),
        "authored": _instant(row.at),
        "author": _to(note, "gym"),
        "source": _to(note, "patient"),
        "item": [
            {
                "linkId": one.id,
                "text": _text(one.text),
                "answer": [
                    {
                        "valueCoding": {
                            "system": CODES,
                            "code": one.answer,
                            "display": word("answer", one.answer),
                        }
                    }
                ],
            }
            for one in row.answers
        ],
    }


def _observation(note: HandOff, what: str, key: str, about: Mapping[str, Any]) -> Resource:
    return {
        "resourceType": "Observation",
        "id": _id(note, what, key),
        "status": "final",
        "subject": _to(note, "patient"),
        "performer": [_to(note, "patient")],
        **about,
    }


def _pain(note: HandOff, row: Score) -> Resource:
    moment = {
        "code": _own("moment", word("record", "moment")),
        "valueCodeableConcept": _own(str(row.moment), word("record", row.moment)),
    }
    about: Resource = {
        "category": _category("survey"),
        "code": _loinc(PAIN),
        "effectiveDateTime": _instant(row.at),
        "valueQuantity": {"value": row.score, "unit": "1", "system": UCUM, "code": "1"},
        "bodySite": {"text": word("region", note.region)},
        "component": [moment],
    }
    if row.about:
        about["note"] = [{"text": _text(row.about)}]
    return _observation(note, "pain", row.key, about)


def _vital(note: HandOff, code: str, value: float, unit: str) -> Resource:
    about = {
        "category": _category("vital-signs"),
        "code": _loinc(code),
        "effectiveDateTime": _instant(note.written.date()),
        "valueQuantity": {"value": value, "unit": unit, "system": UCUM, "code": unit},
    }
    return _observation(note, "body", code, about)


def _load(note: HandOff, kind: str, row: Lifted) -> Resource:
    unit, code = UNITS[row.unit]
    repetitions = {
        "code": _own("repetitions", word("record", "repetitions")),
        "valueQuantity": {"value": row.reps, "unit": "1", "system": UCUM, "code": "1"},
    }
    about = {
        "category": _category("activity"),
        "code": _own(f"{kind}-load", word("record", kind)),
        "effectiveDateTime": _instant(row.day),
        "valueQuantity": {"value": _number(plain(row.load)), "unit": unit, "system": UCUM, "code": code},
        "note": [{"text": _text(row.lift)}],
        "component": [repetitions],
    }
    return _observation(note, f"{kind}-load", row.key, about)


def _request(note: HandOff) -> Resource:
    latest = note.screens[0].outcome if note.screens else ""
    return {
        "resourceType": "ServiceRequest",
        "id": _id(note, "request"),
        "status": "active",
        "intent": "proposal",
        "priority": PRIORITIES.get(latest, "routine"),
        "code": {"text": word("record", "look")},
        "subject": _to(note, "patient"),
        "authoredOn": _instant(note.written),
        "requester": _coach(note),
        "reasonCode": [{"text": _text(note.question) or sentence_for("note-no-question", {})}],
    }


def _consent(note: HandOff) -> Resource:
    return {
        "resourceType": "Consent",
        "id": _id(note, "consent"),
        "status": "active",
        "scope": {"coding": [{"system": SCOPE, "code": "patient-privacy"}]},
        "category": [{"text": word("record", "agreed")}],
        "patient": _to(note, "patient"),
        "dateTime": _instant(note.agreed.at),
        "policyRule": {"text": f"{word('record', 'agreed')}, {note.agreed.wording}, {_text(note.agreed.by)}"},
    }


def _screen_lines(rows: Iterable[Screened]) -> list[str]:
    return [f"{row.at:%Y-%m-%d %H:%M}: {word('outcome', row.outcome)}" for row in rows]


def _pain_lines(rows: Iterable[Score]) -> list[str]:
    return [f"{_instant(row.at)[:10]}, {word('record', row.moment)}: {row.score}" for row in rows]


def _load_lines(note: HandOff) -> list[str]:
    kinds = [("provoking", note.provoking), *(("accepted", row) for row in note.accepted)]
    return [
        f"{word('record', kind)}: {row.lift}, {plain(row.load)} {row.unit} × {row.reps}"
        for kind, row in kinds
    ]


def _narrative(lines: Iterable[str]) -> Resource:
    said = "".join(f"<p>{escape(_text(line) or '–')}</p>" for line in lines)
    return {"status": "generated", "div": f'<div xmlns="http://www.w3.org/1999/xhtml">{said}</div>'}


def _text(text: str) -> str:
    """A person's words as FHIR takes them: no control characters, no spaces around."""
    return plain_words(text)


def _instant(at: datetime | date) -> str:
    return at.isoformat(timespec="seconds") if isinstance(at, datetime) else at.isoformat()


def _number(text: str) -> int | float:
    return float(text) if "." in text else int(text)
