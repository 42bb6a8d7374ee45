"""Pain scores: the 0–10 scale, its bands, the baseline and what counts as better.

A score is a whole number from 0 (no pain) to 10 (worst pain imaginable). Means and medians of scores may be decimal; the
bands take those too. Source of the bands: ageberg-2010; of the improvement tests: ostelo-2008.
"""

from decimal import Decimal
from enum import StrEnum

from floorward.core.findings import Finding, Weight
from floorward.tables import value

PainScore = int


class Band(StrEnum):
    """The three bands of pain during and after exercise."""

    SAFE = "safe"
    ACCEPTABLE = "acceptable"
    HIGH = "high"


class Improvement(StrEnum):
    """Which test a drop in pain passed."""

    TWO_POINTS = "two-points"
    THIRTY_PERCENT = "thirty-percent"


def pain_findings(score: object, field: str = "pain") -> tuple[Finding, ...]:
    """What is wrong with `score` as a pain score: nothing, not a whole number, or outside 0–10."""
    if isinstance(score, bool) or not isinstance(score, int):
        return (Finding(code="pain-not-whole", field=field, weight=Weight.REFUSE),)
    least, most = value("pain", "scale", "least"), value("pain", "scale", "most")
    if least <= score <= most:
        return ()
    numbers = {"score": score, "least": least, "most": most}
    return (Finding(code="pain-outside-scale", field=field, weight=Weight.REFUSE, numbers=numbers),)


def acceptable_findings(score: PainScore, *, acceptable: bool) -> tuple[Finding, ...]:
    """Asks again when a set is called acceptable although its pain is in the high band."""
    if acceptable and band(score) is Band.HIGH:
        numbers = {"score": score, "most": value("pain", "band", "acceptable_most")}
        return (Finding(code="acceptable-but-high", field="acceptable", weight=Weight.ASK, numbers=numbers),)
    return ()


def band(score: float | Decimal) -> Band:
    """The band that `score` [0–10, decimals allowed] falls in. Source: ageberg-2010."""
    if score <= value("pain", "band", "safe_most"):
        return Band.SAFE
    return Band.ACCEPTABLE if score <= value("pain", "band", "acceptable_most") else Band.HIGH


def baseline(before: PainScore | None, morning_of_day: PainScore | None) -> PainScore | None:
    """What the next morning is compared with: the training day's own morning, else the score before the warm-up.

    None when neither was asked: then no morning can be called settled.
    """
    return before if morning_of_day is None else morning_of_day


def improved(first: PainScore, now: PainScore) -> tuple[Improvement, ...]:
    """The tests that the drop from `first` to `now` passes; either is enough. Source: ostelo-2008."""
    drop = first - now
    passed = []
    if drop >= value("pain", "improved", "points"):
        passed.append(Improvement.TWO_POINTS)
    if drop > 0 and 100 * drop >= value("pain", "improved", "percent") * first:
        passed.append(Improvement.THIRTY_PERCENT)
    return tuple(passed)
