"""What the disk or the database complained of, as a code that has a sentence; nothing was stored when one of these comes."""

import errno

FULL = "storage-full"
READ_ONLY = "storage-read-only"
DISK = "storage-disk"
LOCKED = "storage-locked"
DAMAGED = "storage-damaged"
AWAY = "storage-away"

_ERRNO = {
    errno.ENOSPC: FULL,
    errno.EDQUOT: FULL,
    errno.EFBIG: FULL,
    errno.EIO: DISK,
    errno.EROFS: READ_ONLY,
    errno.EACCES: READ_ONLY,
    errno.EPERM: READ_ONLY,
}
# SQLite says so in words alone once Django has wrapped the error
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
    ("connection refused", AWAY),
    ("connection failed", AWAY),
    ("could not connect", AWAY),
    ("server closed the connection", AWAY),
    ("the connection is closed", AWAY),
    ("terminating connection", AWAY),
)


def code_of(error: BaseException) -> str | None:
    """The code of a trouble with disk or database; None if `error` is something else."""
    if isinstance(error, OSError) and error.errno in _ERRNO:
        return _ERRNO[error.errno]
    names = {kind.__name__ for kind in type(error).__mro__}
    if not names & {"DatabaseError", "OperationalError", "InterfaceError"}:
        return None
    text = str(error).lower()
    return next((code for words, code in _WORDS if words in text), None)
