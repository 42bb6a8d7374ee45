"""Set-ups side by side: what each asks of one region at one load, how far it bends, and what load would ask the same.

Demand is compared with one set-up, the pull from the floor. Loads of equal demand are read off what is accepted, and only within
a family; elsewhere a load is found anew. Where the model does not know what the compared pull asks, it says so and gives neither.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from floorward.core.atlas import equal_demand_load_kg
from floorward.core.demand import Band, Demand, RegionDemand, Unreachable, demand_of
from floorward.core.lifts import catalogue
from floorward.core.records import Person, Region, SetUp
from floorward.core.variations import Compared, bend_band, compared
from floorward.tables import value


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadOff:
    """What loads of equal demand are read off: a set-up and the load on it [kg]."""

    setup: SetUp
    load_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EqualLoad:
    """The load that asks the same of the region [kg], with its band of 8 in 10."""

    likely_kg: float
    p10_kg: float
    p90_kg: float

    @property
    def is_loose(self) -> bool:
        """Whether the band is too wide for the load to be of use."""
        return bool(self.p90_kg > value("comparison", "loose_load") * self.p10_kg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One set-up beside the others, all at the same load.

    Attributes:
        start: what mechanics say of it.
        share: demand, the compared set-up's being 1, with its band.
        bend_deg: how far the region bends at the start or bottom, with its band; `bend_more_deg` than the compared one.
        demand, bend: both in words; `demand` is None where the model does not tell.
        same_family: whether a load may be carried over at all.
        equal: None across families, where the model does not tell, and where no load asks the same.
        loose: whether a load is not given because too little is known.
    """

    setup: SetUp
    start: Demand
    share: float
    share_band: Band
    bend_deg: float
    bend_band: Band
    bend_more_deg: float
    demand: Compared | None
    bend: Compared
    same_family: bool
    equal: EqualLoad | None
    loose: bool

    @property
    def sure(self) -> bool:
        """Whether the whole band lies on one side of the compared set-up's demand."""
        return self.share_band.p90 < 1.0 or self.share_band.p10 > 1.0


def sides(
    person: Person,
    compared_with: SetUp,
    setups: Iterable[SetUp],
    load_kg: float,
    region: Region,
    read_off: ReadOff | None,
) -> tuple[Side | Unreachable, ...]:
    """Every set-up at `load_kg` beside `compared_with`, in the order given.

    Args:
        person: the lifter.
        compared_with: the set-up whose demand counts as 1.
        setups: of lifts with a posture of their own.
        load_kg: all that is held, bar included.
        region: the sore one.
        read_off: what loads of equal demand are read off; None gives no loads.

    Returns:
        a side each, or why this body does not reach it; empty where the compared set-up itself is not reached.
    """
    reference = demand_of(person, compared_with, load_kg)
    if isinstance(reference, Unreachable):
        return ()
    return tuple(_side(person, reference, setup, load_kg, region, read_off) for setup in setups)


def is_loose(asked: RegionDemand) -> bool:
    """Whether equally easy postures and likely bodies differ so much that shares of this demand mean little."""
    width = asked.band_nm.p90 - asked.band_nm.p10
    return bool(width > value("comparison", "loose") * max(asked.moment_nm, 0.0))


def _side(
    person: Person,
    reference: Demand,
    setup: SetUp,
    load_kg: float,
    region: Region,
    read_off: ReadOff | None,
) -> Side | Unreachable:
    found = demand_of(person, setup, load_kg)
    if isinstance(found, Unreachable):
        return found
    asked, own = reference.regions[region], found.regions[region]
    loose, whole = is_loose(asked), max(abs(asked.moment_nm), 1e-9)
    more_deg = own.bend_deg - asked.bend_deg
    share = own.moment_nm / whole
    equal = None if read_off is None else _equal(person, read_off, setup, region)
    loose_load = equal is not None and equal.is_loose
    return Side(
        setup=setup,
        start=found,
        share=share,
        share_band=Band(p10=own.band_nm.p10 / whole, p90=own.band_nm.p90 / whole),
        bend_deg=own.bend_deg,
        bend_band=bend_band(found, region),
        bend_more_deg=more_deg,
        demand=None if loose else compared(share - 1, value("variations", "demand_same")),
        bend=compared(more_deg, value("variations", "bend_same")),
        same_family=read_off is None or _family(setup) == _family(read_off.setup),
        equal=None if loose or loose_load else equal,
        loose=loose or loose_load,
    )


@lru_cache(maxsize=2048)
def _equal(person: Person, read_off: ReadOff, setup: SetUp, region: Region) -> EqualLoad | None:
    found = equal_demand_load_kg(person, read_off.setup, read_off.load_kg, setup, region)
    return None if found is None else EqualLoad(p10_kg=found[0], likely_kg=found[1], p90_kg=found[2])


def _family(setup: SetUp) -> str:
    return catalogue()[setup.lift].family
