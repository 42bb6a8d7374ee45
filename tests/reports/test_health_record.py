import json
from dataclasses import replace
from datetime import datetime
from uuid import UUID

import pytest
from fhir.resources.R4B.bundle import Bundle
from hypothesis import given, settings
from hypothesis import strategies as st

from floorward.errors import ContractError
from floorward.reports import health_record
from floorward.reports.health_record import bundle, faults, record
from tests.reports.notes import HOSTILE, LONG, NOTE, evening, lifted, scores, screened


def resources(note, kind):
    return [row["resource"] for row in bundle(note)["entry"] if row["resource"]["resourceType"] == kind]


def test_the_document_is_a_bundle_that_an_independent_library_takes():
    read = Bundle.model_validate_json(record(NOTE))
    assert read.type == "document"
    assert [row.resource.get_resource_type() for row in read.entry][:3] == [
        "Composition",
        "Patient",
        "Organization",
    ]
    assert read.timestamp >= read.entry[0].resource.date


def test_it_carries_every_number_that_the_note_does():
    pains = [row for row in resources(NOTE, "Observation") if row["code"]["coding"][0]["code"] == "72514-3"]
    assert [row["valueQuantity"]["value"] for row in pains] == [row.score for row in NOTE.scores]
    assert {row["valueQuantity"]["code"] for row in pains} == {"1"}
    loads = [
        (row["code"]["coding"][0]["code"], row["valueQuantity"]["value"], row["valueQuantity"]["code"])
        for row in resources(NOTE, "Observation")
        if row["code"]["coding"][0]["system"] == health_record.CODES
    ]
    assert loads == [("provoking-load", 200, "kg"), ("accepted-load", 107.5, "kg")]
    (screen,) = resources(NOTE, "QuestionnaireResponse")
    assert [(item["linkId"], item["answer"][0]["valueCoding"]["code"]) for item in screen["item"]] == [
        (one.id, one.answer) for one in NOTE.screens[0].answers
    ]
    assert resources(NOTE, "ServiceRequest")[0]["reasonCode"][0]["text"] == NOTE.question


def test_pounds_are_pounds():
    row = replace(lifted("p", "405", 7), unit="lb")
    found = resources(replace(NOTE, provoking=row), "Observation")
    assert {"value": 405, "unit": "lb", "system": health_record.UCUM, "code": "[lb_av]"} in [
        one["valueQuantity"] for one in found
    ]


def test_the_lifter_is_a_pseudonym():
    said = json.dumps(resources(NOTE, "Patient"))
    assert "Norwood" not in record(NOTE).decode()
    assert NOTE.key[:32] in said


def test_identifiers_are_the_same_each_time_and_no_two_alike():
    assert record(NOTE) == record(NOTE)
    ids = [row["resource"]["id"] for row in bundle(NOTE)["entry"]]
    assert len(ids) == len(set(ids))
    assert all(str(UUID(one)) == one for one in ids)
    later = bundle(replace(NOTE, written=datetime.fromisoformat("2026-12-01T10:00:00+00:00")))
    assert later["id"] != bundle(NOTE)["id"]
    assert later["entry"][1]["resource"]["id"] == bundle(NOTE)["entry"][1]["resource"]["id"]


@pytest.mark.parametrize(
    ("kind", "name", "value"),
    [
        ("ServiceRequest", "intent", "order"), ("Observation", "status", "entered"), ("Patient", "gender", "m"),
        ("Observation", "valueQuantity", {"value": 11}), ("Observation", "valueQuantity", {"value": 2.5}),
        ("Observation", "subject", {"reference": "urn:uuid:nobody"}),
        ("Observation", "category", [{"coding": [{"system": health_record.LOINC, "code": "LA6113-0"}]}]),
    ],
)  # fmt: skip
def test_a_value_outside_its_set_is_found(kind, name, value):
    made = bundle(NOTE)
    row = next(one["resource"] for one in made["entry"] if one["resource"]["resourceType"] == kind)
    row[name] = value
    assert faults(made)


def test_a_condition_is_never_handed_on():
    made = bundle(NOTE)
    made["entry"].append({"fullUrl": "urn:uuid:1", "resource": {"resourceType": "Condition"}})
    assert "a Condition" in faults(made)
    assert not faults(bundle(NOTE))


def test_a_pain_score_that_is_none_stops_the_file():
    with pytest.raises(ContractError, match="pain"):
        record(replace(NOTE, scores=(replace(NOTE.scores[0], score=11),)))


@settings(max_examples=25)
@given(typed=st.text(max_size=300), count=st.integers(0, 5))
def test_whatever_was_typed_it_is_whole_and_read_by_the_library(typed, count):
    made = replace(
        NOTE,
        question=typed,
        coach=typed[:80],
        gym=HOSTILE,
        said=(LONG, typed),
        screens=tuple(screened(n) for n in range(count)),
        scores=scores(count),
        evenings=(evening(1),) * count,
        provoking=replace(NOTE.provoking, lift=typed, pain=None),
    )
    assert Bundle.model_validate_json(record(made))
