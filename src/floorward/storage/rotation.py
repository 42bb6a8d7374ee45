"""Which of the backups made by the clock are kept, and when the next is due."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from pathlib import Path

NAME = "floorward-%Y%m%d-%H%M%S.backup"


def name_for(now: datetime) -> str:
    """The file name of a backup made at `now`."""
    return now.astimezone(UTC).strftime(NAME)


def made(folder: Path) -> dict[datetime, Path]:
    """The backups in `folder` that bear such a name, by the time in it. Other files are nobody's business here."""
    found = {}
    for file in folder.glob("floorward-*.backup") if folder.is_dir() else ():
        try:
            found[datetime.strptime(file.name, NAME).replace(tzinfo=UTC)] = file
        except ValueError:
            continue
    return dict(sorted(found.items()))


def is_due(times: Iterable[datetime], now: datetime, every: timedelta) -> bool:
    """Whether the last backup is as old as `every`, or lies in the future, or there is none."""
    last = max(times, default=None)
    return last is None or now - last >= every or last > now + timedelta(minutes=5)


def kept(times: Iterable[datetime], *, days: int, weeks: int) -> set[datetime]:
    """The newest of each of the last `days` days and of each of the last `weeks` weeks that have one; the newest of all, always."""
    newest_first = sorted(times, reverse=True)
    by_day: dict[object, datetime] = {}
    by_week: dict[object, datetime] = {}
    for time in newest_first:
        by_day.setdefault(time.date(), time)
        by_week.setdefault(time.isocalendar()[:2], time)
    return {*newest_first[:1], *list(by_day.values())[:days], *list(by_week.values())[:weeks]}


def rotate(folder: Path, *, days: int, weeks: int) -> list[Path]:
    """Remove the backups that are not kept; those removed."""
    files = made(folder)
    stay = kept(files, days=days, weeks=weeks)
    gone = [file for time, file in files.items() if time not in stay]
    for file in gone:
        file.unlink()
    return gone
