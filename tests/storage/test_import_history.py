"""The command that brings a long training log in."""

import pytest

from tests.storage.conftest import typed

LOG = "day,name,exercise,kg,reps\n" + "3/11/2026,Abel Norwood,deadlift,100,5\n" * 3


@pytest.fixture
def log(tmp_path):
    file = tmp_path / "log.csv"
    file.write_text(LOG)
    return file


def test_the_command_asks_looks_takes_and_takes_back(log, data):
    asked = typed("import-history", log, "--data", data)
    assert asked.returncode == 2
    assert asked.stderr.strip().endswith("say --day-first or --month-first")
    done = typed("import-history", log, "--data", data, "--day-first")
    assert "Abel Norwood: 3 sets on 1 days, 2026-11-03 to 2026-11-03" in done.stdout
    back = typed("import-history", log, "--data", data, "--undo")
    assert back.stdout == "taken back: 3 sets of log.csv\n"
    log.write_text(LOG + "3/11/2026,Abel Norwood,deadlift,heavy,5\n")
    wrong = typed("import-history", log, "--data", data, "--day-first")
    assert wrong.returncode == 2
    assert "line 5: load: “heavy” is no number." in wrong.stderr
