"""`make bench`: every figure, measured in one run and written to docs/reference/figures.md.

A figure is a ratio (ours against a named reference, or against growing size) or a count; it never makes a test fail.
`python -m bench plates mechanics` runs some files only and leaves the page alone.
"""

import os
import platform
import sys
import time
from importlib import import_module
from pathlib import Path

FILES = ("plates", "mechanics", "builder", "pages", "tolerance", "load")
PAGE = Path(__file__).parents[1] / "docs" / "reference" / "figures.md"
HEAD = """# Figures

Written by `make bench`; ratios within one run, so that they compare across machines. Last run: {machine}.

"""


def main(names: list[str]) -> None:
    sections = []
    for name in names or FILES:
        start = time.perf_counter()
        rows = import_module(f"bench.{name}").figures()
        sections.append(section(name, rows))
        print(sections[-1], f"({time.perf_counter() - start:.0f} s)\n", flush=True)
    if not names:
        PAGE.write_text(HEAD.format(machine=machine()) + "\n".join(sections))


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
