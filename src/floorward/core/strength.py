"""The heaviest single a set points to: seven published equations, and the range between them.

Each equation says which share of the heaviest single (1RM) can be lifted R times to failure. They agree within some 6 % at five
repetitions and drift apart beyond ten. Loads may be in either unit: an estimate is in the unit of the load it was made from.
Sources: tables/strength.toml. Limits: docs/science/strength.md.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import cache
from math import exp, log
from statistics import median

from floorward import tables
from floorward.core.findings import Finding
from floorward.core.repetitions import HardSet, repetitions_left, to_failure
from floorward.errors import ContractError


@dataclass(frozen=True, slots=True, kw_only=True)
class Equation:
    """A published equation: its form, its coefficients, and the repetitions it may be asked about."""

    key: str
    form: str
    coefficients: tuple[float, ...]
    least: float
    most: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A heaviest single as a range.

    Attributes:
        low: least of the equations.
        middle: their median, for sorting and drawing; never to be shown without the range.
        high: greatest of the equations.
        by_equation: what each says, of those that apply.
        findings: what to say with it.
    """

    low: float
    middle: float
    high: float
    by_equation: dict[str, float] = field(default_factory=dict, hash=False)
    findings: tuple[Finding, ...] = ()


# For each form: the share at R repetitions, and the repetitions at a share.
FORMS: dict[str, tuple[Callable[..., float], Callable[..., float]]] = {
    "load-line": (
        lambda repetitions, n: n / (n + repetitions),
        lambda share, n: n * (1 / share - 1),
    ),
    "share-line": (
        lambda repetitions, a, b, c: (a - b * repetitions) / c,
        lambda share, a, b, c: (a - c * share) / b,
    ),
    "power": (
        lambda repetitions, p: repetitions**-p,
        lambda share, p: share ** (-1 / p),
    ),
    "decay": (
        lambda repetitions, a, b, k: (a + b * exp(-k * repetitions)) / 100,
        lambda share, a, b, k: -log((100 * share - a) / b) / k,
    ),
}


@cache
def equations() -> tuple[Equation, ...]:
    """All seven, in the order of their names."""
    rows = tables.load("strength")["equations"]
    return tuple(
        Equation(
            key=key,
            form=row["form"],
            coefficients=tuple(row["value"]),
            least=row["repetitions"][0],
            most=row["repetitions"][1],
        )
        for key, row in rows.items()
    )


def heaviest_single(key: str, load: float, repetitions: float) -> float:
    """What the equation `key` makes of `load` lifted `repetitions` times to failure, in the unit of the load.

    Raises:
        ContractError: if there is no such equation, or it says nothing at so many repetitions.
    """
    equation = _equation(key)
    if not 1 <= repetitions <= equation.most:
        raise ContractError(f"{key} says nothing at {repetitions} repetitions")
    share, _ = FORMS[equation.form]
    return load / share(repetitions, *equation.coefficients)


def repetitions_by(key: str, share: float) -> float:
    """Repetitions to failure at `share` of the heaviest single by the equation `key`.

    Raises:
        ContractError: if there is no such equation, or no number of repetitions has that share in it.
    """
    equation = _equation(key)
    _, repetitions = FORMS[equation.form]
    try:
        found = repetitions(share, *equation.coefficients)
    except (ValueError, ZeroDivisionError, OverflowError) as error:
        raise ContractError(f"{key} says nothing at a share of {share}") from error
    if not (0 < share <= 1 and found >= 0):
        raise ContractError(f"{key} says nothing at a share of {share}")
    return found


def estimate(load: float, repetitions: int, rpe: float | None = None, *, pull: bool = False) -> Estimate:
    """The heaviest single that a set points to.

    Args:
        load: what was lifted, in either unit.
        repetitions: done, at least one.
        rpe: how hard it was, 1–10. Repetitions left count as done. None, or too light to tell, counts as taken to failure: the
            estimate is then a floor.
        pull: whether it is a pull from the floor or near it, which all equations tend to underrate.

    Raises:
        ContractError: if there is no load or no repetition.
    """
    if load <= 0 or repetitions < 1:
        raise ContractError("an estimate needs a load and a repetition")
    last = to_failure(repetitions, rpe)
    findings = tuple(_remarks(last, rpe, pull=pull))
    if last == 1:
        return Estimate(low=load, middle=load, high=load, findings=findings)
    values = {
        equation.key: heaviest_single(equation.key, load, last)
        for equation in equations()
        if equation.least <= last <= equation.most
    }
    if not values:
        return Estimate(low=load, middle=load, high=load, findings=findings)
    return Estimate(
        low=min(values.values()),
        middle=median(values.values()),
        high=max(values.values()),
        by_equation=values,
        findings=findings,
    )


def best(sets: Iterable[HardSet], today: int, *, pull: bool = False) -> Estimate | None:
    """The highest estimate of the recent sets, or None without any. Sets of few repetitions go before sets of many."""
    recent = tables.value("strength", "recent")
    estimates = [
        estimate(done.load_kg, done.repetitions, done.rpe, pull=pull)
        for done in sets
        if 0 <= today - done.day <= recent
    ]
    sound = [one for one in estimates if "many-repetitions" not in {finding.code for finding in one.findings}]
    return max(sound or estimates, key=lambda one: one.middle, default=None)


def _equation(key: str) -> Equation:
    for equation in equations():
        if equation.key == key:
            return equation
    raise ContractError(f"no equation is called {key!r}")


def _remarks(last: float, rpe: float | None, *, pull: bool) -> Iterable[Finding]:
    many = tables.value("strength", "many_repetitions")
    if last > many:
        yield Finding(code="many-repetitions", numbers={"repetitions": f"{last:g}", "many": many})
    if rpe is None or repetitions_left(rpe) is None:
        yield Finding(code="effort-not-told")
    if pull and last > 1:
        yield Finding(code="pull-likely-low")
