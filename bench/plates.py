"""Plates and loading order: how long they take, and what they save against the ways of hands."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise, product
from random import Random
from statistics import median
from time import process_time

from floorward.cli.plates import answer
from floorward.core.loading_order import loading_order
from floorward.core.plates import loading_for, loads
from floorward.core.records import Bar, BarKind, Plate, PlateSet
from floorward.units import kg

Figure = tuple[str, float, str, str]

BAR = Bar(name="bar", kind=BarKind.STRAIGHT, mass=kg(20))
USUAL = {"25": 4, "20": 2, "15": 2, "10": 2, "5": 2, "2.5": 2, "1.25": 2}
TREE = {"25": 6, "20": 2, "15": 2, "10": 2, "5": 2, "2.5": 2, "2": 1, "1.5": 1, "1.25": 2, "1": 1, "0.5": 1}


# A ramp, work sets, back-off sets, a second lift on the same bar.
USUAL_SESSION = (25, 60, 80, 100, 120, 132.5, 140, 140, 140, 140, 120, 120, 120, 60, 80, 92.5, 92.5, 92.5, 92.5, 80, 80, 80, 50, 50, 50)  # fmt: skip
ALL_DIFFERENT = (25, 45, 70, 95, 107.5, 120, 130, 140, 147.5, 152.5, 157.5, 162.5, 150, 137.5, 125, 115, 60, 80, 90, 97.5, 102.5, 105, 100, 92.5, 85)  # fmt: skip


def figures() -> list[Figure]:
    return [*_answers(), *_wide_stock(), *_greedy_misses(), *_order()]


def seconds(work: Callable[[], object], times: int = 5) -> float:
    """Seconds of one core: others may be busy on the same machine."""
    taken = []
    for _ in range(times):
        start = process_time()
        work()
        taken.append(process_time() - start)
    return median(taken)


def stock(pairs: dict[str, int], thickness_mm: int = 30) -> PlateSet:
    plates = tuple(Plate(mass=kg(size), pairs=n, thickness_mm=thickness_mm) for size, n in pairs.items())
    return PlateSet(bar=BAR, collar=kg("2.5"), plates=plates)


def _answers() -> list[Figure]:
    requests = [
        {"target": 60 + n / 4, "unit": "kg", "bar": 20, "collars": 2.5, "stock": USUAL} for n in range(400)
    ]
    ours = seconds(lambda: [answer(request) for request in requests]) / len(requests)
    counted = seconds(lambda: _every_total(stock(USUAL)), times=3)
    first = median(_first(replace(stock(USUAL), collar=kg(n))) for n in range(5))
    return [
        ("plates: requests a second", 1 / ours, "1/s", "each with a target of its own, one core"),
        ("plates: first question to a stock", 1000 * first, "ms", "7 sizes, 16 pairs, within the sleeve"),
        (
            "plates: counting out every loading, that = 1",
            counted / first,
            "×",
            "3,645 ways a side; three times as many with each size",
        ),
    ]


def _every_total(plate_set: PlateSet) -> dict[Decimal, tuple[int, ...]]:
    """The slow way: all combinations, the fewest plates of each total."""
    found: dict[Decimal, tuple[int, ...]] = {}
    for counts in product(*(range(plate.pairs + 1) for plate in plate_set.plates)):
        masses = zip(counts, plate_set.plates, strict=True)
        total = 25 + 2 * sum((n * plate.mass.value for n, plate in masses), Decimal())
        if total not in found or sum(counts) < sum(found[total]):
            found[total] = counts
    return found


def _wide_stock() -> list[Figure]:
    rng = Random(7)
    sizes = rng.sample([Decimal(n) / 4 for n in range(2, 200)], 40)
    wide = {str(size): rng.randint(1, 6) for size in sizes}
    without_sleeve = stock(wide, thickness_mm=0)
    return [
        (
            "plates: 40 sizes, first question",
            1000 * _first(without_sleeve),
            "ms",
            "all totals worked out; later questions read them",
        ),
        ("plates: 40 sizes within the sleeve", 1000 * _first(stock(wide)), "ms", "plates 30 mm thick"),
    ]


def _first(plate_set: PlateSet) -> float:
    start = process_time()
    totals = loads(plate_set)
    loading_for(plate_set, totals[len(totals) // 2])
    return process_time() - start


def _greedy_misses() -> list[Figure]:
    """How often the heaviest-first habit misses a load that can be made, or takes more plates."""
    rng = Random(11)
    missed, longer, all_loads = 0, 0, 0
    for _ in range(60):
        owned = {size: rng.randint(0, 2) for size in ("25", "20", "15", "10", "5", "2.5", "1.25")}
        plate_set = stock(owned)
        for target in loads(plate_set):
            best, habit = loading_for(plate_set, target), _greedy(plate_set, target)
            assert best is not None
            all_loads += 1
            missed += habit is None
            longer += habit is not None and len(habit) > len(best.per_side)
    return [
        (
            "plates: loads that the heaviest-first habit misses",
            100 * missed / all_loads,
            "%",
            "60 gyms with 0 to 2 pairs of each size",
        ),
        ("plates: loads for which it takes more plates", 100 * longer / all_loads, "%", "the same gyms"),
    ]


def _greedy(plate_set: PlateSet, target: Decimal) -> tuple[Plate, ...] | None:
    side = (target - 25) / 2
    taken: list[Plate] = []
    for plate in plate_set.plates:
        for _ in range(plate.pairs):
            if plate.mass.value <= side:
                side -= plate.mass.value
                taken.append(plate)
    return None if side else tuple(taken)


def _order() -> list[Figure]:
    plate_set = stock(TREE)
    return [
        *_order_of(plate_set, "usual session", USUAL_SESSION),
        *_order_of(plate_set, "25 loads, none twice", ALL_DIFFERENT),
    ]


def _order_of(plate_set: PlateSet, name: str, wanted: Sequence[float]) -> list[Figure]:
    targets = [max(load for load in loads(plate_set) if load <= target) for target in wanted]
    took = seconds(lambda: loading_order(plate_set, targets))
    ours = loading_order(plate_set, targets).moves
    scratch = [side for target in targets if (side := _greedy(plate_set, target)) is not None]
    fewest = [loading.per_side for target in targets if (loading := loading_for(plate_set, target))]
    anew = sum(len(before) + len(after) for before, after in pairwise([(), *scratch]))
    changed = sum(_moves(before, after) for before, after in pairwise([(), *fewest]))
    return [
        (f"loading order: {name}", 1000 * took, "ms", f"{len(wanted)} sets, 11 sizes, 22 pairs; exact"),
        (
            f"loading order: {name}, moves",
            ours / anew,
            "ratio",
            "loading each set from scratch, heaviest first = 1; aim 0.5",
        ),
        (
            f"loading order: {name}, moves",
            ours / changed,
            "ratio",
            "fewest plates each set, changed from one to the next = 1",
        ),
    ]


def _moves(before: Sequence[Plate], after: Sequence[Plate]) -> int:
    kept = 0
    while kept < min(len(before), len(after)) and before[kept] == after[kept]:
        kept += 1
    return len(before) + len(after) - 2 * kept
