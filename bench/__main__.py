"""`make bench`: every figure, measured in one run and written to docs/reference/figures.md.

A figure is a ratio (ours against a named reference, or against growing size) or a count; it never makes a test fail.
`python -m bench plates mechanics` runs some files only and leaves the page alone; with `--keep` it writes their part of it anew.
"""

import os
import platform
import re
import sys
import time
from importlib import import_module
from pathlib import Path

FILES = ("plates", "mechanics", "builder", "pages", "phone", "tolerance", "load")
PAGE = Path(__file__).parents[1] / "docs" / "reference" / "figures.md"
HEAD = """# Figures

Written by `make bench`; ratios within one run, so that they compare across machines. Last run: {machine}.

"""


def main(words: list[str]) -> None:
    names = [word for word in words if word != "--keep"]
    parts = {name.capitalize(): "" for name in FILES}
    if names and PAGE.exists():
        parts |= parts_of(PAGE.read_text())
    for name in names or FILES:
        start = time.perf_counter()
        parts[name.capitalize()] = section(name, import_module(f"bench.{name}").figures())
        print(parts[name.capitalize()], f"({time.perf_counter() - start:.0f} s)\n", flush=True)
    if not names or "--keep" in words:
        PAGE.write_text(HEAD.format(machine=machine()) + "\n".join(filter(None, parts.values())))


def parts_of(page: str) -> dict[str, str]:
    """The sections of a page of figures by name, as they stand there."""
    _, *sections = re.split(r"^(?=## )", page, flags=re.MULTILINE)
    return {text.split("\n", 1)[0].removeprefix("## "): text.rstrip("\n") + "\n" for text in sections}


def section(name: str, rows: list[tuple[str, object, str, str]]) -> str:
    lines = [f"| {what} | {shown(value)} {unit} | {note} |" for what, value, unit, note in rows]
    return "\n".join(
        [f"## {name.capitalize()}", "", "| what | figure | against, or aim |", "|---|---|---|", *lines, ""]
    )


def shown(value: object) -> str:
    return f"{value:.3g}" if isinstance(value, float) else str(value)


def machine() -> str:
    return f"Python {platform.python_version()}, {os.cpu_count()} cores, {platform.machine()}"


if __name__ == "__main__":
    main(sys.argv[1:])
