"""Leaving nothing behind of rows that were deleted.

SQLite overwrites what it deletes (`secure_delete` is set for every connection); the file is written anew all the same, because it may
hold pages from before that was so, and its log is emptied. PostgreSQL is asked to clear dead rows away.
"""

import logging
import time

from django.db import DatabaseError, connections

TRIES, PAUSE_S = 5, 0.3


def scrub(alias: str) -> bool:
    """Write the database anew without what was deleted; False if somebody kept it busy, and then the next scrub does it."""
    connection = connections[alias]
    for _ in range(TRIES):
        try:
            with connection.cursor() as cursor:
                cursor.execute("VACUUM")
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
