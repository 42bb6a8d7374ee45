"""The `demand` and `lifts` commands: the contract that other programs rely on."""

import argparse
import io
import json
import math
import subprocess
import sys
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floorward.cli import demand, jsonl, lifts
from floorward.cli.demand import answer
from floorward.cli.jsonl import BadRequest

REQUEST: dict[str, Any] = {
    "lift": "deadlift",
    "load": 180,
    "unit": "kg",
    "stature_cm": 176,
    "mass_kg": 85,
    "sex": "male",
}
FIRST = (
    "deadlift", "trap-bar-low", "trap-bar-high", "sumo-deadlift", "romanian-deadlift", "good-morning", "high-bar-squat",
)  # fmt: skip


def ask(**changes: Any) -> dict[str, Any]:
    return answer({**REQUEST, **changes})


def lines(module: Any, *requests: str) -> list[dict[str, Any]]:
    out = io.StringIO()
    assert jsonl.run(requests, out, module.answer) == 0
    return [json.loads(line) for line in out.getvalue().splitlines()]


def command(module: Any, *options: str) -> int:
    parser = argparse.ArgumentParser()
    module.register(parser.add_subparsers())
    parsed = parser.parse_args(options)
    return parsed.run(parsed)


def numbers(value: Any) -> list[float]:
    if isinstance(value, dict):
        return [number for inner in value.values() for number in numbers(inner)]
    if isinstance(value, list):
        return [number for inner in value for number in numbers(inner)]
    return [value] if isinstance(value, float) else []


@pytest.mark.parametrize("lift", FIRST)
def test_every_lift_of_the_first_release_answers_with_all_fields(lift):
    reply = ask(lift=lift)
    assert set(reply) == {"lift", "load_kg", "height_m", "posture", "moments_nm", "bend", "band", "peak"}
    assert set(reply["posture"]) == {
        "shank_deg", "thigh_deg", "trunk_deg", "knee_deg", "hip_deg", "com_offset_m", "grip_x_m",
    }  # fmt: skip
    assert set(reply["moments_nm"]) == {"ankle", "knee", "hip", "l5s1"}
    assert set(reply["bend"]) == {"hip_flexion_deg", "lumbar_flexion_deg"}
    assert set(reply["band"]) == {"l5s1_nm", "trunk_deg", "thigh_deg"}
    assert all(math.isfinite(number) for number in numbers(reply))
    assert reply["peak"] is False


@pytest.mark.parametrize(
    ("lift", "height_m"),
    [
        ("deadlift", 0.225),
        ("trap-bar-low", 0.225),
        ("trap-bar-high", 0.345),
        ("sumo-deadlift", 0.225),
        ("romanian-deadlift", 0.32),
    ],
)
def test_each_pull_starts_at_its_usual_height(lift, height_m):
    assert ask(lift=lift)["height_m"] == pytest.approx(height_m, abs=1e-5)


def test_a_height_between_millimetres_is_kept():
    assert ask(height_cm=42.55)["height_m"] == pytest.approx(0.4255, abs=1e-5)


def test_the_squat_goes_to_level_thighs_unless_told_otherwise():
    assert ask(lift="high-bar-squat")["posture"]["thigh_deg"] == pytest.approx(0, abs=0.01)
    assert ask(lift="high-bar-squat", depth_deg=-12.5)["posture"]["thigh_deg"] == pytest.approx(
        -12.5, abs=0.01
    )


def test_the_good_morning_bottoms_at_its_trunk():
    assert ask(lift="good-morning")["posture"]["trunk_deg"] == pytest.approx(20, abs=0.01)
    assert ask(lift="good-morning", trunk_deg=35)["posture"]["trunk_deg"] == pytest.approx(35, abs=0.01)


@pytest.mark.parametrize(("key", "angle"), [("knee_deg", 105), ("trunk_deg", 40)])
def test_a_measured_angle_rules(key, angle):
    assert ask(**{key: angle})["posture"][key] == pytest.approx(angle, abs=0.01)


def test_a_measured_knee_rules_over_how_a_lift_is_meant_to_be_done():
    assert ask(lift="romanian-deadlift", knee_deg=135)["posture"]["knee_deg"] == pytest.approx(135, abs=0.01)


def test_the_angles_of_a_posture_agree_with_one_another():
    posture = ask(lift="trap-bar-high")["posture"]
    assert posture["knee_deg"] == pytest.approx(posture["shank_deg"] + posture["thigh_deg"], abs=1e-4)
    assert posture["hip_deg"] == pytest.approx(posture["trunk_deg"] + posture["thigh_deg"], abs=1e-4)


def test_bands_hold_the_value_they_belong_to():
    reply = ask()
    low, high = reply["band"]["l5s1_nm"]
    assert low <= reply["moments_nm"]["l5s1"] <= high
    assert low < high


def test_the_peak_of_each_joint_is_no_less_than_its_start():
    start, peak = ask(), ask(peak=True)
    assert peak["peak"] is True
    for joint, moment in start["moments_nm"].items():
        assert peak["moments_nm"][joint] >= moment - 1e-6


def test_pounds_are_turned_into_kilograms():
    assert ask(load=405, unit="lb")["load_kg"] == pytest.approx(183.7048985)


def test_a_longer_span_is_felt():
    assert ask(span_cm=195)["moments_nm"]["l5s1"] != ask()["moments_nm"]["l5s1"]


def test_a_wider_stance_changes_the_posture():
    assert ask(stance_cm=60)["posture"]["thigh_deg"] != pytest.approx(ask()["posture"]["thigh_deg"], abs=0.5)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"depth_deg": 0}, "depth_deg does not apply to deadlift"),
        ({"lift": "high-bar-squat", "height_cm": 30}, "height_cm does not apply"),
        ({"box_cm": 30}, "box_cm does not apply"),
        ({"lift": "no-such-lift"}, "not in the catalogue"),
        ({"lift": 7}, "not in the catalogue"),
        ({"load": "180"}, "load must be a number"),
        ({"load": True}, "load must be a number"),
        ({"load": -1}, "load must be from 0"),
        ({"load": 1200}, "load must be 1000 kg at most"),
        ({"load": float("nan")}, "load must be from 0"),
        ({"unit": "stone"}, "unit must be kg or lb"),
        ({"sex": "man"}, "sex must be male or female"),
        ({"stature_cm": 17}, "stature_cm must be from"),
        ({"mass_kg": 900}, "mass_kg must be from"),
        ({"peak": 1}, "peak must be true or false"),
        ({"span_cm": 90}, "span_cm does not fit"),
        ({"heigth_cm": 30}, "unknown key heigth_cm"),
        ({"height_cm": 150}, "cannot be reached because"),
    ],
)
def test_what_cannot_be_used_is_refused_in_one_line(changes, says):
    with pytest.raises(BadRequest, match=says) as refused:
        ask(**changes)
    assert "\n" not in str(refused.value)


def test_a_missing_key_is_named():
    with pytest.raises(BadRequest, match="missing stature_cm"):
        answer({key: value for key, value in REQUEST.items() if key != "stature_cm"})


def test_a_bad_line_is_answered_in_its_place_and_the_run_goes_on():
    good = json.dumps({**REQUEST, "id": "a"})
    replies = lines(
        demand,
        good,
        "",
        '{"lift": "deadlift", "load": NaN}',
        "[]",
        json.dumps({**REQUEST, "x": 1, "id": 5}),
        good,
    )
    assert [("error" in reply, reply.get("id")) for reply in replies] == [
        (False, "a"), (True, None), (True, None), (True, 5), (False, "a"),
    ]  # fmt: skip
    assert replies[0] == replies[-1]


def test_the_command_prints_the_same_as_a_line(capsys):
    options = [
        "--lift",
        "deadlift",
        "--load",
        "180",
        "--stature-cm",
        "176",
        "--mass-kg",
        "85",
        "--sex",
        "male",
    ]
    assert command(demand, "demand", *options, "--json") == 0
    assert json.loads(capsys.readouterr().out) == ask()
    assert command(demand, "demand", *options) == 0
    assert capsys.readouterr().out.startswith("deadlift 180 kg: low back ")


def test_a_number_that_is_none_is_refused_with_its_option():
    with pytest.raises(BadRequest, match="--load must be a number"):
        command(demand, "demand", "--lift", "deadlift", "--load", "heavy")


def test_the_catalogue_lists_every_lift_with_its_defaults(capsys):
    listed = {row["lift"]: row for row in lifts.answer({})["lifts"]}
    assert set(FIRST) <= set(listed)
    assert listed["deadlift"]["defaults"]["height_cm"] == 22.5
    assert listed["trap-bar-high"]["defaults"]["height_cm"] == 34.5
    assert command(lifts, "lifts") == 0
    assert "trap-bar-high" in capsys.readouterr().out


def test_one_lift_can_be_asked_for():
    assert [row["lift"] for row in lines(lifts, '{"lift": "good-morning"}')[0]["lifts"]] == ["good-morning"]
    assert "error" in lines(lifts, '{"lift": "nothing"}')[0]
    assert "error" in lines(lifts, '{"name": "nothing"}')[0]


def test_every_lift_of_the_catalogue_answers_or_says_why_not():
    for row in lifts.answer({})["lifts"]:
        request = {**REQUEST, "lift": row["lift"], "load": 40}
        if row["modelled"]:
            reply = answer(request)
            assert all(math.isfinite(number) for number in numbers(reply))
        else:
            with pytest.raises(BadRequest, match="not modelled"):
                answer(request)


def test_a_lift_whose_legs_are_not_modelled_leaves_them_empty(capsys):
    reply = ask(lift="back-extension", load=20)
    assert reply["moments_nm"]["knee"] is None
    assert reply["posture"]["shank_deg"] is None
    assert reply["moments_nm"]["l5s1"] > 0
    options = [
        "--lift",
        "back-extension",
        "--load",
        "20",
        "--stature-cm",
        "176",
        "--mass-kg",
        "85",
        "--sex",
        "male",
    ]
    assert command(demand, "demand", *options) == 0
    assert "legs are not modelled" in capsys.readouterr().out


@given(
    stature_cm=st.floats(140, 215),
    mass_kg=st.floats(40, 200),
    load=st.floats(0, 700),
    sex=st.sampled_from(["male", "female"]),
    lift=st.sampled_from([row["lift"] for row in lifts.answer({})["lifts"] if row["modelled"]]),
)
@settings(max_examples=40)
def test_any_body_and_load_gets_finite_numbers_or_a_reason(stature_cm, mass_kg, load, sex, lift):
    request = {"lift": lift, "load": load, "stature_cm": stature_cm, "mass_kg": mass_kg, "sex": sex}
    reply = lines(demand, json.dumps(request))[0]
    if "error" in reply:
        assert "cannot be reached because" in reply["error"]
    else:
        low, high = reply["band"]["l5s1_nm"]
        assert low <= high
        assert all(math.isfinite(number) for number in numbers(reply))


def test_the_band_goes_with_the_reported_instant():
    reply = ask(lift="sumo-deadlift", peak=True)
    low, high = reply["band"]["l5s1_nm"]
    assert low <= reply["moments_nm"]["l5s1"] <= high


MANY = [
    {**REQUEST, "id": n, "lift": lift, "load": 40 + 20 * n, "stature_cm": 165 + n, "peak": n % 2 == 0}
    for n, lift in enumerate((*FIRST, "deadlift", "deadlift", "kettlebell-deadlift", "back-extension"))
]


def test_requests_answered_together_are_answered_as_each_alone():
    wrong = [{**REQUEST, "load": "much"}, {**REQUEST, "height_cm": 160}, {**REQUEST, "lift": "leg-press"}]
    asked = [json.dumps(one) for one in (*MANY[:4], wrong[0], *MANY[4:], *wrong[1:])]
    asked[2:2] = ["", "not json", '{"id": 7}']
    out = io.StringIO()
    assert jsonl.run_together([asked], out, demand.answer_all) == 0
    together = [json.loads(line) for line in out.getvalue().splitlines()]
    alone = lines(demand, *asked)
    assert [one.get("error") for one in together] == [one.get("error") for one in alone]
    assert [one.get("id") for one in together] == [one.get("id") for one in alone]
    for one, other in zip(together, alone, strict=True):
        assert numbers(one) == pytest.approx(numbers(other), rel=1e-5, abs=1e-5)


def test_a_caller_may_wait_for_an_answer_before_asking_again():
    command = [sys.executable, "-m", "floorward.cli", "demand", "--jsonl"]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        for n in range(3):
            process.stdin.write(json.dumps({**REQUEST, "id": n, "load": 100 + n}) + "\n")
            process.stdin.flush()
            assert json.loads(process.stdout.readline())["id"] == n
        process.stdin.write(json.dumps({**REQUEST, "id": "last"}))  # no newline before the end
        process.stdin.close()
        assert json.loads(process.stdout.readline())["id"] == "last"


def test_lines_come_in_whole_whatever_the_portions(tmp_path):
    file = tmp_path / "many"
    said = [f'{{"id": {n}, "note": "{"é" * (n % 40)}"}}' for n in range(5_000)]
    file.write_text("\n".join(said), encoding="utf-8")
    with file.open() as source:
        portions = list(jsonl.come_in(source.fileno()))
    assert [line for portion in portions for line in portion] == said
    assert max(map(len, portions)) <= jsonl.MOST_TOGETHER
