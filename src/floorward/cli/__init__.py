"""The `floorward` command. Each subcommand is a module beside this one with `register(subparsers)`."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from importlib import import_module

from floorward.cli.jsonl import BadRequest
from floorward.errors import FloorwardError

COMMANDS = (
    "serve",
    "demo",
    "check",
    "backup",
    "restore",
    "export",
    "import",
    "import-history",
    "import-table",
    "move",
    "demand",
    "plates",
    "find",
    "step",
    "lifts",
)
MODULES = {"import": "import_", "import-history": "import_history", "import-table": "import_table"}


class _OneLineParser(argparse.ArgumentParser):
    """Says what is wrong in one line, where argparse would print the whole usage."""

    def error(self, message: str) -> None:  # type: ignore[override]
        self.exit(2, f"floorward: {message} (see '{self.prog} --help')\n")


def parser(names: Sequence[str] = COMMANDS) -> argparse.ArgumentParser:
    """The command line with the commands `names`; what each takes stands in its own module."""
    top = _OneLineParser(prog="floorward", description="Keeps a sore lifter training, back toward the floor.")
    commands = top.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for name in names:
        import_module(f"floorward.cli.{MODULES.get(name, name)}").register(commands)
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; 0 when done, 2 when the input must be mended, 1 when Floorward cannot go on."""
    given = list(sys.argv[1:] if argv is None else argv)
    # only the command that is called is loaded: a page of numbers need not wait for the web server's parts
    options = parser(given[:1] if given[:1] and given[0] in COMMANDS else COMMANDS).parse_args(given)
    try:
        return int(options.run(options))
    except BadRequest as error:
        print(f"floorward: {error}", file=sys.stderr)
        return 2
    except FloorwardError as error:
        print(f"floorward: {error}", file=sys.stderr)
        return 1
    except BrokenPipeError:
        return 0
    except Exception as error:
        if (said := _said_of_storage(error)) is None:
            raise
        print(f"floorward: {said}", file=sys.stderr)
        return 1


def _said_of_storage(error: Exception) -> str | None:
    """One line about a disk or database that fails, None for anything else."""
    from floorward.reports.wording import sentence_for
    from floorward.storage.troubles import code_of

    code = code_of(error)
    return None if code is None else f"{sentence_for(code, {})} ({' '.join(str(error).split())})"
