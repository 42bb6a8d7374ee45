"""The commands that bring tables in."""

import pytest

from tests.storage.conftest import one_line, typed

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


PEOPLE = "name,born,height,kg\nAbel Norwood,1991,176,90\nOtt Reinholt,1990,180,82.5\n"


def test_people_are_looked_at_taken_and_taken_back_by_the_command(tmp_path, data):
    file = tmp_path / "people.csv"
    file.write_text(PEOPLE)
    asked = typed("import-table", "bodies", file, "--data", data)
    assert one_line(asked, "which lifter is 'Ott Reinholt'")
    new = ("--lifter", "Ott Reinholt=new")
    look = typed("import-table", "bodies", file, "--data", data, *new, "--dry-run")
    assert look.returncode == 0, look.stderr
    assert "1 new, 1 changed, 0 there already" in look.stdout
    assert "Abel Norwood: mass 85.1 kg → 90 kg" in look.stdout
    assert typed("import-table", "bodies", file, "--data", data, *new).returncode == 0
    again = typed("import-table", "bodies", file, "--data", data)
    assert one_line(again, "Everything in this table is there already") or again.stdout
    back = typed("import-table", "bodies", file, "--data", data, "--undo")
    assert back.stdout == "taken back: 2 people of people.csv\n"
    file.write_text(PEOPLE + "Ines Falk,,165,61\n")
    wrong = typed("import-table", "bodies", file, "--data", data, *new, "--lifter", "Ines Falk=new")
    assert wrong.returncode == 2
    assert "line 4: Year of birth: " in wrong.stderr


def test_equipment_is_taken_by_the_command_and_the_unusual_must_be_said_twice(tmp_path, data):
    file = tmp_path / "iron.csv"
    file.write_text("what,name,mass,unit,count,diameter\nbar,Long bar,55,kg,,\ntyre,,40,lb,2,450\n")
    asked = typed("import-table", "iron", file, "--data", data)
    assert one_line(asked, "which piece is 'tyre'")
    known = ("--piece", "tyre=plates", "--length-unit", "mm")
    unsure = typed("import-table", "iron", file, "--data", data, *known)
    assert unsure.returncode == 2
    assert "line 2: " in unsure.stderr
    assert "say --sure" in unsure.stderr
    assert typed("import-table", "iron", file, "--data", data, *known, "--sure").returncode == 0
    back = typed("import-table", "iron", file, "--data", data, "--undo")
    assert back.stdout == "taken back: 2 pieces of iron.csv\n"
