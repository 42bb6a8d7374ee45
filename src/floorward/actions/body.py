"""How a lifter is built, as far as stature and tape tell, and what one more measure would buy of their pull."""

from dataclasses import dataclass

from floorward.actions.figures import figure_of
from floorward.actions.read_off import usual_load
from floorward.core.body import TAPES
from floorward.core.demand import Band, Demand, demand_of
from floorward.core.line_up import LineUp, line_ups
from floorward.core.measuring import Gain, Sureness, gains, sureness
from floorward.core.records import FULL_HEIGHT_MM, SetUp
from floorward.core.tasks import NOTHING_GIVEN, Given, given_of
from floorward.reports.drawings.bands import band
from floorward.reports.drawings.figure import start_figure
from floorward.reports.drawings.line_of_ten import line_of_ten
from floorward.reports.drawings.svg import Drawing
from floorward.reports.setup_words import setup_name
from floorward.storage import reads
from floorward.storage.models import Lifter
from floorward.units import Mass, to_kg

FLOOR = SetUp(lift="deadlift", height_mm=FULL_HEIGHT_MM)
DEMAND_SCALE = (0.85, 1.15)
TRUNK_SCALE_DEG = (0.0, 70.0)
PHONE_PX_PER_M = 210.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildRow:
    """One link or proportion.

    Attributes:
        word: the code of what to call it: low, middle or high; open where stature and tape do not tell.
    """

    line: LineUp
    word: str
    drawing: Drawing

    @property
    def code(self) -> str:
        """The link, or both links of the proportion."""
        return f"{self.line.of}-{self.line.over}" if self.line.over else self.line.of

    @property
    def words(self) -> str:
        """The code of its words."""
        return f"{self.code}-{self.word}"


@dataclass(frozen=True, slots=True, kw_only=True)
class GainRow:
    """What one more measure buys, with both bands drawn now and with it."""

    gain: Gain
    demand_now: Drawing
    demand_then: Drawing
    trunk_now: Drawing
    trunk_then: Drawing

    @property
    def field(self) -> str:
        """The column that it is entered in."""
        return f"{self.gain.tape}_m"


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyView:
    """The page.

    Attributes:
        known: tape measures that were taken.
        gains: the others, the one that buys most in front.
        load: at which the pull is reckoned: the heaviest best set, or as much as they weigh (`from_best` tells which).
        start: their pull from the floor; None where this body does not reach it.
        given: angles that were measured there, and rule.
        sure: how sure it is with what is known.
    """

    lengths: tuple[BuildRow, ...]
    ratios: tuple[BuildRow, ...]
    known: tuple[str, ...]
    gains: tuple[GainRow, ...]
    load: Mass
    from_best: bool
    start: Demand | None
    sure: Sureness | None
    wide: Drawing | None
    narrow: Drawing | None
    given: Given = NOTHING_GIVEN

    @property
    def is_measured(self) -> bool:
        """Whether an angle of the pull was measured."""
        return self.given != NOTHING_GIVEN

    @property
    def other_fields(self) -> tuple[str, ...]:
        """The columns of all measures that no gain is shown for: mostly what was taken."""
        shown = {row.gain.tape for row in self.gains}
        return tuple(f"{name}_m" for name in TAPES if name not in shown)


def body_view(lifter: Lifter) -> BodyView:
    """Everything that stature, mass, sex and tape say of a lifter."""
    person = reads.person(lifter)
    load = usual_load(lifter, FLOOR.lift)
    found = demand_of(person, FLOOR, to_kg(load))
    start = found if isinstance(found, Demand) else None
    figure = figure_of(start, label=f"{setup_name(FLOOR, 0, from_height=True)}, {load}") if start else None
    rows = [_row(line) for line in line_ups(person)]
    return BodyView(
        lengths=tuple(row for row in rows if not row.line.over),
        ratios=tuple(row for row in rows if row.line.over),
        known=tuple(name for name in TAPES if getattr(person.tape, f"{name}_m") > 0),
        gains=tuple(_gain_row(gain, start) for gain in gains(person, FLOOR, to_kg(load)) if start),
        load=load,
        from_best=lifter.best_sets.filter(lift=FLOOR.lift).exists(),
        start=start,
        sure=sureness(person, FLOOR, to_kg(load)),
        wide=start_figure(figure) if figure else None,
        narrow=start_figure(figure, px_per_m=PHONE_PX_PER_M) if figure else None,
        given=given_of(person, FLOOR),
    )


def _row(line: LineUp) -> BuildRow:
    return BuildRow(line=line, word=_word(line), drawing=line_of_ten(line.people, line.rank, line.ranks))


def _word(line: LineUp) -> str:
    """Short or long once the likeliest place is among the outer two and the other end of the line is ruled out."""
    first, last = line.ranks
    if last - first >= 6:
        return "open"
    if line.rank <= 2:
        return "low"
    return "high" if line.rank >= 9 else "middle"


def _gain_row(gain: Gain, start: Demand) -> GainRow:
    trunk = start.start.angles_deg["trunk"]
    return GainRow(
        gain=gain,
        demand_now=_drawn(gain.now.demand, 1.0, DEMAND_SCALE),
        demand_then=_drawn(gain.then.demand, 1.0, DEMAND_SCALE),
        trunk_now=_drawn(gain.now.trunk_deg, trunk, TRUNK_SCALE_DEG),
        trunk_then=_drawn(gain.then.trunk_deg, trunk, TRUNK_SCALE_DEG),
    )


def _drawn(found: Band, likely: float, scale: tuple[float, float]) -> Drawing:
    return band(found.p10, likely, found.p90, scale=scale)
