import io
import json

import pytest

from floorward.cli import find, jsonl
from floorward.cli.jsonl import BadRequest

LOADS = [20, 30, 40, 50, 60, 70, 80, 90, 100, 110, 120, 130]
PLAIN = {
    "loads_kg": LOADS,
    "usual_kg": 140,
    "provoking_pain": 7,
    "demand_nm": [119 + 3.8 * load for load in LOADS],
    "usual_demand_nm": 651,
    "history": [],
}
SET = {"load_kg": 40, "reps": 3, "pain": 1, "acceptable": True}


def lines(*requests):
    out = io.StringIO()
    assert jsonl.run([json.dumps(each) for each in requests], out, find.answer) == 0
    return [json.loads(line) for line in out.getvalue().splitlines()]


def test_an_answer_holds_all_that_the_contract_names():
    (found,) = lines({"id": "a", **PLAIN})
    assert set(found) == {
        *("id", "next_kg", "done", "estimate_kg", "accepted_kg"),
        *("chance_unacceptable", "tolerance_nm", "reason"),
    }
    assert found["tolerance_nm"]["p05"] < found["tolerance_nm"]["median"] < found["tolerance_nm"]["p95"]
    assert found["next_kg"] in LOADS
    assert (found["done"], found["reason"], found["accepted_kg"]) == (False, "test", None)


def test_next_is_null_exactly_when_the_search_is_done():
    (found,) = lines({**PLAIN, "rest_pain": 3})
    assert (found["next_kg"], found["chance_unacceptable"], found["done"]) == (None, None, True)
    assert found["reason"] == "rest-pain"


def test_a_load_between_those_that_may_be_proposed_counts_at_its_own_demand():
    light, heavy = (find.answer({**PLAIN, "history": [{**SET, "load_kg": load}]}) for load in (41, 49))
    assert light["tolerance_nm"]["median"] < heavy["tolerance_nm"]["median"]


def test_lift_and_body_may_stand_for_the_demands():
    body = {"stature_cm": 176, "mass_kg": 85, "sex": "male"}
    asked = {key: PLAIN[key] for key in ("loads_kg", "usual_kg", "provoking_pain", "history")}
    found = find.answer({**asked, "lift": "deadlift", "body": body})
    assert found["next_kg"] in LOADS
    assert 100 < found["tolerance_nm"]["median"] < 600


def test_null_is_the_same_as_left_out():
    absent = dict.fromkeys(("provoking_kg", "provoking_demand_nm", "ceiling", "rest_pain"))
    assert find.answer({**PLAIN, **absent}) == find.answer(PLAIN)


def test_a_set_above_the_loads_offered_counts_at_what_its_load_asks():
    """He did 100 kg before the search went on among the light loads of another bar."""
    body = {"stature_cm": 176, "mass_kg": 85, "sex": "male"}
    asked = {"usual_kg": 140, "provoking_pain": 7, "history": [{**SET, "load_kg": 100}], "lift": "deadlift"}
    few, many = (find.answer({**asked, "body": body, "loads_kg": loads}) for loads in ([20, 22.5], LOADS))
    assert few["tolerance_nm"]["median"] == pytest.approx(many["tolerance_nm"]["median"], rel=0.02)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"loads": []}, "unknown key loads"),
        ({"loads_kg": [20, 40, 30]}, "upward"),
        ({"loads_kg": [20, 20]}, "upward"),
        ({"loads_kg": []}, "list of 1"),
        ({"loads_kg": 20}, "list of 1"),
        ({"loads_kg": [20, True]}, "must be a number"),
        ({"loads_kg": [-20, 20]}, "must be a number over 0"),
        ({"loads_kg": [20, 30]}, "one demand for each load"),
        ({"usual_kg": "140"}, "usual_kg must be a number"),
        ({"usual_kg": 0}, "usual_kg must be a number over 0"),
        ({"provoking_pain": 7.0}, "provoking_pain must be a whole number"),
        ({"provoking_pain": 11}, "from 0 to 10"),
        ({"provoking_kg": 100}, "missing provoking_demand_nm"),
        ({"rest_pain": True}, "rest_pain must be a whole number"),
        ({"ceiling": 4}, "ceiling must be a whole number from 0 to 3"),
        ({"manner": "quick"}, "manner must be one of usual, precise, gentle"),
        ({"manner": ["usual"]}, "manner must be one of"),
        ({"history": {}}, "history must be a list"),
        ({"history": [3]}, "history must be an object"),
        ({"history": [{**SET, "pain": 2.5}]}, "pain must be a whole number"),
        ({"history": [{**SET, "pain": False}]}, "pain must be a whole number"),
        ({"history": [{**SET, "acceptable": 1}]}, "acceptable must be true or false"),
        ({"history": [{**SET, "note": "x"}]}, "unknown key note"),
        ({"history": [{"load_kg": 40, "reps": 3, "pain": 1}]}, "missing acceptable"),
        ({"history": [{**SET, "reps": 0}]}, "reps must be a whole number"),
        ({"history": [{**SET, "spreading": "no"}]}, "spreading must be true or false"),
        ({"demand_nm": [651] * 11 + [650]}, "must not fall"),
        ({"demand_nm": [0, *PLAIN["demand_nm"][1:]]}, "demand_nm must be a number over 0"),
        ({"lift": "deadlift"}, "not both"),
    ],
)
def test_a_bad_request_is_answered_by_what_to_mend(change, says):
    with pytest.raises(BadRequest, match=says):
        find.answer({**PLAIN, **change})


@pytest.mark.parametrize("key", ["loads_kg", "usual_kg", "history", "demand_nm", "usual_demand_nm"])
def test_a_request_without_a_needed_key_is_refused(key):
    with pytest.raises(BadRequest, match=f"missing {key}"):
        find.answer({name: given for name, given in PLAIN.items() if name != key})


def test_half_of_lift_and_body_is_refused():
    asked = {key: PLAIN[key] for key in ("loads_kg", "usual_kg", "history")}
    with pytest.raises(BadRequest, match="missing body"):
        find.answer({**asked, "lift": "deadlift"})
    with pytest.raises(BadRequest, match="missing sex"):
        find.answer({**asked, "lift": "deadlift", "body": {"stature_cm": 176, "mass_kg": 85}})


def test_a_bad_line_does_not_end_the_run():
    found = lines({**PLAIN, "usual_kg": None}, {"id": 2, **PLAIN})
    assert "error" in found[0]
    assert found[1]["id"] == 2
