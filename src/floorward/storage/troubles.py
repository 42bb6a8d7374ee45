"""What the disk or the database complained of, as a code that has a sentence; nothing was stored when one of these comes
(when a server goes away in the very moment of storing, that cannot be known).
"""

import errno

FULL = "storage-full"
READ_ONLY = "storage-read-only"
DISK = "storage-disk"
LOCKED = "storage-locked"
DAMAGED = "storage-damaged"
AWAY = "storage-away"
CROWDED = "storage-crowded"
SHUT = "storage-shut"

_ERRNO = {
    errno.ENOSPC: FULL,
    errno.EDQUOT: FULL,
    errno.EFBIG: FULL,
    errno.EIO: DISK,
    errno.EROFS: READ_ONLY,
    errno.EACCES: READ_ONLY,
    errno.EPERM: READ_ONLY,
}
_SQLSTATE = {
    "53100": FULL,
    "58030": DISK,
    "25006": READ_ONLY,
    "55P03": LOCKED,  # waited long enough for a lock
    "40P01": LOCKED,
    "40001": LOCKED,
    "53300": CROWDED,
    "42501": SHUT,
    "XX001": DAMAGED,
    "XX002": DAMAGED,
}
_SQLSTATE_CLASS = {"08": AWAY, "57": AWAY, "28": SHUT}
# SQLite says it in words alone, and so does PostgreSQL while a connection is being made or breaks: the first that fits
_WORDS = (
    ("database or disk is full", FULL),
    ("disk i/o error", DISK),
    ("no space left", FULL),
    ("readonly database", READ_ONLY),
    ("unable to open database file", READ_ONLY),
    ("database is locked", LOCKED),
    ("database table is locked", LOCKED),
    ("malformed", DAMAGED),
    ("file is not a database", DAMAGED),
    ("too many clients", CROWDED),
    ("connection slots are reserved", CROWDED),
    ("password authentication failed", SHUT),
    ("no password supplied", SHUT),
    ("no pg_hba.conf entry", SHUT),
    ("fatal:  role", SHUT),
    ("fatal:  database", SHUT),
    ("connection refused", AWAY),
    ("connection failed", AWAY),
    ("connection is bad", AWAY),
    ("connection to server", AWAY),
    ("could not connect", AWAY),
    ("server closed the connection", AWAY),
    ("the connection is closed", AWAY),
    ("the connection is lost", AWAY),
    ("connection already closed", AWAY),
    ("connection has been closed", AWAY),
    ("connection timeout", AWAY),
    ("failed to resolve host", AWAY),
    ("consuming input failed", AWAY),
    ("sending query failed", AWAY),
    ("could not receive data", AWAY),
    ("could not send data", AWAY),
    ("terminating connection", AWAY),
)


def code_of(error: BaseException) -> str | None:
    """The code of a trouble with disk or database; None if `error` is something else."""
    if isinstance(error, OSError) and error.errno in _ERRNO:
        return _ERRNO[error.errno]
    names = {kind.__name__ for kind in type(error).__mro__}
    if not names & {"DatabaseError", "OperationalError", "InterfaceError"}:
        return None
    state = str(getattr(error, "sqlstate", None) or getattr(error.__cause__, "sqlstate", None) or "")
    text = str(error).lower()
    return (
        _SQLSTATE.get(state)
        or _SQLSTATE_CLASS.get(state[:2])
        or next((code for words, code in _WORDS if words in text), None)
    )
