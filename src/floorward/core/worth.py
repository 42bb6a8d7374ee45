"""What a set is worth as training: toward size, toward strength, for each muscle and for the lift it practises.

The unit is one hard set. Size wants nearness to failure and at least some 30 % of the heaviest single; strength wants heavy load and the
range that counts. A set is credited whole to the muscles it trains directly and half to those it trains along the way.
Equations, sources and what was only judged: docs/science/worth.md.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import pairwise
from typing import Any

from floorward.core.lifts import Lift, catalogue
from floorward.core.records import SetUp
from floorward.errors import ContractError
from floorward.tables import load, value


class Aim(StrEnum):
    """What a lifter trains for."""

    STRENGTH = "strength"
    BOTH = "both"
    SIZE = "size"


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """A set as far as it trains.

    Attributes:
        share: load over the heaviest single on this very set-up, above 0.
        repetitions: done or planned.
        left: repetitions that would still have gone.
        shortened: whether the range is cut off where the muscles are long, as when a pull starts raised.
    """

    share: float
    repetitions: int
    left: float
    shortened: bool = False

    def __post_init__(self) -> None:
        """A set has a load and at least one repetition."""
        if self.share <= 0 or self.repetitions < 1 or self.left < 0:
            raise ContractError(f"no such set: {self}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Credit:
    """Hard sets' worth of one set, 0 to 1: toward size and toward strength."""

    size: float
    strength: float

    def toward(self, aim: Aim) -> float:
        """Both as one number, weighed by what the lifter trains for."""
        share = float(value("worth", "aim", aim))
        return (1 - share) * self.size + share * self.strength


@dataclass(frozen=True, slots=True, kw_only=True)
class Trains:
    """What a lift trains.

    Attributes:
        direct, indirect: muscles credited whole, and half.
        practises: lifts whose strength it keeps, each with the share that carries over.
    """

    direct: tuple[str, ...] = ()
    indirect: tuple[str, ...] = ()
    practises: Mapping[str, float] = field(default_factory=dict, hash=False)


def credit(effort: Effort) -> Credit:
    """What one set is worth."""
    size = (
        _on_curve("growth_by_share", effort.share)
        * _on_curve("growth_by_left", effort.left)
        * min(effort.repetitions / value("worth", "growth_full_repetitions"), 1.0)
        * (value("worth", "range_growth", "raised") if effort.shortened else 1.0)
    )
    strength = _on_curve("strength_by_share", effort.share) * _on_curve("strength_by_left", effort.left)
    return Credit(size=float(size), strength=float(strength))


def is_training(share: float) -> bool:
    """Whether a load is heavy enough to train at all; a lighter one is for movement and confidence."""
    return share >= float(value("worth", "training_from"))


def credits_of(effort: Effort, trains: Trains, aim: Aim) -> dict[str, float]:
    """One set's credit by muscle and, under `lift:KEY`, by the lift it practises."""
    earned = credit(effort)
    whole, half = (float(value("worth", "muscle_share", name)) for name in ("direct", "indirect"))
    muscles = {
        **{muscle: whole * earned.toward(aim) for muscle in trains.direct},
        **{muscle: half * earned.toward(aim) for muscle in trains.indirect},
    }
    lifts = {lift_key(lift): share * earned.strength for lift, share in trains.practises.items()}
    return {name: amount for name, amount in {**muscles, **lifts}.items() if amount > 0}


def lift_key(lift: str) -> str:
    """The name under which practice of a lift is counted beside the muscles."""
    return f"lift:{lift}"


def counted_sets(sets: Mapping[str, tuple[int, Trains]]) -> dict[str, float]:
    """Sets a muscle by fractional counting, whatever their effort: direct 1, indirect ½ (pelland-2025).

    Args:
        sets: by lift, how many and what it trains.
    """
    whole, half = (float(value("worth", "muscle_share", name)) for name in ("direct", "indirect"))
    total: dict[str, float] = {}
    for number, trains in sets.values():
        for share, muscles in ((whole, trains.direct), (half, trains.indirect)):
            for muscle in muscles:
                total[muscle] = total.get(muscle, 0.0) + share * number
    return total


def trains_of(setup: SetUp) -> Trains:
    """What a set-up trains: by the catalogue, else by the table of other lifts; nothing for a lift that neither knows.

    It practises itself, or with a shortened range itself by the share of another range, and by that of a variation every lift of its
    family that it leads back to.
    """
    lift = catalogue().get(setup.lift)
    if lift is None:
        row: Mapping[str, Any] = load("worth")["muscles"].get(setup.lift, {})
        return Trains(
            direct=tuple(row.get("direct", ())),
            indirect=tuple(row.get("indirect", ())),
            practises={setup.lift: _carried("same")},
        )
    own = _carried("other_range" if is_shortened(setup) else "same")
    practises = dict.fromkeys(_way_back(lift), _carried("same_family")) | {setup.lift: own}
    return Trains(direct=lift.direct, indirect=lift.indirect, practises=practises)


def is_shortened(setup: SetUp) -> bool:
    """Whether the start stands higher, or the bottom is less deep, than the lift itself has it."""
    lift = catalogue().get(setup.lift)
    if lift is None:
        return False
    slack_mm = float(value("equipment", "full_height_tolerance"))
    raised = bool(lift.default_height_mm) and setup.height_mm > lift.default_height_mm + slack_mm
    return raised or setup.depth_deg > lift.numbers.get("depth_deg", 0.0)


def _way_back(lift: Lift) -> list[str]:
    """The lifts of one family that this one leads back to, the nearest first."""
    found: list[str] = []
    after = catalogue().get(lift.leads_back_to)
    while after is not None and after.family == lift.family and after.key not in found:
        found.append(after.key)
        after = catalogue().get(after.leads_back_to)
    return found


def curve_at(points: Sequence[Sequence[float]], x: float) -> float:
    """The height at `x` of straight lines between `points`, which go rightward; level beyond both ends."""
    if x <= points[0][0]:
        return float(points[0][1])
    for (x0, y0), (x1, y1) in pairwise(points):
        if x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return float(points[-1][1])


def _on_curve(name: str, x: float) -> float:
    return curve_at(value("worth", name), x)


def _carried(name: str) -> float:
    return float(value("worth", "carry_over", name))
