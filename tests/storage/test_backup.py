"""Backups and restores, typed as a person types them, on real files that are really broken."""

import os
import sqlite3
import subprocess
import tarfile
import threading
from contextlib import closing
from datetime import UTC, datetime, timedelta
from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floorward.errors import StorageError
from floorward.storage import backups, rotation, sealing
from tests.storage.conftest import SECRET, one_line, typed

UNDER_THE_RULES_OF_FILES = ("setpriv", "--bounding-set", "-dac_override,-dac_read_search", "--")


def without_root_rights() -> tuple[str, ...]:
    """In front of a command: root too must heed that a folder is read-only."""
    return UNDER_THE_RULES_OF_FILES if os.geteuid() == 0 else ()


def database(data: Path) -> Path:
    return data / "gym" / "floorward.sqlite3"


def dump(file: Path) -> dict[str, list[tuple[object, ...]]]:
    """The layout and every row."""
    with closing(sqlite3.connect(file)) as connection:
        layout = connection.execute("SELECT name, sql FROM sqlite_master ORDER BY name").fetchall()
        names = [
            name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        ]
        rows = {name: connection.execute(f'SELECT * FROM "{name}" ORDER BY 1').fetchall() for name in names}  # noqa: S608
        return {"layout": layout, **rows}


def change(data: Path, name: str = "Somebody Else") -> None:
    with closing(sqlite3.connect(database(data))) as connection, connection:
        connection.execute("UPDATE storage_lifter SET name = ?", (name,))


def test_a_restored_backup_is_the_database_that_was_backed_up(data, tmp_path):
    before = dump(database(data))
    key = (data / "secret.key").read_text()
    assert typed("backup", tmp_path / "one", "--data", data).returncode == 0
    change(data)
    (data / "secret.key").write_text("another")
    done = typed("restore", tmp_path / "one", "--data", data)
    assert done.returncode == 0, done.stderr
    assert dump(database(data)) == before
    assert (data / "secret.key").read_text() == key


def test_what_stood_there_is_kept_beside_what_was_restored(data, tmp_path):
    typed("backup", tmp_path / "one", "--data", data)
    change(data)
    changed = dump(database(data))
    typed("restore", tmp_path / "one", "--data", data)
    (kept,) = (data / "gym").glob("before-restore-*")
    assert dump(kept / "floorward.sqlite3") == changed


def test_a_backup_can_be_restored_on_a_new_machine(data, tmp_path):
    typed("backup", tmp_path / "one", "--data", data)
    assert typed("restore", tmp_path / "one", "--data", tmp_path / "new").returncode == 0
    assert dump(database(tmp_path / "new")) == dump(database(data))


def test_a_sealed_backup_opens_with_its_passphrase_alone(data, tmp_path):
    before = dump(database(data))
    assert typed("backup", tmp_path / "one", "--data", data, BACKUP_PASSPHRASE=SECRET).returncode == 0
    assert b"SQLite" not in (tmp_path / "one").read_bytes()
    assert not tarfile.is_tarfile(tmp_path / "one")
    wrong = typed("restore", tmp_path / "one", "--data", data, BACKUP_PASSPHRASE="iron under the moon")
    assert one_line(wrong, "passphrase", "nothing was changed")
    assert one_line(typed("restore", tmp_path / "one", "--data", data), "BACKUP_PASSPHRASE")
    assert dump(database(data)) == before
    change(data)
    assert typed("restore", tmp_path / "one", "--data", data, BACKUP_PASSPHRASE=SECRET).returncode == 0
    assert dump(database(data)) == before


def test_a_backup_is_readable_by_its_owner_alone(data, tmp_path):
    typed("backup", tmp_path / "one", "--data", data)
    assert (tmp_path / "one").stat().st_mode & 0o077 == 0


def test_a_backup_never_overwrites_a_file(data, tmp_path):
    (tmp_path / "one").write_text("precious")
    assert one_line(typed("backup", tmp_path / "one", "--data", data), "exists")
    assert (tmp_path / "one").read_text() == "precious"


@pytest.fixture(scope="module")
def one_backup(tmp_path_factory):
    """The bytes of a backup of a small database."""
    folder = tmp_path_factory.mktemp("backup")
    with closing(sqlite3.connect(folder / "gym.sqlite3")) as connection, connection:
        connection.execute("CREATE TABLE lifter (name TEXT)")
        connection.executemany(
            "INSERT INTO lifter VALUES (?)", [(f"Lifter {n} {n**5:x}",) for n in range(900)]
        )
    snapshot = backups.copy_of(folder / "gym.sqlite3")
    now = datetime(2026, 11, 23, 18, tzinfo=UTC)
    backups.make(snapshot, folder / "no.key", folder / "one", passphrase="", now=now)
    return (folder / "one").read_bytes()


@settings(max_examples=150)
@given(share=st.floats(0, 0.999), bits=st.integers(1, 255), length=st.integers(1, 9))
def test_wherever_a_backup_is_damaged_it_is_refused_or_still_whole(
    tmp_path_factory, one_backup, share, bits, length
):
    """A few bits of the archive's own labels (its time, its owner) say nothing; all others are noticed."""
    spot = int(len(one_backup) * share)
    damaged = bytearray(one_backup)
    damaged[spot : spot + length] = bytes(byte ^ bits for byte in damaged[spot : spot + length])
    folder = tmp_path_factory.mktemp("damaged")
    (folder / "two").write_bytes(damaged)
    said = refusal(folder / "two", folder)
    if said:
        assert "damaged" in said or "does not hold" in said
    else:
        with closing(sqlite3.connect(folder / "floorward.sqlite3")) as connection:
            assert connection.execute("SELECT count(*), min(name) FROM lifter").fetchone() == (
                900,
                "Lifter 0 0",
            )


def refusal(file: Path, into: Path) -> str:
    """What is said against a backup; empty where it was taken."""
    try:
        backups.unpack(file, into, passphrase=str)
    except StorageError as error:
        return str(error)
    return ""


@pytest.mark.parametrize("sealed", [False, True])
@pytest.mark.parametrize("place", [0.02, 0.6])
def test_a_damaged_backup_is_refused_and_the_database_stays(data, tmp_path, sealed, place):
    secret = {"BACKUP_PASSPHRASE": SECRET} if sealed else {}
    typed("backup", tmp_path / "one", "--data", data, **secret)
    bytes_ = bytearray((tmp_path / "one").read_bytes())
    spot = int(len(bytes_) * place)
    bytes_[spot : spot + 8] = bytes(255 - byte for byte in bytes_[spot : spot + 8])
    (tmp_path / "two").write_bytes(bytes_)
    before = dump(database(data))
    assert one_line(typed("restore", tmp_path / "two", "--data", data, **secret), "damaged")
    assert dump(database(data)) == before
    assert list((data / "gym").glob("before-restore-*")) == []


@pytest.mark.parametrize("sealed", [False, True])
def test_a_backup_that_was_cut_short_is_refused(data, tmp_path, sealed):
    secret = {"BACKUP_PASSPHRASE": SECRET} if sealed else {}
    typed("backup", tmp_path / "one", "--data", data, **secret)
    (tmp_path / "two").write_bytes((tmp_path / "one").read_bytes()[:-3000])
    assert one_line(typed("restore", tmp_path / "two", "--data", data, **secret), "damaged")


def test_a_file_that_is_no_backup_is_refused(data, tmp_path):
    (tmp_path / "shopping").write_text("chalk, tape, milk\n")
    assert one_line(typed("restore", tmp_path / "shopping", "--data", data), "not a backup")
    assert one_line(typed("restore", tmp_path / "nowhere", "--data", data), "there is no file")


def test_a_backup_of_a_newer_program_is_refused(data, tmp_path):
    with closing(sqlite3.connect(database(data))) as connection, connection:
        connection.execute(
            "INSERT INTO django_migrations (app, name, applied) VALUES ('storage', '9999_later', 0)"
        )
    typed("backup", tmp_path / "one", "--data", data)
    assert one_line(typed("restore", tmp_path / "one", "--data", data), "newer")


def test_a_damaged_database_is_not_backed_up_as_if_it_were_whole(data, tmp_path):
    file = database(data)
    bytes_ = bytearray(file.read_bytes())
    middle = len(bytes_) // 2 // 4096 * 4096
    bytes_[middle : middle + 40960] = b"\x5a" * 40960
    file.write_bytes(bytes_)
    assert one_line(typed("backup", tmp_path / "one", "--data", data), "damaged")
    assert list(tmp_path.glob("one*")) == []
    checked = typed("check", "--data", data)
    assert checked.returncode == 1
    assert "MEND   databases: default: the database is damaged" in checked.stdout


def test_a_file_that_is_no_database_is_said_to_be_damaged_and_is_kept_by_a_restore(data, tmp_path):
    typed("backup", tmp_path / "one", "--data", data)
    database(data).write_text("not a database at all\n" * 500)
    assert one_line(typed("backup", tmp_path / "two", "--data", data), "damaged")
    assert typed("restore", tmp_path / "one", "--data", data).returncode == 0
    (kept,) = (data / "gym").glob("before-restore-*")
    assert (kept / "floorward.sqlite3").read_text().startswith("not a database")
    assert typed("check", "--data", data).returncode == 0


def test_a_disk_that_is_full_leaves_no_half_a_backup(data, tmp_path):
    full = ("sh", "-c", 'ulimit -f 100; exec "$@"', "sh")
    assert one_line(
        typed("backup", tmp_path / "one", "--data", data, before=full), "Nothing was stored", "full"
    )
    assert [file.name for file in tmp_path.iterdir()] == ["data"]
    assert dump(database(data))


def test_a_disk_that_is_full_leaves_the_database_as_it_was_when_restoring(data, tmp_path):
    typed("backup", tmp_path / "one", "--data", data)
    change(data)
    before = dump(database(data))
    full = ("sh", "-c", 'ulimit -f 100; exec "$@"', "sh")
    assert one_line(
        typed("restore", tmp_path / "one", "--data", data, before=full), "Nothing was stored", "full"
    )
    assert dump(database(data)) == before


def test_a_folder_that_cannot_be_written_is_said_so(data, tmp_path):
    folder = tmp_path / "read-only"
    folder.mkdir(mode=0o555)
    done = typed("backup", folder / "one", "--data", data, before=without_root_rights())
    assert one_line(done, "cannot be written")
    typed("backup", tmp_path / "one", "--data", data)
    (data / "gym").chmod(0o555)
    try:
        done = typed("restore", tmp_path / "one", "--data", data, before=without_root_rights())
        assert one_line(done, "cannot be written")
    finally:
        (data / "gym").chmod(0o755)


def test_a_database_that_another_program_locks_is_said_to_be_locked(data, tmp_path):
    file = database(data)
    with closing(sqlite3.connect(file, isolation_level=None)) as other:
        other.execute("PRAGMA locking_mode=EXCLUSIVE")
        other.execute("BEGIN EXCLUSIVE")
        other.execute("UPDATE storage_lifter SET name = 'Held'")
        done = typed("backup", tmp_path / "one", "--data", data)
        other.execute("ROLLBACK")
    assert one_line(done, "locked")
    assert list(tmp_path.glob("one*")) == []


def test_a_backup_taken_while_sets_are_written_holds_a_moment_and_no_half_of_one(data, tmp_path):
    """Two rows always change together; every backup must see them equal."""
    file = database(data)
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA journal_mode=WAL")
    stop = threading.Event()

    def write() -> None:
        with closing(sqlite3.connect(file, timeout=20)) as connection:
            number = 0
            while not stop.is_set():
                number += 1
                with connection:
                    connection.execute("UPDATE storage_gym SET name = ?", (str(number),))
                    connection.execute("UPDATE storage_lifter SET name = ?", (str(number),))

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for name in ("one", "two", "three"):
            done = typed("backup", tmp_path / name, "--data", data)
            assert done.returncode == 0, done.stderr
    finally:
        stop.set()
        writer.join()
    for name in ("one", "two", "three"):
        into = tmp_path / f"{name}-open"
        into.mkdir()
        backups.unpack(tmp_path / name, into, passphrase=str)
        with closing(sqlite3.connect(into / "floorward.sqlite3")) as connection:
            names = connection.execute("SELECT name FROM storage_gym UNION SELECT name FROM storage_lifter")
            assert len(names.fetchall()) == 1


def test_nothing_is_restored_under_a_running_server(data, tmp_path):
    typed("backup", tmp_path / "one", "--data", data)
    holder = subprocess.Popen(
        ["flock", "--shared", str(data / "serving.lock"), "sh", "-c", "echo held; read word"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )
    assert holder.stdout.readline()
    done = typed("restore", tmp_path / "one", "--data", data)
    holder.communicate(b"go\n")
    assert one_line(done, "is running", "stop it first")
    assert typed("restore", tmp_path / "one", "--data", data).returncode == 0


def test_backups_by_the_clock_are_made_when_due_and_go_by_rotation(data, tmp_path):
    clock = tmp_path / "clock"
    into = tmp_path / "kept"
    setting = {"CLOCK_FILE": str(clock), "BACKUP_FOLDER": str(into), "BACKUP_DAYS": "2", "BACKUP_WEEKS": "1"}
    for time in ("2026-11-23T18:00", "2026-11-23T19:00", "2026-11-24T18:00", "2026-11-25T18:00"):
        clock.write_text(time + ":00+00:00")
        done = typed("backup", "--due", "--data", data, **setting)
        assert done.returncode == 0, done.stderr
    assert sorted(file.name for file in into.iterdir()) == [
        "floorward-20261124-180000.backup",
        "floorward-20261125-180000.backup",
    ]


TIMES = st.lists(
    st.datetimes(datetime(2026, 1, 1), datetime(2027, 12, 31), timezones=st.just(UTC)),
    max_size=40,
    unique=True,
)


@given(TIMES, st.integers(1, 10), st.integers(0, 10))
def test_rotation_keeps_the_newest_and_never_more_than_days_and_weeks(times, days, weeks):
    kept = rotation.kept(times, days=days, weeks=weeks)
    assert kept <= set(times)
    assert len(kept) <= days + weeks
    assert not times or max(times) in kept


@given(TIMES, st.integers(1, 10), st.integers(0, 10))
def test_a_second_rotation_removes_nothing_more(times, days, weeks):
    kept = rotation.kept(times, days=days, weeks=weeks)
    assert rotation.kept(kept, days=days, weeks=weeks) == kept


def test_a_backup_from_the_future_does_not_keep_the_next_from_being_made():
    now = datetime(2026, 11, 25, 18, tzinfo=UTC)
    assert rotation.is_due([now + timedelta(days=300)], now, timedelta(days=1))
    assert not rotation.is_due([now - timedelta(hours=23)], now, timedelta(days=1))


SIZES = st.sampled_from([0, 1, sealing.PIECE - 1, sealing.PIECE, sealing.PIECE + 1, 2 * sealing.PIECE])


@settings(max_examples=20)
@given(SIZES, st.text(min_size=1))
def test_what_was_sealed_comes_back(size, passphrase):
    contents = bytes(size)
    sealed, opened = BytesIO(), BytesIO()
    sealing.seal(BytesIO(contents), sealed, passphrase, cost=4)
    sealing.unseal(BytesIO(sealed.getvalue()), opened, passphrase)
    assert opened.getvalue() == contents


@settings(max_examples=60)
@given(st.data())
def test_no_byte_of_a_sealed_file_can_be_changed_unnoticed(data):
    sealed = BytesIO()
    sealing.seal(BytesIO(b"three sets of five"), sealed, SECRET, cost=4)
    contents = bytearray(sealed.getvalue())
    contents[data.draw(st.integers(0, len(contents) - 1))] ^= data.draw(st.integers(1, 255))
    if contents[len(sealing.MAGIC)] not in range(1, 9):  # another cost would only take long to refuse
        return
    with pytest.raises(StorageError):
        sealing.unseal(BytesIO(bytes(contents)), BytesIO(), SECRET)


def test_sealed_pieces_cannot_be_left_out_or_exchanged():
    sealed = BytesIO()
    sealing.seal(BytesIO(bytes(2 * sealing.PIECE + 10)), sealed, SECRET, cost=4)
    contents = sealed.getvalue()
    piece = sealing.PIECE + sealing.TAG
    header, first, second = (
        contents[: sealing.HEADER],
        contents[sealing.HEADER : sealing.HEADER + piece],
        contents[sealing.HEADER + piece : sealing.HEADER + 2 * piece],
    )
    last = contents[sealing.HEADER + 2 * piece :]
    for changed in (header + first + second, header + second + first + last, header + first + last):
        with pytest.raises(StorageError):
            sealing.unseal(BytesIO(changed), BytesIO(), SECRET)


def test_a_clock_that_lags_behind_the_log_is_to_be_mended(data, tmp_path):
    (tmp_path / "clock").write_text("2020-01-01T00:00:00+00:00")
    checked = typed("check", "--data", data, CLOCK_FILE=str(tmp_path / "clock"))
    assert checked.returncode == 1
    assert "MEND   clock: it says 2020-01-01" in checked.stdout
