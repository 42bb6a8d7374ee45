"""What the console is told of errors: no personal link, and of a disk or database that fails one line now and then.

While a server is away every phone asks again every few seconds; a trace for each would fill the disk before the server is back.
"""

import logging
import re
import time

from floorward.storage.troubles import code_of

AGAIN_S = 10  # the same trouble is told once in so many seconds by each process
LINK = re.compile(r"/([lc])/[\w.~-]{8,}")


class WithoutLinks(logging.Formatter):
    """Whoever has a personal link may open it, so none is written down."""

    def format(self, record: logging.LogRecord) -> str:
        """The line and its trace with every link cut."""
        return LINK.sub(r"/\1/…", super().format(record))


class SeldomTroubles(logging.Filter):
    """Lets a trouble with disk or database through in one line, once in a while, and everything else whole."""

    def __init__(self) -> None:
        super().__init__()
        self._told: dict[str, float] = {}

    def filter(self, record: logging.LogRecord) -> bool:
        """Whether the record is written."""
        trouble = getattr(record, "trouble", None)
        if trouble is None:
            error = record.exc_info[1] if record.exc_info else None
            return getattr(record, "status_code", 0) != 503 and (error is None or code_of(error) is None)
        last, now = self._told.get(trouble), time.monotonic()
        if last is not None and now - last < AGAIN_S:
            return False
        self._told[trouble] = now
        return True
