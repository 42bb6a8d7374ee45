"""Forward, hold, back or stop: what the last exposure allows, by small rules of which the first that matches decides.

B is the baseline, D the worst pain during, A the pain within the hour after, M the next morning. Thresholds stand in
tables/rules.toml, ceilings and step sizes in the gym's protocol. To add a rule, copy a neighbour, put it into the tuple at the
foot and give it its row in the table and on docs/reference/rules.md.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from statistics import median
from types import MappingProxyType
from typing import Any

from floorward.core.exposures import (
    Change,
    Exposure,
    Ruling,
    StepSize,
    in_row,
    known_mornings,
    morning_change,
    scores,
    settled,
    settled_in_row,
    target_met,
)
from floorward.core.protocol import SHIPPED, Profile, Protocol
from floorward.errors import ContractError
from floorward.tables import value

__all__ = [
    "Case",
    "Change",
    "Exposure",
    "Protocol",
    "Ruling",
    "StepSize",
    "judge_exposure",
    "propose",
    "settled",
    "settled_in_row",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """What a rule reads: the exposures up to the one that is judged, and what is known as of a day."""

    exposures: Sequence[Exposure]
    protocol: Protocol
    mornings: Mapping[date, int]
    as_of: date
    screen_open: bool = False
    rescreened: bool = False

    @property
    def last(self) -> Exposure:
        """The exposure that is judged."""
        return self.exposures[-1]


Rule = Callable[[Case], Ruling | None]


def propose(
    exposures: Sequence[Exposure],
    protocol: Protocol = SHIPPED,
    *,
    mornings: Mapping[date, int] | None = None,
    screen_open: bool = False,
    rescreened: bool = False,
    today: date,
) -> Ruling:
    """The proposed decision after the last of `exposures`.

    Args:
        exposures: of the sore lift, in the order they were done, none after `today`.
        protocol: the gym's ceilings and profile.
        mornings: every morning answer of the episode by its day, for the weekly medians.
        screen_open: whether an outcome of the screen still locks the person or the region.
        rescreened: whether the screen was asked again, and passed, after symptoms spread.
        today: the day of the decision; it fixes the calendar week that is compared with the last.

    Raises:
        ContractError: if the days fall or lie after `today`.
    """
    _check_days(exposures, today)
    if not exposures:
        return _stopped("R0") if screen_open else _hold("none")
    case = Case(
        exposures=exposures,
        protocol=protocol,
        mornings=known_mornings(exposures, mornings or {}),
        as_of=today,
        screen_open=screen_open,
        rescreened=rescreened,
    )
    return _escalated(judge_exposure(case), case)


def judge_exposure(case: Case) -> Ruling:
    """The rules on the last exposure of `case`, escalations aside. Mornings after its `as_of` are not read."""
    ruling = next((found for rule in RULES[case.protocol.profile] if (found := rule(case))), _hold("none"))
    return replace(ruling, numbers={**scores(case.last), **ruling.numbers})


def screen_open(case: Case) -> Ruling | None:
    """R0: a warning sign is open, so the lift stops."""
    return _stopped("R0") if case.screen_open else None


def spreading(case: Case) -> Ruling | None:
    """R1: symptoms moved down the limb or are new: the lift stops for the screen; once that is passed, one rung back."""
    if not case.last.spreading:
        return None
    return replace(_back("R1"), overridable=False) if case.rescreened else _stopped("R1")


def over_the_ceiling(case: Case) -> Ruling | None:
    """R2: a set or the hour after hurt more than the gym allows, or the lifter called it not acceptable."""
    last, protocol = case.last, case.protocol
    over = last.during > protocol.ceiling_set or (last.after or 0) > protocol.after_max
    numbers = {
        "ceiling_set": protocol.ceiling_set,
        "after_max": protocol.after_max,
        "acceptable": last.acceptable,
    }
    return _back("R2", numbers) if over or not last.acceptable else None


def morning_much_worse(case: Case) -> Ruling | None:
    """R3: the next morning was worse by more than the noise of a score."""
    return _back("R3") if morning_change(case.last, 0) >= value("rules", "R3", "worse_by") else None


def week_worse(case: Case) -> Ruling | None:
    """R4: this calendar week's median morning is above last week's; silent while either week has too few mornings."""
    monday = case.as_of - timedelta(days=case.as_of.weekday())
    this_week = _week(case.mornings, monday, case.as_of)
    last_week = _week(case.mornings, monday - timedelta(days=7), case.as_of)
    if min(len(this_week), len(last_week)) < value("rules", "R4", "mornings"):
        return None
    numbers = {"W": median(this_week), "Wp": median(last_week)}
    rise = numbers["W"] - numbers["Wp"]
    if rise >= value("rules", "R4", "back_at"):
        return _back("R4", numbers)
    return _hold("R4", numbers) if rise >= value("rules", "R4", "hold_at") else None


def no_morning_answer(case: Case) -> Ruling | None:
    """R5: nobody knows how the morning was, so nothing goes up."""
    return _hold("R5") if case.last.morning is None else None


def morning_a_little_worse(case: Case) -> Ruling | None:
    """R6: one point worse is within the noise of a score, but no reason to go on."""
    return _hold("R6") if morning_change(case.last, 0) >= value("rules", "R6", "worse_by") else None


def not_quiet_since(case: Case) -> Ruling | None:
    """R3, its second half: no increase until a morning was back at the baseline from which it rose."""
    risen = [e for e in case.exposures[:-1] if morning_change(e, 0) >= value("rules", "R3", "worse_by")]
    if not risen:
        return None
    since, quiet = risen[-1].day + timedelta(days=1), risen[-1].baseline or 0
    later = [score for day, score in case.mornings.items() if since < day <= case.as_of]
    return None if min(later, default=quiet + 1) <= quiet else _hold("R3", {"quiet": quiet})


def bearable_pain(case: Case) -> Ruling | None:
    """R7: pain above the safe band that settled by morning: stay; the second time in a row the smallest step.

    The work must be done as for R8, so that more pain never leads further than less.
    """
    if not _bearable(case, case.last, value("rules", "R7", "over")):
        return None
    times = in_row(case.exposures, lambda exposure: _bearable(case, exposure, value("rules", "R7", "over")))
    if times >= value("rules", "R7", "exposures") and _work_done(case.last):
        return _forward("R7", StepSize.SMALLEST, 0, {"in_row": times})
    return _hold("R7", {"in_row": times})


def ready(case: Case) -> Ruling | None:
    """R8: little pain, a settled morning and the work done with something left: the usual step."""
    most = value("rules", "R8", "most")
    quiet = settled(case.last, case.protocol) and _worst(case.last) <= most
    return _forward("R8", StepSize.USUAL, _cap()) if quiet and _work_done(case.last) else None


def assertive_morning(case: Case) -> Ruling | None:
    """R6 of the assertive profile: a morning one point worse takes the smallest step when all else is in bounds."""
    if morning_change(case.last, 0) < value("rules", "assertive", "R6", "worse_by"):
        return None
    in_bounds = case.last.after is not None and _work_done(case.last)
    return _forward("R6", StepSize.SMALLEST, _cap()) if in_bounds else _hold("R6")


def assertive_pain(case: Case) -> Ruling | None:
    """R7 of the assertive profile: pain in the acceptable band takes the smallest step when the morning settled."""
    if not _bearable(case, case.last, value("rules", "assertive", "R7", "over")):
        return None
    return _forward("R7", StepSize.SMALLEST, _cap()) if _work_done(case.last) else _hold("R7")


def _escalated(ruling: Ruling, case: Case) -> Ruling:
    """E1 and E2: what several step-backs say together."""
    if ruling.change is Change.STOP:
        return ruling
    back = ruling.change is Change.BACK
    window = case.last.day - timedelta(days=value("rules", "E2", "days"))
    earlier = [i for i, e in enumerate(case.exposures[:-1]) if e.day >= window and _stepped_back(case, i)]
    if back and _in_a_row(case) + 1 >= value("rules", "E1", "in_a_row"):
        ruling = replace(
            ruling, code="E1", step=StepSize.LARGE, numbers={**ruling.numbers, "rule": ruling.code}
        )
    if len(earlier) + back < value("rules", "E2", "step_backs"):
        return ruling
    return _seen_by_someone(ruling, {"step_backs": len(earlier) + back, "days": value("rules", "E2", "days")})


def _seen_by_someone(ruling: Ruling, numbers: Mapping[str, Any]) -> Ruling:
    """E2: a step back stays a step back (nobody repeats a load that was too much), but nothing goes up, and someone looks."""
    numbers = {**ruling.numbers, **numbers, "rule": ruling.numbers.get("rule", ruling.code)}
    if ruling.change is Change.HOLD:
        return replace(ruling, refer=True, numbers=numbers)
    if ruling.change is Change.FORWARD:
        return Ruling(code="E2", change=Change.HOLD, refer=True, numbers=numbers)
    return replace(ruling, code="E2", refer=True, numbers=numbers)


def _in_a_row(case: Case) -> int:
    """Step-backs just before the last exposure, as far as the first escalation looks."""
    count, place = 0, len(case.exposures) - 2
    while place >= 0 and count < value("rules", "E1", "in_a_row") and _stepped_back(case, place):
        count, place = count + 1, place - 1
    return count


def _stepped_back(case: Case, place: int) -> bool:
    """Whether the rules asked for a step back after the exposure at `place`, as things were known the next morning."""
    exposures = case.exposures[: place + 1]
    as_of = min(case.as_of, exposures[-1].day + timedelta(days=1))
    ruling = judge_exposure(
        replace(case, exposures=exposures, as_of=as_of, screen_open=False, rescreened=True)
    )
    return ruling.change is Change.BACK


def _bearable(case: Case, exposure: Exposure, over: int) -> bool:
    return settled(exposure, case.protocol) and _worst(exposure) > over


def _worst(exposure: Exposure) -> int:
    return max(exposure.during, exposure.after or 0)


def _work_done(exposure: Exposure) -> bool:
    return (
        target_met(exposure) and exposure.rpe is not None and exposure.rpe <= value("rules", "R8", "rpe_most")
    )


def _week(mornings: Mapping[date, int], monday: date, as_of: date) -> list[int]:
    days = (monday + timedelta(days=i) for i in range(7))
    return [mornings[day] for day in days if day in mornings and day <= as_of]


def _cap() -> Decimal:
    return Decimal(value("rules", "R8", "cap_percent"))


def _stopped(code: str) -> Ruling:
    return Ruling(code=code, change=Change.STOP, overridable=False)


def _back(code: str, numbers: Mapping[str, Any] = MappingProxyType({})) -> Ruling:
    return Ruling(code=code, change=Change.BACK, step=StepSize.RUNG, numbers=numbers)


def _hold(code: str, numbers: Mapping[str, Any] = MappingProxyType({})) -> Ruling:
    return Ruling(code=code, change=Change.HOLD, numbers=numbers)


def _forward(
    code: str, step: StepSize, cap_percent: Decimal | int, numbers: Mapping[str, Any] = MappingProxyType({})
) -> Ruling:
    cap = Decimal(cap_percent)
    return Ruling(code=code, change=Change.FORWARD, step=step, cap_percent=cap, numbers=numbers)


def _check_days(exposures: Sequence[Exposure], today: date) -> None:
    days = [exposure.day for exposure in exposures]
    if days != sorted(days) or (days and days[-1] > today):
        raise ContractError("exposures go in the order of their days, none after today")


_STOPS = (screen_open, spreading)
_BACKS = (over_the_ceiling, morning_much_worse, week_worse, no_morning_answer)

RULES: Mapping[Profile, tuple[Rule, ...]] = MappingProxyType(
    {
        Profile.STEADY: (*_STOPS, *_BACKS, morning_a_little_worse, not_quiet_since, bearable_pain, ready),
        Profile.ASSERTIVE: (*_STOPS, *_BACKS, not_quiet_since, assertive_morning, assertive_pain, ready),
    }
)
