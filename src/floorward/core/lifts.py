"""The catalogue of lifts: what each is, what it needs, and the numbers that mechanics want of it (tables/lifts.toml)."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cache
from types import MappingProxyType
from typing import Any

from floorward import tables


class Family(StrEnum):
    """Lifts whose loads may be compared with one another."""

    PULL = "pull"
    SQUAT = "squat"
    SINGLE_LEG = "single-leg"
    HIP_EXTENSION = "hip-extension"
    CARRY = "carry"
    MACHINE = "machine"


class Model(StrEnum):
    """What mechanics know of a lift: the whole chain of links, simpler pictures, or nothing."""

    LINKS = "links"
    FRONT_LEG = "front-leg"
    TRUNK = "trunk"
    NONE = "none"


class Held(StrEnum):
    """How the load is carried."""

    HANDS_FRONT = "hands-front"
    HANDS_BESIDE = "hands-beside"
    BACK = "back"
    FRONT = "front"
    GOBLET = "goblet"
    BELT = "belt"


class Fixes(StrEnum):
    """What decides where the lift starts, or how deep it goes."""

    HEIGHT = "height"
    THIGH = "thigh"
    TRUNK = "trunk"
    BOX = "box"
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """One variation as the catalogue has it.

    Attributes:
        model: what mechanics know of it; with NONE go by pain only.
        implement: a kind of bar, or another word for what is held.
        set_up: what a card may say beside it, such as belt or pause.
        contest: sports in whose contests the lift counts.
        learning: 1 done right on the first day, 2 within weeks, 3 takes months.
        cautions: codes of what to say before the first time.
        direct: muscles that it trains as the main ones; `indirect` half as much.
        leads_back_to: the next lift on the way back, empty at its end.
        numbers: what the geometry needs, by name with its unit.
    """

    key: str
    name: str
    family: Family
    model: Model
    implement: str
    held: Held
    fixes: Fixes
    set_up: tuple[str, ...]
    contest: tuple[str, ...]
    equipment: tuple[str, ...]
    learning: int
    cautions: tuple[str, ...]
    direct: tuple[str, ...]
    indirect: tuple[str, ...]
    leads_back_to: str
    numbers: Mapping[str, float] = field(hash=False)

    @property
    def modelled(self) -> bool:
        """Whether mechanics speak about it at all."""
        return self.model != Model.NONE

    @property
    def linked(self) -> bool:
        """Whether a posture can be worked out."""
        return self.model in {Model.LINKS, Model.FRONT_LEG}

    @property
    def front_share(self) -> float:
        """What one leg carries of all that is above the hips; 1 where both carry it together."""
        return self.numbers.get("front_share", 1.0)

    @property
    def hands(self) -> bool:
        """Whether straight arms hold the load."""
        return self.held in {Held.HANDS_FRONT, Held.HANDS_BESIDE}

    @property
    def default_height_mm(self) -> float:
        """The hands above the platform at the usual start; 0 where the lift fixes something else."""
        return self.numbers.get("height_mm", 0.0)


@cache
def catalogue() -> Mapping[str, Lift]:
    """Every lift by its key, in the table's order."""
    return MappingProxyType({key: _lift(key, row) for key, row in tables.load("lifts").items()})


def _lift(key: str, row: Mapping[str, Any]) -> Lift:
    return Lift(
        key=key,
        name=row["name"],
        family=Family(row["family"]),
        model=Model(row["model"]),
        implement=row["implement"],
        held=Held(row["held"]),
        fixes=Fixes(row["fixes"]),
        set_up=tuple(row["set_up"]),
        contest=tuple(row["contest"]),
        equipment=tuple(row["equipment"]),
        learning=row["learning"],
        cautions=tuple(row["cautions"]),
        direct=tuple(row["direct"]),
        indirect=tuple(row["indirect"]),
        leads_back_to=row["leads_back_to"],
        numbers=MappingProxyType(dict(row["numbers"]["value"] if "numbers" in row else {})),
    )
