"""What a reader of source for weak spots finds, each explained; a new one fails until it is mended or explained here."""

import json
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]

EVERYWHERE = {
    "B101": "an assert tells the type checker what the line before has made sure; none of them guards a door",
    "B404": "importing subprocess does nothing by itself; each call is looked at by B603",
}
EXPLAINED = {
    ("B104", "cli/serve.py"): "serving the gym's network is what --lan asks for; the demo must be gone first",
    ("B104", "web/door.py"): "the door for phones gives out one page and one public certificate",
    ("B603", "cli/serve.py"): "our own program, with the data folder that was given at the start; no shell",
    ("B608", "storage/staging.py"): "names of our own tables and columns; what was typed is a parameter",
    (
        "B608",
        "actions/imports.py",
    ): "the names of one of our own tables and its columns; what was typed is a parameter",
    ("B608", "storage/soundness.py"): "the name of a table, read from the database's own list and quoted",
    ("B105", "storage/engines.py"): "the name of a part of an address, no password",
    ("B608", "storage/backups.py"): "the name of a table, read from the database's own list and quoted",
    (
        "B703",
        "web/templatetags/floorward.py",
    ): "drawings are made by reports.drawings, which escapes what it writes",
    ("B308", "web/templatetags/floorward.py"): "the same",
    ("B703", "web/views/shelf.py"): "help pages are ours, shipped with the program; raw HTML in them is off",
    ("B308", "web/views/shelf.py"): "the same",
}


def found():
    command = [sys.executable, "-m", "bandit", "-q", "-r", "src/floorward", "-f", "json"]
    said = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False, timeout=120)
    report = json.loads(said.stdout)
    assert report["errors"] == []
    return {
        (row["test_id"], row["filename"].removeprefix("src/floorward/"))
        for row in report["results"]
        if row["test_id"] not in EVERYWHERE
    }


def test_every_weak_spot_that_bandit_sees_is_explained_and_no_explanation_is_left_over():
    assert found() == set(EXPLAINED)
