"""Coverage-guided fuzz of the readers of tables: `python -m bench.fuzz_tables --cases 20000`.

Seeds are a few honest tables; each case changes one by bytes, signs or pieces of others. A case that reaches a line of our own code that
none reached before joins the seeds. Whatever a file holds, it is a table or it is refused in a sentence; anything else is a fault, and
its bytes are written beside the command for a test to keep.
"""

import argparse
import io
import random
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import product
from pathlib import Path
from types import FrameType

from openpyxl import Workbook

from floorward.core import headings
from floorward.core.cells import Evidence, length_text, mass_text, odd_cell
from floorward.core.findings import Finding
from floorward.core.past_sets import Matching, cell, read_set
from floorward.errors import Refused
from floorward.reports.wording import sentence_for
from floorward.storage.sheets import Limits, lines_of
from floorward.storage.staging import Staging

LIMITS = Limits(bytes_most=200_000, unfolded_most=2_000_000, lines_most=300)
WATCHED = ("sheets.py", "cells.py", "past_sets.py", "headings.py", "staging.py")
HEADS = "Date;Athlete;Exercise;Weight (kg);Reps;RPE;Set;Sets\n"
LINES = (
    "25.11.2026;Abel Norwood;deadlift;180;5;8;1;1\n", "3/11/2026;Zoë Kjær;front squat;92,5 kg;5;7,5;;3\n",
    "2026-11-25T18:30;Ines;bench press;1.250,5;1;;2;\n", '"Nov 3, 2026";"=1+1";"a\nb";225 lbs;12;10;;\n', "\n", ";;;;;;;\n",
)  # fmt: skip
PIECES = (
    b"\0", b"\xff\xfe", b"\xef\xbb\xbf", b'"', b'""', b";", b",", b"\t", b"|", b"\r", b"\r\n", b"=cmd|' /C'!A0", b"1,250", b"31.02.2026",
    b"\xe2\x80\xae", b"\x81", b"9" * 40, b"x" * 11_000, b"PK\x03\x04", b"BW", b"-1", b"1e9", b"NaN", "١٢".encode(), b"<!DOCTYPE x [",
)  # fmt: skip


def seeds() -> list[bytes]:
    """Honest tables in several dresses."""
    text = HEADS + "".join(LINES)
    book = Workbook()
    for line in text.splitlines():
        book.active.append([part.replace('"', "") for part in line.split(";")])
    out = io.BytesIO()
    book.save(out)
    dresses = ("utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-be")
    return [*(text.encode(name) for name in dresses), text.replace(";", "\t").encode(), out.getvalue()]


def read(content: bytes) -> None:
    """Everything that an import does with a file before it meets the database."""
    try:
        with lines_of(io.BytesIO(content), LIMITS) as lines, Staging() as staging:
            heads = next(lines, (0, []))[1]
            matching = Matching(columns=headings.guess("sets", heads), unit="kg", decimal_comma=True)
            for _ in staging.put(_sets(lines, matching)):
                pass
            list(staging.alike())
        for kind in ("bodies", "iron"):
            _measures(kind, content)
    except Refused as refusal:
        sentence_for(refusal.code, refusal.numbers)


def _measures(kind: str, content: bytes) -> None:
    """What the texts of masses and lengths make of every cell, in a table of people or of equipment."""
    with lines_of(io.BytesIO(content), LIMITS) as lines:
        heads = next(lines, (0, []))[1]
        columns = headings.guess(kind, heads)
        for head in heads:
            headings.length_unit_over(head)
        for _, cells in lines:
            odd_cell({name: cell(cells, Matching(columns=columns), name) for name in columns})
            for text, comma in product(cells, (True, False, None)):
                mass_text(text, "kg", comma)
                length_text(text, "cm", comma)


def _sets(lines: Iterator[tuple[int, list[str]]], matching: Matching) -> Iterator:
    evidence, needed = Evidence(), headings.needed("sets")
    for number, cells in lines:
        said = {name: cell(cells, matching, name) for name in matching.columns}
        evidence.see_day(said.get("day", ""))
        evidence.see_number(said.get("load", ""))
        headings.match_names([said.get("lifter", "")], {"Abel Norwood": "1", "Ines Falk": "2"})
        if not set(needed) <= set(matching.columns):
            continue
        whole = Matching(
            columns=matching.columns, unit="kg", day_first=evidence.order, decimal_comma=evidence.decimal_comma,
            people={said["lifter"]: 1}, lifts={said["lift"]: "deadlift"},
        )  # fmt: skip
        found = read_set(cells, whole)
        if isinstance(found, Finding):
            sentence_for(found.code, found.numbers)
        elif found is not None:
            yield number, found


def changed(rng: random.Random, known: list[bytes]) -> bytes:
    """A seed with a few changes."""
    content = bytearray(rng.choice(known))
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(content) + 1)
        match rng.randrange(6):
            case 0:
                content[at : at + rng.randint(1, 9)] = b""
            case 1:
                content[at:at] = rng.choice(PIECES)
            case 2:
                content[at : at + 1] = bytes([rng.randrange(256)])
            case 3:
                content = content[:at]
            case 4:
                other = rng.choice(known)
                content[at:at] = other[rng.randrange(len(other) + 1) :][: rng.randint(1, 300)]
            case _:
                content += content[at : at + rng.randint(1, 200)] * rng.randint(1, 20)
    return bytes(content[: LIMITS.bytes_most])


@contextmanager
def watching(seen: set[tuple[str, int]]) -> Iterator[None]:
    """Take note of the lines of the readers that run."""

    def line(frame: FrameType, event: str, _arg: object):
        if event == "line":
            seen.add((frame.f_code.co_filename, frame.f_lineno))
        return line

    def call(frame: FrameType, _event: str, _arg: object):
        return line if frame.f_code.co_filename.endswith(WATCHED) else None

    before = sys.gettrace()
    sys.settrace(call)
    try:
        yield
    finally:
        sys.settrace(before)


def run(cases: int, seed: int = 1) -> tuple[int, list[tuple[bytes, Exception]]]:
    """How many lines were reached in so many cases, and what broke."""
    rng, known, reached = random.Random(seed), seeds(), set()
    faults: list[tuple[bytes, Exception]] = []
    for number in range(cases):
        content = known[number] if number < len(known) else changed(rng, known)
        seen: set[tuple[str, int]] = set()
        try:
            with watching(seen):
                read(content)
        except Exception as error:  # noqa: BLE001 - what is looked for
            faults.append((content, error))
        if seen - reached:
            reached |= seen
            known.append(content)
    return len(reached), faults


def main() -> int:
    command = argparse.ArgumentParser(description=__doc__)
    command.add_argument("--cases", type=int, default=10_000)
    command.add_argument("--seed", type=int, default=1)
    options = command.parse_args()
    began = time.perf_counter()
    lines, faults = run(options.cases, options.seed)
    for number, (content, error) in enumerate(faults[:20]):
        Path(f"fuzz-fault-{number}.bin").write_bytes(content)
        print(f"fuzz-fault-{number}.bin: {type(error).__name__}: {error}")
    print(
        f"{options.cases} cases, {lines} lines reached, {len(faults)} faults, {time.perf_counter() - began:.0f} s"
    )
    return 1 if faults else 0


if __name__ == "__main__":
    raise SystemExit(main())
