"""Restoring a backup on PostgreSQL: it is built and compared beside what stands there, then the two change places in one moment."""

import tempfile
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from django.db import connections

from floorward.errors import StorageError
from floorward.storage import backups, engines, holding, migrating, moving, place
from floorward.storage.restoring import Restored

BUILT = "floorward_restoring"


def restore(
    file: Path,
    data: Path,
    url: str,
    *,
    passphrase: Callable[[], str],
    known: set[tuple[str, str]],
    now: datetime,
) -> Restored:
    """Put the backup `file` in place of the gym's schema of the database at `url`, and its key into the folder `data`.

    The old schema stays in the database under the name that is returned. The other arguments are those of `restoring.restore`.

    Raises:
        StorageError: pages are being served from this database, or the backup is damaged, sealed otherwise, or of a newer program.
    """
    if not file.is_file():
        raise StorageError(f"there is no file {file}")
    data.mkdir(parents=True, exist_ok=True)
    with holding.alone(data), tempfile.TemporaryDirectory(dir=data, prefix=".restore-") as folder:
        manifest = backups.unpack(file, Path(folder), passphrase=passphrase)
        _refuse_served()
        with moving.file_as_place(Path(folder) / backups.DATABASE, known) as source:
            _build(source, url)
        key = Path(folder) / backups.KEY
        if key.is_file():
            backups.settle(key, data / backups.KEY)
        kept = _exchange(f"{engines.GYM_SCHEMA}_before_{now:%Y%m%d_%H%M%S}")
    return Restored(manifest=manifest, kept_in=kept)


def _refuse_served() -> None:
    with connections[place.GYM].cursor() as cursor:
        cursor.execute(
            "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND application_name = %s",
            [engines.SERVING],
        )
        (served,) = cursor.fetchone()
    if served:
        raise StorageError("Floorward is running on this database; stop it on every machine, then try again")


def _build(source: str, url: str) -> None:
    with connections[place.GYM].cursor() as cursor:
        cursor.execute(f"DROP SCHEMA IF EXISTS {BUILT} CASCADE")
    with moving.also_open("built", engines.postgresql(url, BUILT)):
        migrating.bring_up_to_date("built")
        moving.copy(source, "built")


def _exchange(old: str) -> str | None:
    """Both names change or none does, while nobody is in the middle of a change; the old schema's name if anything stood in it."""
    with place.atomic(), connections[place.GYM].cursor() as cursor:
        cursor.execute("SELECT to_regclass(%s) IS NOT NULL", [f"{engines.GYM_SCHEMA}.storage_gym"])
        (stood,) = cursor.fetchone()
        cursor.execute("SELECT 1 FROM pg_namespace WHERE nspname = %s", [engines.GYM_SCHEMA])
        if cursor.fetchone():
            cursor.execute(f"ALTER SCHEMA {engines.GYM_SCHEMA} RENAME TO {old}")
        cursor.execute(f"ALTER SCHEMA {BUILT} RENAME TO {engines.GYM_SCHEMA}")
    return f"the schema {old}" if stood else None
