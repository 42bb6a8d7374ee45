"""What can still make a set harder when its load may not grow, and what each lever buys in credit toward size.

More repetitions, a slow way down, a pause at the bottom and short rests bring a light set nearer to failure; more range makes it longer.
How much they do is known for repetitions (the chart), and judged for the others: each lever says which.
"""

from dataclasses import dataclass
from enum import StrEnum
from math import floor

from floorward.core.repetitions import Curve, repetitions_at
from floorward.core.worth import Effort, credit
from floorward.errors import ContractError
from floorward.tables import value


class LeverKind(StrEnum):
    """What is changed."""

    REPETITIONS = "repetitions"
    SLOW_LOWERING = "slow-lowering"
    PAUSE = "pause"
    SHORT_REST = "short-rest"
    RANGE = "range"


class Known(StrEnum):
    """What the size of an effect rests on."""

    CHART = "chart"
    JUDGED = "judged"


@dataclass(frozen=True, slots=True, kw_only=True)
class Lever:
    """One change with what it buys.

    Attributes:
        repetitions: of the changed set.
        left: repetitions left in it.
        size_before, size_after: credit toward size of one set, 0 to 1.
        seconds_more: time under the bar that a set takes longer; negative where time is saved.
        known: what the effect rests on.
    """

    kind: LeverKind
    repetitions: int
    left: float
    size_before: float
    size_after: float
    seconds_more: float
    known: Known

    @property
    def bought(self) -> float:
        """Credit gained a set."""
        return self.size_after - self.size_before


def levers(
    effort: Effort, *, seconds_a_rep: float, rest_seconds: float, curve: Curve | None = None
) -> tuple[Lever, ...]:
    """The levers that buy anything at all for this set, the one that buys most first.

    Args:
        effort: the set as planned, its load at the most that is allowed.
        seconds_a_rep: of a repetition as planned.
        rest_seconds: between sets as planned.
        curve: the lifter's own repetitions at a share; the general chart else.
    """
    possible = repetitions_at(effort.share, curve).middle
    found = (
        _more_repetitions(effort, possible, seconds_a_rep),
        _slower(
            effort,
            possible,
            LeverKind.SLOW_LOWERING,
            "slow_share",
            value("worth", "lever", "slow_seconds") - seconds_a_rep,
        ),
        _slower(effort, possible, LeverKind.PAUSE, "pause_share", value("worth", "lever", "pause_seconds")),
        _short_rest(effort, possible, rest_seconds),
        _more_range(effort),
    )
    return tuple(sorted((one for one in found if one.bought > 0), key=lambda one: -one.bought))


def tempo_is_too_slow(seconds_a_rep: float) -> bool:
    """Whether a repetition takes so long that growth is probably less (schoenfeld-2015).

    Raises:
        ContractError: if it takes no time.
    """
    if seconds_a_rep <= 0:
        raise ContractError("a repetition takes time")
    return seconds_a_rep > float(value("worth", "lever", "tempo_warned"))


def _more_repetitions(effort: Effort, possible: float, seconds_a_rep: float) -> Lever:
    most = value("worth", "lever", "most_repetitions")
    wanted = floor(min(possible - value("worth", "lever", "aimed_left"), most))
    repetitions = max(wanted, effort.repetitions)
    return _lever(
        LeverKind.REPETITIONS,
        effort,
        repetitions=repetitions,
        left=max(possible - repetitions, 0.0) if repetitions > effort.repetitions else effort.left,
        seconds_more=(repetitions - effort.repetitions) * seconds_a_rep,
        known=Known.CHART,
    )


def _slower(effort: Effort, possible: float, kind: LeverKind, share: str, seconds_more_a_rep: float) -> Lever:
    """Fewer repetitions are possible; already slow ones buy nothing."""
    lost = possible * (1.0 - value("worth", "lever", share)) if seconds_more_a_rep > 0 else 0.0
    repetitions, left = _after_losing(effort, lost)
    return _lever(
        kind,
        effort,
        repetitions=repetitions,
        left=left,
        seconds_more=max(seconds_more_a_rep, 0.0) * repetitions,
        known=Known.JUDGED,
    )


def _short_rest(effort: Effort, possible: float, rest_seconds: float) -> Lever:
    """From the second set on, with less rest fewer repetitions go."""
    saved = rest_seconds - value("worth", "lever", "short_rest")
    lost = possible * (1.0 - value("worth", "lever", "short_rest_share")) if saved > 0 else 0.0
    repetitions, left = _after_losing(effort, lost)
    return _lever(
        LeverKind.SHORT_REST,
        effort,
        repetitions=repetitions,
        left=left,
        seconds_more=-max(saved, 0.0),
        known=Known.JUDGED,
    )


def _more_range(effort: Effort) -> Lever:
    return _lever(
        LeverKind.RANGE,
        effort,
        repetitions=effort.repetitions,
        left=effort.left,
        seconds_more=0.0,
        known=Known.JUDGED,
        shortened=False,
    )


def _after_losing(effort: Effort, lost: float) -> tuple[int, float]:
    """Repetitions done and left once `lost` of them are no longer possible."""
    done = min(effort.repetitions, floor(effort.repetitions + effort.left - lost))
    return max(done, 1), max(effort.left - lost, 0.0)


def _lever(
    kind: LeverKind,
    effort: Effort,
    *,
    repetitions: int,
    left: float,
    seconds_more: float,
    known: Known,
    shortened: bool | None = None,
) -> Lever:
    changed = Effort(
        share=effort.share,
        repetitions=repetitions,
        left=left,
        shortened=effort.shortened if shortened is None else shortened,
    )
    return Lever(
        kind=kind,
        repetitions=repetitions,
        left=left,
        size_before=credit(effort).size,
        size_after=credit(changed).size,
        seconds_more=seconds_more,
        known=known,
    )
