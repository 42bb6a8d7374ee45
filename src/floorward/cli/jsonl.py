"""The line protocol of every command with `--jsonl`: a JSON object a line in, an answer a line out, in order.

A line that is wrong is answered in its place by `{"error": …}` and the run goes on. Each answer is flushed at once, so that a
caller may wait for it before asking again. Numbers must be finite; `id` is echoed; blank lines are passed over.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterable
from typing import IO, Any

Answer = dict[str, Any]


class BadRequest(Exception):  # noqa: N818 - it is what the message says
    """A request that cannot be answered; the message says what is wrong and how to mend it."""


def run(lines: Iterable[str], out: IO[str], answer: Callable[[dict[str, Any]], Answer]) -> int:
    """Answer every line with `answer`; 0 once all are answered."""
    for line in lines:
        if line.strip():
            out.write(json.dumps(_one(line, answer), allow_nan=False) + "\n")
            out.flush()
    return 0


def _one(line: str, answer: Callable[[dict[str, Any]], Answer]) -> Answer:
    echo: Answer = {}
    try:
        request = parse(line)
        if "id" in request:
            echo = {"id": request.pop("id")}
        return {**echo, **answer(request)}
    except BadRequest as error:
        return {**echo, "error": str(error)}


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
