"""`floorward check` says what is to be mended before it stops an evening."""

import shutil
from datetime import timedelta

from floorward.storage import authority
from tests.conftest import at
from tests.storage.conftest import typed

NOW = at("2026-11-23 18:00")


def check(folder, moment=NOW):
    (folder / "clock").write_text(moment.isoformat())
    return typed("check", "--data", folder / "data", CLOCK_FILE=str(folder / "clock"))


def test_a_certificate_that_is_about_to_run_out_is_to_be_made_anew(tmp_path):
    authority.certificate_for(tmp_path / "data" / "lan", ("192.168.1.20",), NOW)
    assert "sound  certificates: authority until" in check(tmp_path).stdout
    checked = check(tmp_path, NOW + authority.CERTIFICATE_LIFE - timedelta(days=2))
    assert checked.returncode == 1
    assert "MEND   certificates: the server's ends on" in checked.stdout


def test_a_disk_without_room_for_the_data_three_times_is_to_be_cleared(tmp_path):
    demo = tmp_path / "data" / "demo"
    demo.mkdir(parents=True)
    with (demo / "floorward.sqlite3").open("wb") as file:
        file.truncate(shutil.disk_usage(tmp_path).free // 2)  # it takes no room: nothing is written in it
    checked = check(tmp_path)
    assert checked.returncode == 1
    assert "MEND   disk: only" in checked.stdout
