"""What may become a line of a session: a set-up with the loads that can be made there and what each asks, hurts and weighs.

Where the numbers come from is not known here: own maxima, demand and the chance of pain come in as plain numbers, one a load.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from floorward.core.records import Region, SetUp
from floorward.core.worth import Trains, trains_of
from floorward.errors import ContractError
from floorward.tables import value
from floorward.units import Mass, Unit, to_kg

WELL_KNOWN = 1_000


class Role(StrEnum):
    """Why a line is in the plan: the sore lift itself, a way around it, or work that nothing sore limits."""

    FULL_RANGE = "full-range"
    VARIATION = "variation"
    USUAL = "usual"


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadChoice:
    """One load that can be made.

    Attributes:
        load: in the unit of the exercise.
        share: of the lifter's heaviest single on this set-up.
        chance: that a set hurts more than the ceiling for finding, 0 to 1.
        asks_nm: the largest moment by sore region; empty where nothing sore is loaded.
    """

    load: Decimal
    share: float
    chance: float = 0.0
    asks_nm: Mapping[Region, float] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Exercise:
    """A set-up that may become a line.

    Attributes:
        key: names it among the others.
        family: lifts of one kind; a session has only so many of one.
        pattern: what is learnt; a pattern not done before is new whatever the implement.
        loads: ascending, at least one; those of sore lifts end at the load that is accepted, decided or offered.
        planned_load: the one to plan with, as for work that goes on as usual; None for any. A coach may settle another.
        repetitions: those that may be planned; empty for any that load and effort allow.
        fewest_repetitions: of those.
        sets: fewest and most.
        rpe: as usually rated, for work at its usual load; None to go by the chart or the lifter's own curve.
        exposures: how often this pattern was done before.
        short_of_full_mm: how much of the full range is missing; 0 for all of it.
        equipment: what must be free.
        warm_up: whether lighter sets come first.
        single_from: the lift that the heaviest single is carried over from; empty where own sets tell it.
        single_guessed: whether the ratio between the two is a guess, not published.
        earns: credit of a set where load and repetitions say nothing, as for conditioning; empty else.
        minutes_a_set: of such a set, rest included; 0 else.
    """

    key: str
    setup: SetUp
    role: Role
    family: str
    pattern: str
    unit: Unit = Unit.KG
    loads: tuple[LoadChoice, ...]
    planned_load: Decimal | None = None
    trains: Trains
    repetitions: tuple[int, ...] = ()
    fewest_repetitions: int = 1
    sets: tuple[int, int] = (int(value("builder", "sets", "least")), int(value("builder", "sets", "most")))
    rpe: float | None = None
    exposures: int = WELL_KNOWN
    short_of_full_mm: int = 0
    equipment: tuple[str, ...] = ()
    warm_up: bool = True
    disliked: bool = False
    single_from: str = ""
    single_guessed: bool = False
    earns: Mapping[str, float] = field(default_factory=dict, hash=False)
    minutes_a_set: float = 0.0

    def __post_init__(self) -> None:
        """Loads go upward, and there is one at least."""
        heavier = zip(self.loads, self.loads[1:], strict=False)
        if not self.loads or any(after.load <= before.load for before, after in heavier):
            raise ContractError(f"{self.key}: at least one load, ascending")
        if not 1 <= self.sets[0] <= self.sets[1]:
            raise ContractError(f"{self.key}: at least one set")
        if self.planned_load is not None and self.load_choice(self.planned_load) is None:
            raise ContractError(f"{self.key}: {self.planned_load} is not among its loads")

    @property
    def first_time(self) -> bool:
        """Whether this lifter never did it."""
        return self.exposures == 0

    def load_choice(self, load: Decimal) -> LoadChoice | None:
        """All that is known of `load`; None where it cannot be made."""
        return next((one for one in self.loads if one.load == load), None)


def load_choices(
    loads: Sequence[Decimal],
    unit: Unit,
    heaviest_single_kg: float,
    *,
    asks_nm: Callable[[float], Mapping[Region, float]] = lambda _: {},
    chance: Callable[[Mapping[Region, float]], float] = lambda _: 0.0,
) -> tuple[LoadChoice, ...]:
    """What can be loaded, with all that is known of each load.

    Args:
        loads: ascending, in `unit`, as `plates.loads` gives them.
        unit: of the loads.
        heaviest_single_kg: of the lifter on this set-up.
        asks_nm: load [kg] to the largest moment by sore region.
        chance: those moments to the chance of pain over the ceiling.

    Raises:
        ContractError: if the heaviest single is not positive.
    """
    if heaviest_single_kg <= 0:
        raise ContractError("a share needs a heaviest single")
    return tuple(
        _load_choice(load, to_kg(Mass(load, unit)), heaviest_single_kg, asks_nm, chance) for load in loads
    )


def exercise_for(
    setup: SetUp, role: Role, loads: tuple[LoadChoice, ...], *, family: str, unit: Unit = Unit.KG
) -> Exercise:
    """An exercise with what catalogue and tables say of it; the rest is changed by `dataclasses.replace`."""
    return Exercise(
        key=key_of(setup),
        setup=setup,
        role=role,
        family=family,
        pattern=setup.lift,
        unit=unit,
        loads=loads,
        trains=trains_of(setup),
        fewest_repetitions=value("builder", "fewest_repetitions").get(setup.lift, 1),
    )


def key_of(setup: SetUp) -> str:
    """A name for a set-up: the lift, and what fixes its start or bottom where that is not the lift's own."""
    heights = (("at", setup.height_mm), ("depth", setup.depth_deg), ("box", setup.box_mm))
    return " ".join([setup.lift, *(f"{word} {number}" for word, number in heights if number)])


def _load_choice(
    load: Decimal,
    load_kg: float,
    heaviest_single_kg: float,
    asks_nm: Callable[[float], Mapping[Region, float]],
    chance: Callable[[Mapping[Region, float]], float],
) -> LoadChoice:
    asked = asks_nm(load_kg)
    return LoadChoice(load=load, share=load_kg / heaviest_single_kg, chance=chance(asked), asks_nm=asked)
