"""The lifter's usual week as the yardstick: how many hard sets' worth each muscle and lift gets when nothing hurts.

What a week with pain keeps is read against it, never against somebody else's programme.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from floorward.core.worth import Aim, Effort, Trains, credits_of, is_training, lift_key
from floorward.errors import ContractError
from floorward.tables import value


@dataclass(frozen=True, slots=True, kw_only=True)
class TrainedSet:
    """A set of the log with what it trains. `rpe` as rated, `day` counts from any day on."""

    lift: str
    day: int
    effort: Effort
    trains: Trains
    rpe: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Yardstick:
    """One muscle or lift against the usual week, in hard sets' worth.

    Attributes:
        name: the muscle, or `lift:KEY`.
        usual: of a week when nothing hurts.
        done: so far this week.
        weight: how much a set of it counts in a plan.
    """

    name: str
    usual: float
    done: float = 0.0
    weight: float = 1.0

    def __post_init__(self) -> None:
        """A yardstick has a length."""
        if self.usual <= 0 or self.done < 0 or self.weight < 0:
            raise ContractError(f"no yardstick: {self}")

    @property
    def kept(self) -> float:
        """What this week has kept of the usual one; over 1 where it did more."""
        return self.done / self.usual


@dataclass(frozen=True, slots=True, kw_only=True)
class Holding:
    """Whether a lift's strength is held by what is done of it (spiering-2021).

    Attributes:
        held: as many hard sets at the usual relative load, on as many days, as hold it.
        sets, days: what counted.
        sets_needed, days_needed: what holds it at this age.
    """

    held: bool
    sets: int
    days: int
    sets_needed: int
    days_needed: int


def week_credits(sets: Iterable[TrainedSet], aim: Aim) -> dict[str, float]:
    """All credit by muscle and lift; sets too light to train earn none here."""
    total: dict[str, float] = {}
    for done in sets:
        if is_training(done.effort.share):
            for name, amount in credits_of(done.effort, done.trains, aim).items():
                total[name] = total.get(name, 0.0) + amount
    return total


def usual_week(
    sets: Iterable[TrainedSet], weeks: float, aim: Aim, contest: Iterable[str] = ()
) -> tuple[Yardstick, ...]:
    """The yardsticks of a lifter from the sets of `weeks` before the pain: muscles, the one trained most first, then the lifts done.

    Args:
        sets: of those weeks.
        weeks: how many they are; `usual.weeks` of tables/worth.toml by choice.
        aim: what the lifter trains for.
        contest: lifts of the next contest, which count more.

    Raises:
        ContractError: if there are no weeks.
    """
    if weeks <= 0:
        raise ContractError("a usual week needs weeks to be read from")
    sets = tuple(sets)
    own = {lift_key(done.lift) for done in sets}
    wanted = {lift_key(lift) for lift in contest}
    found = [
        Yardstick(name=name, usual=amount / weeks, weight=_weight(name, wanted))
        for name, amount in week_credits(sets, aim).items()
        if name in own or not name.startswith("lift:")
    ]
    return tuple(sorted(found, key=lambda one: (one.name.startswith("lift:"), -one.usual, one.name)))


def with_done(yardsticks: Iterable[Yardstick], earned: Mapping[str, float]) -> tuple[Yardstick, ...]:
    """The yardsticks with what is done this week (or done and planned)."""
    return tuple(replace(one, done=one.done + earned.get(one.name, 0.0)) for one in yardsticks)


def holding(sets: Iterable[TrainedSet], usual_share: float, age_years: int) -> Holding:
    """Whether this week's `sets` of one lift hold its strength, for some months at least.

    One hard set on one day does while the relative load is kept; lifters of 60 and over need up to two sets on two days.

    Args:
        sets: this week's of the lift.
        usual_share: the usual work load over the heaviest single.
        age_years: of the lifter.
    """
    older = age_years >= value("worth", "holding", "older_from")
    sets_needed = value("worth", "holding", "older_sets" if older else "sets")
    days_needed = value("worth", "holding", "older_days" if older else "days")
    least_share = usual_share * value("worth", "holding", "load_kept")
    hard = [
        one
        for one in sets
        if one.effort.share >= least_share and one.rpe >= value("worth", "holding", "hard_rpe")
    ]
    days = len({one.day for one in hard})
    held = len(hard) >= sets_needed and days >= days_needed
    return Holding(held=held, sets=len(hard), days=days, sets_needed=sets_needed, days_needed=days_needed)


def is_least_for_powerlifters(sets: Iterable[TrainedSet]) -> bool:
    """Whether a week's sets of a lift are the least that still raised a powerlifter's single (androulakis-2021)."""
    fewest, most = value("worth", "least_for_powerlifters", "repetitions")
    lightest, hardest = value("worth", "least_for_powerlifters", "rpe")
    counted = [
        one
        for one in sets
        if fewest <= one.effort.repetitions <= most
        and one.effort.share > value("worth", "least_for_powerlifters", "share")
        and lightest <= one.rpe <= hardest
    ]
    return len(counted) >= int(value("worth", "least_for_powerlifters", "sets"))


def _weight(name: str, contest: set[str]) -> float:
    if not name.startswith("lift:"):
        return 1.0
    return float(value("worth", "usual", "contest_weight" if name in contest else "lift_weight"))
