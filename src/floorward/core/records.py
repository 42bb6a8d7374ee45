"""The nouns that several parts share: people's bodies, iron, wood and set-ups.

Masses are exact in the unit stamped on the iron (`units.Mass`); lengths of equipment are whole or decimal millimetres, because
that is what a tape measure on a gym floor gives. Heights are above the platform and mean the hands: the bar's centre, or
the handles.
"""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from floorward.units import Mass, Unit

STANDARD_PLATE_MM = 450
FULL_HEIGHT_MM = 225


class Sex(StrEnum):
    """Which body tables apply; undeclared takes the mean of both."""

    MALE = "male"
    FEMALE = "female"
    UNDECLARED = "undeclared"


class Region(StrEnum):
    """Where it hurts, in a coach's words, as far as mechanics speak of it."""

    LOW_BACK = "low-back"
    HIP = "hip"
    KNEE = "knee"


# where it may hurt as well; mechanics say nothing of these, so they go by pain alone
ARM_REGIONS = ("shoulder", "elbow")


class BarKind(StrEnum):
    """What kind of implement takes the plates."""

    STRAIGHT = "straight"
    TRAP = "trap"
    SAFETY_SQUAT = "safety-squat"
    AXLE = "axle"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """A bar of the gym. It takes plates of its own unit.

    Attributes:
        handle_rise_mm: handles above the sleeve's axis, one entry for each pair of handles: (0,) for a straight bar,
            (0, 120) for a trap bar with low and high handles.
        sleeve_mm: how much of a sleeve plates and collar may fill.
    """

    name: str
    kind: BarKind
    mass: Mass
    handle_rise_mm: tuple[int, ...] = (0,)
    sleeve_mm: int = 415


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """A size of plate and how many pairs the gym owns."""

    mass: Mass
    pairs: int
    diameter_mm: int = STANDARD_PLATE_MM
    thickness_mm: int = 30
    colour: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Collar:
    """A pair of collars; `mass` is that of one."""

    mass: Mass


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A block or mat to stand the plates on; `pairs` counts one for each side."""

    name: str
    thickness_mm: Decimal
    pairs: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class RackPins:
    """Safety pins of a rack: the lowest hole's height and the spacing, to the bar's centre."""

    first_mm: int
    spacing_mm: int
    holes: int = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A box to sit to or step on."""

    name: str
    height_mm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Equipment:
    """All that a gym owns and Floorward reckons with."""

    bars: tuple[Bar, ...] = ()
    plates: tuple[Plate, ...] = ()
    collars: tuple[Collar, ...] = ()
    blocks: tuple[Block, ...] = ()
    pins: tuple[RackPins, ...] = ()
    boxes: tuple[Box, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateSet:
    """One bar, the collars on it and the plates of its unit that may go on it.

    `collar` is the mass of one collar; two are used. A zero collar means none.
    """

    bar: Bar
    collar: Mass
    plates: tuple[Plate, ...]

    @property
    def unit(self) -> Unit:
        """The unit of every load that this set can make."""
        return self.bar.mass.unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Tape:
    """What a tape measure gave, in metres; 0 where nothing was measured."""

    span_m: float = 0.0
    crotch_m: float = 0.0
    sitting_height_m: float = 0.0
    knee_height_m: float = 0.0
    sleeve_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """Angles that a coach measured at the start or bottom of one set-up [deg]; None where that one was not.

    The lengths and the depth say which start it was, as in a `SetUp`; knee_deg is the included angle, trunk_deg over level.
    """

    lift: str
    height_mm: int = 0
    depth_deg: int = 0
    box_mm: int = 0
    knee_deg: float | None = None
    trunk_deg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """What mechanics need to know of a lifter."""

    stature_m: float
    mass_kg: float
    sex: Sex = Sex.UNDECLARED
    tape: Tape = Tape()
    measured: tuple[Measured, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUp:
    """A variation with what fixes its start, as it stands on a card.

    Attributes:
        lift: key of tables/lifts.toml.
        height_mm: hands above the platform at the start of a pull; 0 where the lift itself fixes it.
        depth_deg: thigh at the bottom of a squat: 0 level, negative deeper.
        box_mm: height of the box of a box squat or step-up, else 0.
        tempo: seconds lowering-pause-raising-pause such as `3-1-1-0`, empty when usual.
    """

    lift: str
    height_mm: int = 0
    depth_deg: int = 0
    box_mm: int = 0
    belt: bool = False
    straps: bool = False
    shoes: str = ""
    tempo: str = ""
    pause: bool = False
