"""The columns of set-ups side by side: what mechanics say of each, its bars and words, and the load that asks the same."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from floorward.actions.buildable import Built
from floorward.actions.read_off import Start
from floorward.actions.rigging import Stock, loads_of
from floorward.core.comparison import EqualLoad, Side, sides
from floorward.core.demand import Band, Unreachable
from floorward.core.findings import Finding
from floorward.core.lifts import Family, catalogue
from floorward.core.loadable import at_or_under
from floorward.core.records import Region
from floorward.core.tasks import NOTHING_GIVEN, Given, given_of
from floorward.core.variations import Compared
from floorward.reports.drawings.bands import band
from floorward.reports.drawings.svg import Drawing
from floorward.reports.wording import word
from floorward.storage import reads
from floorward.storage.models import Lifter
from floorward.units import Mass, Unit, plain, to_kg

DEMAND_SCALE = (0.5, 1.5)
BEND_SCALE_DEG = {Region.LOW_BACK: (60.0, 150.0), Region.HIP: (60.0, 150.0), Region.KNEE: (0.0, 130.0)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One set-up on the page.

    Attributes:
        side: what mechanics say; None where this body does not reach it, and `unreached` says why.
        given: angles that were measured in it, and rule.
        said: what a coach would say.
        load: of equal demand, rounded down to what can be loaded, with its band; None where `no_load` says why.
        exact: the lower end, the load and the upper end before they were rounded down, in the bar's unit.
        no_load: anew, loose, nothing-accepted, stopped, too-light or none-asks-the-same; empty where there is one.
    """

    built: Built
    side: Side | None
    unreached: str = ""
    given: Given = NOTHING_GIVEN
    said: Finding | None = None
    demand_band: Drawing | str = ""
    bend_band: Drawing | str = ""
    load: Decimal | None = None
    low: Decimal | None = None
    high: Decimal | None = None
    exact: tuple[float, float, float] = (0.0, 0.0, 0.0)
    no_load: str = ""

    @property
    def is_measured(self) -> bool:
        """Whether an angle of it was measured."""
        return self.given != NOTHING_GIVEN

    @property
    def trunk_deg(self) -> Band | None:
        """How the trunk may lean over level, kept to what a back can do."""
        found = self.side.start.bands["trunk_deg"] if self.side else None
        return found and Band(p10=max(found.p10, 0.0), p90=found.p90)

    def is_start_of(self, question: "Question") -> bool:
        """Whether the loads of the other set-ups are reckoned from this one."""
        return question.start is not None and question.start.built.key == self.built.key

    @property
    def squats(self) -> bool:
        """Whether it is a squat, whose posture the model finds worse than a pull's."""
        return catalogue()[self.built.setup.lift].family is Family.SQUAT


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What every column answers."""

    lifter: Lifter
    stock: Stock
    compared: Built
    load: Mass
    region: Region
    start: Start | None
    why_none: str


def columns_of(
    question: Question, chosen: Sequence[Built], scale: tuple[float, float] | None = None
) -> tuple[Column, ...]:
    """A column for every set-up, in their order; none where the compared one is out of this body's reach.

    `scale` is that of the bars of demand; one that fits them all when not given.
    """
    person = reads.person(question.lifter)
    found = sides(
        person,
        question.compared.setup,
        [one.setup for one in chosen],
        to_kg(question.load),
        question.region,
        question.start.read_off if question.start else None,
    )
    scale = scale or _scale([side for side in found if isinstance(side, Side)])
    columns = (
        Column(built=one, side=None, unreached=side.code)
        if isinstance(side, Unreachable)
        else _column(question, one, side, scale)
        for one, side in zip(chosen, found, strict=False)
    )
    return tuple(replace(column, given=given_of(person, column.built.setup)) for column in columns)


def _scale(found: Sequence[Side]) -> tuple[float, float]:
    """One scale for all bars, wider than usual where a band would be cut off."""
    low = min((side.share_band.p10 for side in found), default=1.0)
    high = max((side.share_band.p90 for side in found), default=1.0)
    usual = DEMAND_SCALE
    return usual if usual[0] <= low and high <= usual[1] else (min(0.0, low), max(usual[1], high))


def _column(question: Question, built: Built, side: Side, scale: tuple[float, float]) -> Column:
    equal, stock = side.equal, question.stock
    load = _loadable(equal.likely_kg, built, stock) if equal else None
    return Column(
        built=built,
        side=side,
        said=_said(built, side, question.compared, question.region),
        demand_band=band(side.share_band.p10, side.share, side.share_band.p90, scale=scale, reference=1.0),
        bend_band=band(
            side.bend_band.p10,
            side.bend_deg,
            side.bend_band.p90,
            scale=BEND_SCALE_DEG[question.region],
            reference=side.bend_deg - side.bend_more_deg,
        ),
        load=load,
        low=_loadable(equal.p10_kg, built, stock) if equal and load else None,
        high=_loadable(equal.p90_kg, built, stock) if equal and load else None,
        exact=_exact(equal, built) if equal and load else (0.0, 0.0, 0.0),
        no_load="" if load else _no_load(side, question.why_none),
    )


def _no_load(side: Side, why_none: str) -> str:
    if not side.same_family:
        return "anew"
    if side.equal is not None:
        return "too-light"
    return why_none or ("loose" if side.loose else "none-asks-the-same")


def _exact(equal: EqualLoad, built: Built) -> tuple[float, float, float]:
    low, likely, high = (_in_unit(kg, built) for kg in (equal.p10_kg, equal.likely_kg, equal.p90_kg))
    return low, likely, high


def _in_unit(load_kg: float, built: Built) -> float:
    return load_kg / to_kg(Mass(Decimal(1), Unit(built.bar.unit)))


def _loadable(load_kg: float, built: Built, stock: Stock) -> Decimal | None:
    """Rounded down to what goes on its bar, in the bar's unit."""
    return at_or_under(loads_of(stock, built.bar, None), Decimal(str(round(_in_unit(load_kg, built), 6))))


def _said(built: Built, side: Side, compared: Built, region: Region) -> Finding:
    """What a coach would say to the lifter; a raised bar is never said to spare the region, or not to."""
    numbers = {
        "region": word("region", region),
        "fold": word("fold", region),
        "deg": round(abs(side.bend_more_deg)),
        "cm": plain(Decimal(built.rise_mm) / 10),
    }
    if built.key == compared.key:
        return Finding(code="said-itself")
    if built.rise_mm and (
        built.setup.lift == compared.setup.lift or side.demand in {Compared.SAME, Compared.MORE}
    ):
        return Finding(code=f"said-raised-{side.bend}", numbers=numbers)
    if side.demand is None:
        return Finding(code=f"said-unknown-{side.bend}", numbers=numbers)
    if side.demand is not Compared.SAME:
        numbers["surely"] = word("surely", side.demand if side.sure else f"{side.demand}-perhaps")
    return Finding(code=f"said-{side.demand}-{side.bend}", numbers=numbers)
