"""The `plates` command: the contract that other programs rely on, and what a person at a terminal sees."""

import argparse
import io
import json
import re
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.cli import jsonl, plates
from floorward.cli.jsonl import BadRequest
from floorward.cli.plates import answer

REQUEST: dict[str, Any] = {
    "target": 142.5,
    "unit": "kg",
    "bar": 20,
    "collars": 2.5,
    "stock": {"25": 4, "20": 2, "10": 2, "5": 2, "2.5": 2, "1.25": 2},
}
OPTIONS = [
    "--target",
    "142.5",
    "--unit",
    "kg",
    "--bar",
    "20",
    "--collars",
    "2.5",
    "--stock",
    "25:4,20:2,10:2,5:2,2.5:2,1.25:2",
]


def ask(**changes: Any) -> dict[str, Any]:
    return answer({**REQUEST, **changes})


def lines(*requests: str) -> list[dict[str, Any]]:
    out = io.StringIO()
    assert jsonl.run(requests, out, answer) == 0
    return [json.loads(line) for line in out.getvalue().splitlines()]


def command(*options: str) -> int:
    parser = argparse.ArgumentParser()
    plates.register(parser.add_subparsers())
    chosen = parser.parse_args(["plates", *options])
    return int(chosen.run(chosen))


def test_a_load_that_can_be_made_is_its_own_neighbour_on_both_sides() -> None:
    assert ask() == {
        "target": 142.5,
        "made": 142.5,
        "per_side": [25, 25, 5, 2.5, 1.25],
        "plates": 5,
        "below": 142.5,
        "above": 142.5,
        "exact": True,
    }


def test_a_load_between_two_is_made_below() -> None:
    assert ask(target=101) == {
        "target": 101,
        "made": 100,
        "per_side": [25, 10, 2.5],
        "plates": 3,
        "below": 100,
        "above": 102.5,
        "exact": False,
    }


@pytest.mark.parametrize("target", [0, 20, 24.999])
def test_a_load_under_the_bar_has_only_the_bar_above(target: float) -> None:
    assert ask(target=target) == {
        "target": target,
        "made": None,
        "per_side": [],
        "plates": 0,
        "below": None,
        "above": 25,
        "exact": False,
    }


@pytest.mark.parametrize("target", [1000, 1e300])
def test_a_load_over_the_stock_is_made_of_all_of_it(target: float) -> None:
    reply = ask(target=target, stock={"25": 2, "10": 1})
    assert reply["made"] == reply["below"] == 145
    assert reply["per_side"] == [25, 25, 10]
    assert reply["above"] is None
    assert not reply["exact"]


def test_a_stock_of_nothing_leaves_the_bar() -> None:
    assert ask(target=25, stock={})["exact"]
    assert ask(target=60, stock={"25": 0})["made"] == 25


def test_scarce_stock_is_not_loaded_greedily() -> None:
    assert ask(target=80, collars=0, stock={"25": 1, "20": 1, "10": 1})["per_side"] == [20, 10]


def test_tenths_are_exact() -> None:
    assert ask(target=20.6, collars=0, stock={"0.1": 1, "0.2": 1})["per_side"] == [0.2, 0.1]


def test_more_pairs_than_any_bar_takes_are_answered_all_the_same() -> None:
    plenty = dict.fromkeys(("25", "20", "10", "5", "2.5", "1.25", "0.5", "0.25"), 1000)
    assert ask(stock=plenty)["per_side"] == [25, 25, 5, 2.5, 1.25]


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"target": "142.5"}, 'target must be a number, not "142.5"'),
        ({"target": True}, "target must be a number, not true"),
        ({"target": None}, "target must be a number, not null"),
        ({"target": float("nan")}, "target must be 0 or more"),
        ({"target": float("inf")}, "target must be 0 or more"),
        ({"target": -5}, "target must be 0 or more, not -5"),
        ({"bar": -20}, "bar must be 0 or more and 10000 at most"),
        ({"bar": 1e9}, "bar must be 0 or more and 10000 at most"),
        ({"collars": [2.5]}, "collars must be a number"),
        ({"unit": "stone"}, "unit must be kg or lb, not 'stone'"),
        ({"unit": ["kg"]}, "unit must be kg or lb"),
        ({"stock": "25:4"}, "stock must be an object"),
        ({"stock": [["25", 4]]}, "stock must be an object"),
        ({"stock": {"25": 1.5}}, "pairs of the 25 plate must be a whole number"),
        ({"stock": {"25": "4"}}, "pairs of the 25 plate must be a whole number"),
        ({"stock": {"25": True}}, "pairs of the 25 plate must be a whole number"),
        ({"stock": {"25": -1}}, "pairs of the 25 plate must be a whole number"),
        ({"stock": {"0": 1}}, "'0' is not the mass of a plate"),
        ({"stock": {"-5": 1}}, "'-5' is not the mass of a plate"),
        ({"stock": {"NaN": 1}}, "'NaN' is not the mass of a plate"),
        ({"stock": {"heavy": 1}}, "'heavy' is not the mass of a plate"),
        ({"stock": {"25": 1, "25.0": 1}}, "names the 25.0 plate twice"),
        ({"stock": {"25": 9, "20.41165665": 9}}, "sizes without a common step"),
        ({"sleeve": 400}, "unknown key sleeve"),
    ],
)
def test_what_cannot_be_used_is_named(change: dict[str, Any], message: str) -> None:
    with pytest.raises(BadRequest, match=message):
        ask(**change)


@pytest.mark.parametrize("key", sorted(REQUEST))
def test_every_key_is_needed(key: str) -> None:
    with pytest.raises(BadRequest, match=f"missing {key}"):
        answer({name: value for name, value in REQUEST.items() if name != key})


def test_a_wrong_line_is_answered_in_its_place_and_the_run_goes_on() -> None:
    good = json.dumps({"id": "a", **REQUEST})
    replies = lines(good, "", '{"target": NaN}', "[]", "{", good)
    assert [sorted(reply)[:1] for reply in replies] == [["above"], ["error"], ["error"], ["error"], ["above"]]
    assert replies[0] == replies[4] == {"id": "a", **ask()}


@given(
    st.dictionaries(
        st.sampled_from((*REQUEST, "id", "x")),
        st.recursive(
            st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=5),
            lambda inner: (
                st.lists(inner, max_size=2) | st.dictionaries(st.text(max_size=3), inner, max_size=2)
            ),
            max_leaves=4,
        ),
    )
)
def test_no_request_stops_the_run(changes: dict[str, Any]) -> None:
    reply, last = lines(json.dumps({**REQUEST, **changes}), json.dumps(REQUEST))
    assert ("error" in reply) != ("made" in reply)
    assert last == ask()


def test_the_options_say_the_same_as_a_request(capsys: pytest.CaptureFixture[str]) -> None:
    assert command(*OPTIONS, "--json") == 0
    assert json.loads(capsys.readouterr().out) == ask()


@pytest.mark.parametrize(
    ("target", "sentence"),
    [
        ("142.5", "142.5 kg: 25 + 25 + 5 + 2.5 + 1.25 on each side"),
        ("25", "25 kg: nothing on each side"),
        ("101", "101 kg cannot be made; below it 100 kg: 25 + 10 + 2.5 on each side; above it 102.5 kg"),
        ("10", "10 kg cannot be made; nothing below it; above it 25 kg"),
    ],
)
def test_a_person_reads_a_sentence(capsys: pytest.CaptureFixture[str], target: str, sentence: str) -> None:
    assert command(*OPTIONS[:1], target, *OPTIONS[2:]) == 0
    assert capsys.readouterr().out == sentence + "\n"


def test_the_heaviest_load_has_nothing_above_it(capsys: pytest.CaptureFixture[str]) -> None:
    assert command(*OPTIONS[:1], "900", *OPTIONS[2:]) == 0
    assert capsys.readouterr().out.endswith("nothing above it\n")


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (OPTIONS[:-2], "missing stock"),
        ([*OPTIONS[:1], "heavy", *OPTIONS[2:]], "--target must be a number such as 142.5, not 'heavy'"),
        ([*OPTIONS[:-1], "25"], "'25' is not a size and its pairs"),
        ([*OPTIONS[:-1], "25:1.5"], "'25:1.5' is not a size and its pairs"),
        ([*OPTIONS[:-1], "25:1,25:2"], "names the 25 plate twice"),
    ],
)
def test_a_slip_at_the_terminal_is_named(options: list[str], message: str) -> None:
    with pytest.raises(BadRequest, match=re.escape(message)):
        command(*options)


def test_lines_come_in_and_go_out(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(json.dumps(REQUEST)))
    assert command("--jsonl") == 0
    assert json.loads(capsys.readouterr().out) == ask()


def test_decimals_written_on_the_command_line_are_kept_exactly() -> None:
    assert ask(target=Decimal("142.5"))["exact"]
