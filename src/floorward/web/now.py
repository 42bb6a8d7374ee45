"""The one place where a page reads the clock."""

from datetime import UTC, datetime
from pathlib import Path

from django.conf import settings


def now() -> datetime:
    """This moment, in UTC; or the time in CLOCK_FILE, for rehearsals and tests."""
    if settings.CLOCK_FILE:
        return datetime.fromisoformat(Path(settings.CLOCK_FILE).read_text().strip()).astimezone(UTC)
    return datetime.now(UTC)  # noqa: TID251 - the one place
