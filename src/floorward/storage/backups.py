"""Backups: the whole database of a gym in one file, taken while people work, checked before it is trusted.

The file is a gzipped tar of `manifest.json` (format, time, rows of each table, SHA-256 of each member), `floorward.sqlite3` and, where
it lives in the data folder, `secret.key`; sealed (see `sealing`) if there is a passphrase. Nothing takes its final name before it is
whole and on the disk.
"""

import hashlib
import json
import os
import shutil
import sqlite3
import tarfile
import tempfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from floorward.errors import StorageError
from floorward.storage import sealing

FORMAT = "floorward-backup-1"
DATABASE, KEY, MANIFEST = "floorward.sqlite3", "secret.key", "manifest.json"

Snapshot = Callable[[Path], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """What a backup says of itself. `rows` counts the rows of each table."""

    made_at: datetime
    rows: dict[str, int]
    sha256: dict[str, str]


def make(snapshot: Snapshot, key: Path, target: Path, *, passphrase: str, now: datetime) -> Manifest:
    """Write a backup to `target`, which must not exist. `snapshot` writes a consistent database to the path it is given.

    Raises:
        StorageError: `target` exists, or the database is damaged.
    """
    if target.exists():
        raise StorageError(f"{target} exists and is kept; give the backup another name")
    if not target.parent.is_dir():
        raise StorageError(f"there is no folder {target.parent}; make it, or give another")
    with tempfile.TemporaryDirectory(dir=target.parent, prefix=".backup-") as folder:
        place = Path(folder)
        snapshot(place / DATABASE)
        members = [place / DATABASE]
        if key.is_file():
            (place / KEY).write_bytes(key.read_bytes())
            members.append(place / KEY)
        manifest = Manifest(
            made_at=now, rows=whole(place / DATABASE), sha256={file.name: _sha256(file) for file in members}
        )
        (place / MANIFEST).write_text(_written(manifest))
        plain = place / "plain"
        with tarfile.open(plain, "w:gz", compresslevel=6) as archive:
            for file in (place / MANIFEST, *members):
                archive.add(file, arcname=file.name)
        finished = _sealed(plain, place / "sealed", passphrase) if passphrase else plain
        settle(finished, target)
    return manifest


def unpack(file: Path, into: Path, *, passphrase: Callable[[], str]) -> Manifest:
    """Open `file` in the folder `into` and check all of it; `passphrase` is asked for only if the file is sealed.

    Raises:
        StorageError: it is not a backup, is damaged, or the passphrase is wrong.
    """
    with file.open("rb") as source:
        sealed = sealing.is_sealed(source.read(sealing.HEADER))
    plain = into / "plain" if sealed else file
    if sealed:
        with file.open("rb") as source, plain.open("wb") as target:
            sealing.unseal(source, target, passphrase())
    manifest = _extracted(plain, into)
    if whole(into / DATABASE) != manifest.rows:
        raise StorageError("the backup does not hold the rows it says it holds; take another copy of it")
    return manifest


def copy_of(database: Path) -> Snapshot:
    """How a SQLite file is copied while others read and write it."""

    def snapshot(target: Path) -> None:
        with opened(database) as source, closing(sqlite3.connect(target)) as copy:
            source.execute("BEGIN")  # the copy alone would wait for ever for another program's lock
            source.execute("SELECT count(*) FROM sqlite_master").fetchone()
            source.backup(copy)
            copy.execute("PRAGMA journal_mode=DELETE")

    return snapshot


@contextmanager
def opened(database: Path) -> Iterator[sqlite3.Connection]:
    """A connection to a SQLite file that must exist.

    Raises:
        StorageError: there is no such file.
    """
    if not database.is_file() or not database.stat().st_size:
        raise StorageError(f"there is no database at {database}; is this the right data folder?")
    with closing(sqlite3.connect(database, timeout=5)) as connection:
        yield connection


def whole(database: Path) -> dict[str, int]:
    """Rows of each table of a database that passes SQLite's own checks.

    Raises:
        StorageError: it does not pass.
    """
    try:
        with opened(database) as connection:
            said = connection.execute("PRAGMA integrity_check").fetchone()[0]
            loose = connection.execute("PRAGMA foreign_key_check").fetchone()
            if said != "ok" or loose is not None:
                found = str(said).replace("\n", "; ") if said != "ok" else loose[0]
                raise StorageError(f"the database is damaged ({found})")
            names = connection.execute(
                "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name"
            ).fetchall()
            return {
                name: connection.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0]  # noqa: S608 - its own names
                for (name,) in names
            }
    except sqlite3.DatabaseError as error:
        if "malformed" in str(error) or "not a database" in str(error):
            raise StorageError(f"the database is damaged ({error})") from error
        raise


def settle(finished: Path, target: Path) -> None:
    """Give a finished file its name: on the disk first, readable by its owner alone, all at once."""
    finished.chmod(0o600)
    with finished.open("rb+") as file:
        os.fsync(file.fileno())
    finished.replace(target)
    folder = os.open(target.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)


def _sealed(plain: Path, target: Path, passphrase: str) -> Path:
    with plain.open("rb") as source, target.open("wb") as out:
        sealing.seal(source, out, passphrase)
    return target


def _extracted(plain: Path, into: Path) -> Manifest:
    try:
        with tarfile.open(plain, "r:gz") as archive:
            for member in archive:
                if member.name in {DATABASE, KEY, MANIFEST} and member.isfile():
                    _take(archive, member, into)
        manifest = _read(json.loads((into / MANIFEST).read_text()))
    except (tarfile.TarError, zlib.error, EOFError, OSError, ValueError, KeyError, TypeError) as error:
        if (
            isinstance(error, OSError)
            and error.errno is not None
            and not isinstance(error, FileNotFoundError)
        ):
            raise
        raise StorageError("this is not a backup, or it is damaged; take another copy of it") from error
    if {name: _sha256(into / name) for name in manifest.sha256 if (into / name).is_file()} != manifest.sha256:
        raise StorageError(
            "the backup is damaged: its parts are not what was written; take another copy of it"
        )
    return manifest


def _take(archive: tarfile.TarFile, member: tarfile.TarInfo, into: Path) -> None:
    """Its bytes alone, whatever the archive says of owners, modes and paths."""
    source = archive.extractfile(member)
    if source is None:
        raise ValueError(member.name)
    with source, (into / member.name).open("wb") as target:
        shutil.copyfileobj(source, target)


def _written(manifest: Manifest) -> str:
    return json.dumps(
        {
            "format": FORMAT,
            "made_at": manifest.made_at.isoformat(),
            "rows": manifest.rows,
            "sha256": manifest.sha256,
        },
        indent=1,
    )


def _read(said: Any) -> Manifest:
    if said["format"] != FORMAT or DATABASE not in said["sha256"]:
        raise ValueError(said["format"])
    names = {DATABASE, KEY} & set(said["sha256"])
    return Manifest(
        made_at=datetime.fromisoformat(said["made_at"]),
        rows=dict(said["rows"]),
        sha256={name: said["sha256"][name] for name in sorted(names)},
    )


def _sha256(file: Path) -> str:
    with file.open("rb") as source:
        return hashlib.file_digest(source, "sha256").hexdigest()
