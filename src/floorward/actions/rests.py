"""The rest after the last set of a session: since when, how long, and when it is over."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from floorward.actions.wanted_work import CONDITIONING
from floorward.core.records import SetUp
from floorward.core.rests import likely_share, rest_after_s, rest_after_warm_up_s
from floorward.core.worth import trains_of
from floorward.language import clock
from floorward.reports.drawings.rest_line import rest_line
from floorward.reports.drawings.svg import Drawing
from floorward.storage.models import DoneSet, Line
from floorward.tables import value
from floorward.units import Mass, Unit, to_kg


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest:
    """A rest that runs or is over.

    Attributes:
        since: when the set before it was logged.
        seconds: how long it should last.
        elapsed_s: how much of it is gone by now, and more once it is over.
    """

    since: datetime
    seconds: int
    elapsed_s: int

    @property
    def until(self) -> datetime:
        """When the next set may begin."""
        return self.since + timedelta(seconds=self.seconds)

    @property
    def gone(self) -> str:
        """How much of it is gone, in minutes and seconds."""
        return clock(self.elapsed_s)

    @property
    def length(self) -> str:
        """How long it should last, in minutes and seconds."""
        return clock(self.seconds)

    @property
    def is_over(self) -> bool:
        """Whether it lasted as long as it should."""
        return self.elapsed_s >= self.seconds

    @property
    def drawing(self) -> Drawing:
        """How much of it is gone, as a line."""
        return rest_line(self.elapsed_s, self.seconds)


def rest_seconds(line: Line, kind: str) -> int:
    """Seconds to rest after a set of a line; 0 after conditioning, whose rests are part of it."""
    if line.lift == CONDITIONING:
        return 0
    if kind == DoneSet.Kind.WARM_UP:
        return round(rest_after_warm_up_s())
    load_kg = to_kg(Mass(line.load, Unit(line.unit)))
    rpe = float(line.target_rpe) if line.target_rpe is not None else None
    share = likely_share(line.reps, rpe, load_kg, _usual_kg(line))
    return round(rest_after_s(trains_of(SetUp(lift=line.lift)).direct, share))


def rest_now(sets: Sequence[DoneSet], lines: Iterable[Line], now: datetime) -> Rest | None:
    """The rest since the newest of `sets`; None before the first, after conditioning, and once nobody can still be resting."""
    last = max(sets, key=lambda row: (row.at, row.pk), default=None)
    line = next((one for one in lines if last and one.pk == last.line_id), None)
    if last is None or line is None:
        return None
    seconds, elapsed_s = rest_seconds(line, last.kind), int((now - last.at).total_seconds())
    if not seconds or elapsed_s > most_rest_s():
        return None
    return Rest(since=last.at, seconds=seconds, elapsed_s=max(elapsed_s, 0))


def most_rest_s() -> int:
    """After so many seconds without a set nobody is resting any more."""
    return int(60 * value("session", "resting", "most"))


def _usual_kg(line: Line) -> float | None:
    """The old load of the lift that hurts; of other lifts none is written beside the line."""
    episode = line.session.episode
    if episode is None or line.role == Line.Role.USUAL or line.lift != episode.lift or not episode.usual_load:
        return None
    return to_kg(Mass(episode.usual_load, Unit(episode.unit)))
