"""Lines of a session that the builder knows nothing of: which they are, and the minutes that they take."""

from collections.abc import Collection
from dataclasses import dataclass

from floorward.actions.line_sets import line_minutes, line_view
from floorward.actions.rigging import Stock
from floorward.core.exercises import key_of
from floorward.core.records import SetUp
from floorward.storage.models import Line, Session


@dataclass(frozen=True, slots=True, kw_only=True)
class Unreckoned:
    """Their minutes: of all of today's, and of a sore lift, which is done on each day."""

    today: float = 0.0
    each_day: float = 0.0

    def on(self, day: int) -> float:
        """Of one day, counted from the session's own."""
        return self.each_day if day else self.today


def key_of_line(line: Line) -> str:
    """The exercise that a line is of."""
    return key_of(
        SetUp(lift=line.lift, height_mm=line.height_mm, depth_deg=line.depth_deg, box_mm=line.box_mm)
    )


def unreckoned_in(session: Session, known: Collection[str], stock: Stock) -> Unreckoned:
    """The lines whose exercises are not among `known`."""
    rows = [line for line in session.lines.all() if key_of_line(line) not in known]
    minutes = {line.pk: line_minutes(line_view(line, (), stock)) for line in rows}
    sore = [line for line in rows if line.role == Line.Role.FULL_RANGE]
    return Unreckoned(today=sum(minutes.values()), each_day=sum(minutes[line.pk] for line in sore))
