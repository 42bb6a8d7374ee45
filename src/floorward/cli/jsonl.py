"""The line protocol of every command with `--jsonl`: a JSON object a line in, an answer a line out, in order.

A line that is wrong is answered in its place by `{"error": …}` and the run goes on. Each answer is flushed at once, so that a
caller may wait for it before asking again; where requests are answered together, those that have come in by then are. Numbers must be finite; `id` is echoed; blank lines are passed over.
"""

from __future__ import annotations

import json
import math
import os
from collections.abc import Callable, Iterable, Iterator
from typing import IO, Any

Answer = dict[str, Any]
MOST_TOGETHER = 128
_CHUNK = 1 << 16


class BadRequest(Exception):  # noqa: N818 - it is what the message says
    """A request that cannot be answered; the message says what is wrong and how to mend it."""


def run(lines: Iterable[str], out: IO[str], answer: Callable[[dict[str, Any]], Answer]) -> int:
    """Answer every line with `answer`; 0 once all are answered."""
    for line in lines:
        if line.strip():
            out.write(json.dumps(_one(line, answer), allow_nan=False) + "\n")
            out.flush()
    return 0


def run_together(
    portions: Iterable[list[str]],
    out: IO[str],
    answer_all: Callable[[list[dict[str, Any]]], list[Answer | BadRequest]],
) -> int:
    """As `run`, where `answer_all` answers many requests at once, in their order; a wrong one by what is wrong with it."""
    for portion in portions:
        asked = [_asked(line) for line in portion if line.strip()]
        requests = [request for _, request in asked if not isinstance(request, BadRequest)]
        answers = iter(answer_all(requests) if requests else [])
        for echo, request in asked:
            answer = request if isinstance(request, BadRequest) else next(answers)
            said = {"error": str(answer)} if isinstance(answer, BadRequest) else answer
            out.write(json.dumps({**echo, **said}, allow_nan=False) + "\n")
        out.flush()
    return 0


def come_in(source: int) -> Iterator[list[str]]:
    """The lines of an open file, pipe or terminal by its number, in portions of what has come in; it waits only where nothing has."""
    rest = b""
    while chunk := os.read(source, _CHUNK):
        *lines, rest = (rest + chunk).split(b"\n")
        for first in range(0, len(lines), MOST_TOGETHER):
            yield [line.decode(errors="replace") for line in lines[first : first + MOST_TOGETHER]]
    if rest:
        yield [rest.decode(errors="replace")]


def _one(line: str, answer: Callable[[dict[str, Any]], Answer]) -> Answer:
    echo, request = _asked(line)
    try:
        if isinstance(request, BadRequest):
            raise request
        return {**echo, **answer(request)}
    except BadRequest as error:
        return {**echo, "error": str(error)}


def _asked(line: str) -> tuple[Answer, dict[str, Any] | BadRequest]:
    """What is echoed, and the request without it, or why it is none."""
    try:
        request = parse(line)
    except BadRequest as error:
        return {}, error
    echo = {"id": request.pop("id")} if "id" in request else {}
    return echo, request


def parse(line: str) -> dict[str, Any]:
    """The object on `line`; NaN and Infinity are refused wherever they stand.

    Raises:
        BadRequest: if the line is not one JSON object.
    """
    try:
        request = json.loads(line, parse_constant=_not_finite, parse_float=_finite)
    except (json.JSONDecodeError, RecursionError, ValueError) as error:
        raise BadRequest(f"not JSON: {error}") from error
    if not isinstance(request, dict):
        raise BadRequest('the line must be one JSON object, such as {"load": 100}')
    return request


def _not_finite(word: str) -> float:
    raise BadRequest(f"{word} is not a number that can be used")


def _finite(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise BadRequest(f"{text} is too large")
    return number
