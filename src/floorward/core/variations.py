"""Other pulls for a sore lifter: with what load each would begin, and in which order to offer them.

From an accepted pull follow first loads for other pulls only, from an accepted squat those for other squats. Each is the least of three: a share of the load that asks the same
of the region, little more than the accepted load on a first exposure, and what this lifter usually does there. It is rounded down
to what can be loaded, and worked up to, never started at. A squat is found anew: its load does not follow from a pull.
The model behind it is not validated yet; docs/science/variations.md says what it rests on.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache

from floorward.core.atlas import equal_demand_load_kg
from floorward.core.demand import Band, Demand, Unreachable, demand_of, demands_of
from floorward.core.lifts import Family, catalogue
from floorward.core.loadable import at_or_under
from floorward.core.records import Person, Region, SetUp
from floorward.errors import ContractError
from floorward.tables import value
from floorward.units import Mass, Unit, to_kg


class Limit(StrEnum):
    """What a first load is held by."""

    EQUAL_DEMAND = "equal-demand"
    FIRST_EXPOSURE = "first-exposure"
    OWN_USUAL = "own-usual"


class Compared(StrEnum):
    """A set-up against the accepted pull."""

    LESS = "less"
    SAME = "same"
    MORE = "more"


@dataclass(frozen=True, slots=True, kw_only=True)
class Accepted:
    """The pull that everything is read off: its set-up and the load that is accepted there.

    Where it is not the full range, nothing that bends further is offered: the lower start has already failed.
    """

    setup: SetUp
    load: Mass
    region: Region
    full_range: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A pull that this gym can set up.

    Attributes:
        loads: what can be loaded there, ascending, in `unit`.
        usual: what this lifter usually does, or has done at most; None where they never did it.
        done_in_episode: whether it was trained since the pain began.
        in_contest: whether the lifter's next contest lets them pull so.
    """

    setup: SetUp
    loads: tuple[Decimal, ...]
    unit: Unit
    usual: Mass | None = None
    done_in_episode: bool = False
    in_contest: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """A pull with the load it would begin with.

    Attributes:
        load: the first load, in `unit`; the lightest there is where even that is more (`too_heavy`).
        limit: which of the three it is held by.
        share_of_usual: first load over the lifter's own usual; None where there is none.
        first_time: whether this lifter never did the lift; another height of the accepted one is not new.
        demand_share: what it asks of the region at the accepted load, the accepted pull being 1, with its band.
        bend_deg: how far the region bends at the start, with its band; `bend_was_deg` in the accepted pull.
        demand, bend: both in words.
        cautions: codes of what to say before the first time.
    """

    candidate: Candidate
    load: Decimal
    limit: Limit
    too_heavy: bool
    share_of_usual: float | None
    first_time: bool
    demand_share: float
    demand_band: Band
    bend_deg: float
    bend_band: Band
    bend_was_deg: float
    demand: Compared
    bend: Compared
    cautions: tuple[str, ...]
    start: Demand


def ranked(person: Person, accepted: Accepted, candidates: Iterable[Candidate]) -> tuple[Option, ...]:
    """Every candidate that this body can reach, the one to offer first in front.

    Pulls with a usual load of the lifter's own come first, by how much of it the first load is, then those with less bend;
    pulls that the next contest does not let them do after all that it does; what they never did last.

    Raises:
        ContractError: if a candidate is of another family than the accepted lift, or that is no pull and no squat.
    """
    candidates = tuple(candidates)
    family = catalogue()[accepted.setup.lift].family
    for setup in (accepted.setup, *(one.setup for one in candidates)):
        if catalogue()[setup.lift].family not in {Family.PULL, Family.SQUAT} & {family}:
            raise ContractError(f"{setup.lift} is not of the accepted lift's kind: its load is found anew")
    reference = demand_of(person, accepted.setup, to_kg(accepted.load))
    if isinstance(reference, Unreachable):
        return ()
    setups = tuple(dict.fromkeys(one.setup for one in candidates))
    same_load = dict(zip(setups, demands_of(person, setups, to_kg(accepted.load)), strict=True))
    options = (_option(person, accepted, reference, one, same_load[one.setup]) for one in candidates)
    fit = (one for one in options if one and (accepted.full_range or one.bend is not Compared.MORE))
    return tuple(sorted(fit, key=_order))


def _option(
    person: Person,
    accepted: Accepted,
    reference: Demand,
    candidate: Candidate,
    same_load: Demand | Unreachable,
) -> Option | None:
    asked = reference.regions[accepted.region].moment_nm
    equal_kg = _equal_demand_kg(
        person, accepted.setup, to_kg(accepted.load), candidate.setup, accepted.region
    )
    if isinstance(same_load, Unreachable) or equal_kg is None or not candidate.loads:
        return None
    limit, most_kg = _limit(accepted, candidate, equal_kg)
    most = Decimal(str(round(most_kg / to_kg(Mass(Decimal(1), candidate.unit)), 6)))
    load = at_or_under(candidate.loads, most)
    new = candidate.usual is None and candidate.setup.lift != accepted.setup.lift
    first_time = new and not candidate.done_in_episode
    region, was = same_load.regions[accepted.region], reference.regions[accepted.region]
    start = load if load is not None else candidate.loads[0]
    usual = candidate.usual
    return Option(
        candidate=candidate,
        load=start,
        limit=limit,
        too_heavy=load is None,
        share_of_usual=to_kg(Mass(start, candidate.unit)) / to_kg(usual) if usual else None,
        first_time=first_time,
        demand_share=region.moment_nm / asked,
        demand_band=Band(p10=region.band_nm.p10 / asked, p90=region.band_nm.p90 / asked),
        bend_deg=region.bend_deg,
        bend_band=bend_band(same_load, accepted.region),
        bend_was_deg=was.bend_deg,
        demand=compared(region.moment_nm / asked - 1, value("variations", "demand_same")),
        bend=compared(region.bend_deg - was.bend_deg, value("variations", "bend_same")),
        cautions=catalogue()[candidate.setup.lift].cautions if first_time else (),
        start=same_load,
    )


@lru_cache(maxsize=4096)
def _equal_demand_kg(
    person: Person, from_setup: SetUp, from_load_kg: float, to_setup: SetUp, region: Region
) -> float | None:
    """The most likely load at equal demand; kept, since pages ask for the same again and again."""
    found = equal_demand_load_kg(person, from_setup, from_load_kg, to_setup, region)
    return None if found is None else found[1]


def _limit(accepted: Accepted, candidate: Candidate, equal_kg: float) -> tuple[Limit, float]:
    limits = {Limit.EQUAL_DEMAND: value("variations", "share_of_equal") * equal_kg}
    if not candidate.done_in_episode:
        limits[Limit.FIRST_EXPOSURE] = value("variations", "first_exposure") * to_kg(accepted.load)
    if candidate.usual is not None:
        limits[Limit.OWN_USUAL] = to_kg(candidate.usual)
    return min(limits.items(), key=lambda item: item[1])


def bend_band(demand: Demand, region: Region) -> Band:
    """The band of the bend [deg]. Flexion is what is missing to a straight joint, so the band turns round."""
    band = demand.bands["knee_deg" if region is Region.KNEE else "hip_deg"]
    return Band(p10=180.0 - band.p90, p90=180.0 - band.p10)


def compared(difference: float, same: float) -> Compared:
    """In words: less or more where the difference is over `same`."""
    if abs(difference) <= same:
        return Compared.SAME
    return Compared.MORE if difference > 0 else Compared.LESS


def _order(option: Option) -> tuple[bool, bool, bool, float, float]:
    share = option.share_of_usual or 0.0
    return (
        option.first_time,
        not option.candidate.in_contest,
        option.share_of_usual is None,
        -round(share, 2),
        option.bend_deg,
    )
