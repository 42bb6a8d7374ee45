"""`floorward export`: everything of the gym in files that anybody can read."""

import argparse
import json
from pathlib import Path

from floorward.cli import data
from floorward.cli.jsonl import BadRequest
from floorward.web.now import now


def register(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    command = commands.add_parser("export", help="write everything as CSV and JSON, with a data dictionary")
    command.add_argument("folder", help="the folder to write; new or empty")
    data.add_data_option(command)
    command.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """A CSV for each table, one JSON with all of them, and what each column means."""
    data.set_up(options.data)
    from floorward.reports import csv_table
    from floorward.storage import exports, place

    folder = Path(options.folder).resolve()
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    if any(folder.iterdir()):
        raise BadRequest(f"{folder} is not empty; give a new folder")
    rows, hidden = exports.agreed(place.GYM)
    for name, table in rows.items():
        text = csv_table.table(exports.shown_columns(name), table)
        (folder / f"{name}.csv").write_text(text, encoding="utf-8", newline="")
    meanings = exports.dictionary()
    (folder / "dictionary.csv").write_text(
        csv_table.table(list(meanings[0]), meanings), encoding="utf-8", newline=""
    )
    (folder / "dictionary.json").write_text(json.dumps(meanings, ensure_ascii=False, indent=1))
    exports.write_whole(folder, rows, now())
    print(f"{folder}: {sum(map(len, rows.values()))} rows of {len(rows)} tables")
    if hidden:
        print(f"left out: health answers of {hidden} without a consent in force")
    return 0
