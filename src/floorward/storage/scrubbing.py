"""Leaving nothing behind of rows that were deleted.

SQLite overwrites what it deletes (`secure_delete` is set for every connection); the file is written anew all the same, because it may
hold pages from before that was so, and its log is emptied. PostgreSQL leaves the bytes of dead rows in their pages, also where they were
cleared away; so each table and its indexes are written anew, and its statistics, which quote values, are taken again.
"""

import logging
import time
from typing import Any

from django.db import DatabaseError, connections

TRIES, PAUSE_S = 5, 0.3


def scrub(alias: str) -> bool:
    """Write the database anew without what was deleted; False if somebody kept it busy, and then the next scrub does it."""
    connection = connections[alias]
    for _ in range(TRIES):
        try:
            with connection.cursor() as cursor:
                cursor.execute(_anew(connection, cursor))
                if connection.vendor == "sqlite":
                    cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
                    if cursor.fetchone()[0] != 0:
                        continue
        except DatabaseError:
            time.sleep(PAUSE_S)
        else:
            return True
    logging.getLogger("floorward.scrubbing").warning(
        "the database was busy: deleted rows are overwritten, but its file was not written anew"
    )
    return False


def _anew(connection: Any, cursor: Any) -> str:
    if connection.vendor != "postgresql":
        return "VACUUM"
    names = sorted(connection.introspection.table_names(cursor))
    return f"VACUUM (FULL, ANALYZE) {', '.join(map(connection.ops.quote_name, names))}"
