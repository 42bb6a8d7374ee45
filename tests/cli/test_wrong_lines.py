"""Requests as other programs get them wrong: each bad line says what to mend, and the next line is answered as ever."""

import io
import json

import pytest

from floorward.cli import find, jsonl, step
from tests.cli.test_find import PLAIN, SET
from tests.cli.test_step import BASE, TRAINED

FIND = {
    "a load as a word": ({"usual_kg": "140"}, "usual_kg must be a number"),
    "no number": ({"usual_kg": float("nan")}, "NaN is not a number"),
    "more than there is": ({"usual_kg": 1e308}, "usual_kg must be a number"),
    "pounds": ({"unit": "lb"}, "unknown key unit"),
    "a higher ceiling": ({"ceiling": 5}, "ceiling must be a whole number from 0 to 3"),
    "a bold manner": ({"manner": "bold"}, "manner must be one of usual, precise, gentle"),
    "pain as a word": ({"history": [{**SET, "pain": "3"}]}, "pain must be a whole number"),
    "a set as a number": ({"history": [5]}, "history must be an object"),
    "yes for a score": ({"rest_pain": True}, "rest_pain must be a whole number"),
    "a demand short": ({"demand_nm": [1, 2]}, "one demand for each load"),
}
STEP = {
    "a day as a word": ({"today": "3"}, "today must be a whole number"),
    "half a day": ({"history": [TRAINED | {"day": 0.5}]}, "day must be a whole number"),
    "pounds in a set": ({"history": [TRAINED | {"unit": "lb"}]}, "unknown key unit"),
    "an endless load": ({"history": [TRAINED | {"load_kg": float("inf")}]}, "Infinity is not a number"),
    "loads that fall": ({"loads_kg": [100, 20]}, "must go upward"),
    "an RPE over ten": ({"history": [TRAINED | {"rpe": 11}]}, "rpe must be a number"),
    "a history that is none": ({"history": "x"}, "history must be a list"),
    "a year no one trains": ({"today": 10**9}, "today must be a whole number"),
    "one without its pain": (
        {"history": [{key: TRAINED[key] for key in TRAINED if key != "pain"}]},
        "missing pain",
    ),
}
NOT_OBJECTS = ("[]", "null", '"find"', "{", '{"loads_kg": [20, NaN]}')


def replies(answer, *lines):
    out = io.StringIO()
    assert jsonl.run(lines, out, answer) == 0
    return [json.loads(line) for line in out.getvalue().splitlines()]


@pytest.mark.parametrize(
    ("answer", "plain", "wrong"),
    [(find.answer, PLAIN, FIND), (step.answer, {**BASE, "history": [TRAINED]}, STEP)],
    ids=["find", "step"],
)
def test_every_wrong_line_says_what_to_mend_and_the_last_good_one_is_answered(answer, plain, wrong):
    lines = [json.dumps({**plain, **change, "id": name}) for name, (change, _) in wrong.items()]
    *bad, good = replies(answer, *lines, json.dumps(plain))
    for found, (name, (_, says)) in zip(bad, wrong.items(), strict=True):
        assert says in found["error"]
        assert found.get("id", name) == name
    assert "error" not in good
    assert good["next_kg"] in plain["loads_kg"]


@pytest.mark.parametrize("answer", [find.answer, step.answer], ids=["find", "step"])
def test_a_line_that_is_no_object_is_answered_in_its_place(answer):
    assert all(set(found) == {"error"} for found in replies(answer, *NOT_OBJECTS))


def test_ten_years_without_training_leave_a_finite_answer():
    (found,) = replies(step.answer, json.dumps({**BASE, "history": [TRAINED], "today": 3650}))
    assert found["next_kg"] == 95
    assert 0 < found["tolerance_nm"]["p05"] < found["tolerance_nm"]["p95"] < 1e5
