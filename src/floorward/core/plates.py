"""What goes on the bar: the loads that a gym's plates can make, exactly, and the fewest plates that make each.

A load is the bar, its two collars and the same plates on either side. Taking the heaviest plate that fits, then the next, is
what hands do, and with few pairs it misses loads that can be made: with a 25, a 20 and a 10 for each side it stops at 25 on the
way to 30, which is 20 and 10. So every side that stock and sleeve allow is worked out once, and each question is read from that.

Method: docs/science/plates.md.
"""

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache, reduce
from itertools import takewhile

from floorward import tables
from floorward.core.records import Bar, BarKind, Equipment, Plate, PlateSet
from floorward.errors import ContractError
from floorward.units import Mass

MOST_SIDES = 2**30  # bits, so that a stock worked out fits in some tens of megabytes

# (plates, millimetres of sleeve) → the sides made with just these, bit n standing for n steps of mass.
_Reach = dict[tuple[int, int], int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Loading:
    """A loaded bar: `per_side` is one side, from the inside out, the heaviest first."""

    plate_set: PlateSet
    per_side: tuple[Plate, ...] = ()

    @property
    def total(self) -> Mass:
        """Bar, both collars and both sides."""
        side = sum((plate.mass.value for plate in self.per_side), Decimal())
        return Mass(_bare(self.plate_set) + 2 * side, self.plate_set.unit)

    @property
    def largest_diameter_mm(self) -> int:
        """Of the plates on the bar, on which it rests; 0 with no plates."""
        return max((plate.diameter_mm for plate in self.per_side), default=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Neighbours:
    """The heaviest loading at or under a target and the lightest at or over it; None where there is none."""

    below: Loading | None
    above: Loading | None

    @property
    def exact(self) -> bool:
        """Whether the target itself can be made."""
        return self.below is not None and self.below == self.above


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What one side needs to become another: `off` in the order it comes off, then `on` in the order it goes on."""

    off: tuple[Plate, ...]
    on: tuple[Plate, ...]


def plate_set_for(equipment: Equipment, bar: Bar) -> PlateSet:
    """`bar` with the gym's first collars and all its plates of the bar's unit."""
    unit = bar.mass.unit
    collars = (collar.mass for collar in equipment.collars if collar.mass.unit == unit)
    plates = tuple(plate for plate in equipment.plates if plate.mass.unit == unit)
    return PlateSet(bar=bar, collar=next(collars, Mass(Decimal(), unit)), plates=plates)


def bars_for(equipment: Equipment, target: Mass, kind: BarKind = BarKind.STRAIGHT) -> tuple[Bar, ...]:
    """The bars of a kind that are not heavier than `target` by themselves, the heaviest first. None: a dowel, or no load."""
    light = (bar for bar in equipment.bars if bar.kind == kind and bar.mass <= target)
    return tuple(sorted(light, key=lambda bar: bar.mass, reverse=True))


def in_order(plate_set: PlateSet) -> tuple[Plate, ...]:
    """The plates that are owned, in the order in which they go on: the heaviest first, of equal masses the widest.

    Raises:
        ContractError: if a plate or collar is of another unit than the bar, or a plate weighs nothing.
    """
    for mass in (plate_set.collar, *(plate.mass for plate in plate_set.plates)):
        if mass.unit != plate_set.unit:
            raise ContractError(f"{mass} does not belong on a bar of {plate_set.bar.mass}")
    if any(plate.mass.value <= 0 for plate in plate_set.plates):
        raise ContractError("a plate must weigh something")
    owned = (plate for plate in plate_set.plates if plate.pairs > 0)
    return tuple(sorted(owned, key=lambda plate: (-plate.mass.value, -plate.diameter_mm, plate.thickness_mm)))


def loads(plate_set: PlateSet) -> tuple[Decimal, ...]:
    """Every total that can be made, ascending, in the unit of the set; the bare bar is the first.

    Raises:
        ContractError: if a plate or collar is of another unit than the bar, or a plate weighs nothing.
    """
    return _shelf(plate_set).totals


def loading_for(plate_set: PlateSet, target: Decimal) -> Loading | None:
    """The loading of exactly `target` with the fewest plates, or None if it cannot be made.

    Of two with as few plates, the one with the heavier plate where they first differ; of equal masses the wider plate, which
    keeps the bar at its height.
    """
    shelf = _shelf(plate_set)
    return _loading(plate_set, shelf, target) if target in shelf.side_of else None


def neighbours(plate_set: PlateSet, target: Decimal) -> Neighbours:
    """What can be made at or just under `target`, and at or just over it: the same loading when it is exact."""
    return _neighbours(plate_set, _shelf(plate_set), target)


def nearest(plate_set: PlateSet, target: Decimal) -> Neighbours:
    """The neighbours of one target in a stock that is asked but once: only as much of it is worked out as the target needs.

    Plates taken off a heavier side one by one pass the target by less than the heaviest, so nothing beyond that is needed.
    """
    return _neighbours(plate_set, _work_out(plate_set, _side_needed(plate_set, target)), target)


def loading_of(plate_set: PlateSet, side: Iterable[Decimal]) -> Loading | None:
    """The bar with plates of these masses on each side, from the inside out; None where the gym has no such plate."""
    sizes = {plate.mass.value: plate for plate in reversed(in_order(plate_set))}
    plates = [sizes.get(mass) for mass in side]
    found = tuple(plate for plate in plates if plate is not None)
    return Loading(plate_set=plate_set, per_side=found) if len(found) == len(plates) else None


def change(before: Loading | None, after: Loading) -> Change:
    """What to take off and put on, each side, to come from `before` to `after`; from a bare bar when None.

    Plates come off from the outside, so whatever stands outside a plate that goes must come off with it.
    """
    old, new = before.per_side if before else (), after.per_side
    kept = sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(old, new, strict=False)))
    return Change(off=tuple(reversed(old[kept:])), on=new[kept:])


def workable(plate_set: PlateSet, target: Decimal | None = None) -> bool:
    """Whether a stock, or as much of it as `target` needs, is small enough and its step coarse enough to be worked out."""
    most, sizes = _side_needed(plate_set, target), in_order(plate_set)
    plates = sum(_pairs_within(most, size) for size in sizes)
    return len(sizes) * plates * most <= MOST_SIDES * common_step(sizes)


def left_over(plate_set: PlateSet, used: Iterable[Plate]) -> PlateSet:
    """The set without the plates that stand on one side of another bar; those must be its own."""
    taken = Counter(used)
    plates = tuple(replace(plate, pairs=plate.pairs - taken[plate]) for plate in plate_set.plates)
    return replace(plate_set, plates=plates)


def common_step(plates: tuple[Plate, ...]) -> Decimal:
    """The largest mass of which every plate is a whole multiple, in their unit; 0 without plates."""
    return reduce(_common_divisor, (plate.mass.value for plate in plates), Decimal())


def sleeve_room_mm(plate_set: PlateSet) -> int:
    """How much of each sleeve is left to plates once the collar is on."""
    collar = tables.value("equipment", "collar_width") if plate_set.collar.value else 0
    return max(plate_set.bar.sleeve_mm - int(collar), 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shelf:
    """A stock worked out. `reach[i]` is what `sizes[i:]` can make, so the last is the bare sleeve."""

    sizes: tuple[Plate, ...]
    steps: tuple[int, ...]
    reach: tuple[_Reach, ...]
    room_mm: int
    totals: tuple[Decimal, ...]
    side_of: dict[Decimal, int]


@lru_cache(maxsize=64)
def _shelf(plate_set: PlateSet) -> _Shelf:
    return _work_out(plate_set, _side_needed(plate_set, None))


def _work_out(plate_set: PlateSet, most: Decimal) -> _Shelf:
    """All sides of up to `most`."""
    sizes = in_order(plate_set)
    step = common_step(sizes)
    steps = tuple(int(size.mass.value / step) for size in sizes)
    room_mm = sleeve_room_mm(plate_set)
    allowed = (1 << int(most / step) + 1) - 1 if sizes else 1
    reach: list[_Reach] = [{(0, 0): 1}]
    for size, mass in zip(reversed(sizes), reversed(steps), strict=True):
        pairs = _pairs_within(most, size)
        reach.append(_with_up_to(pairs, mass, size.thickness_mm, reach[-1], room_mm, allowed))
    made = reduce(int.__or__, reach[-1].values())
    side_of = {_bare(plate_set) + 2 * step * side: side for side in _set_bits(made)}
    return _Shelf(
        sizes=sizes,
        steps=steps,
        reach=tuple(reversed(reach)),
        room_mm=room_mm,
        totals=tuple(side_of),
        side_of=side_of,
    )


def _side_needed(plate_set: PlateSet, target: Decimal | None) -> Decimal:
    """The heaviest side that matters: all that is owned, or just beyond what `target` needs."""
    sizes = in_order(plate_set)
    whole = sum((size.pairs * size.mass.value for size in sizes), Decimal())
    if target is None or not sizes:
        return whole
    return min(max(target - _bare(plate_set), Decimal()) / 2 + sizes[0].mass.value, whole)


def _pairs_within(most: Decimal, size: Plate) -> int:
    return min(size.pairs, int(most // size.mass.value))


def _loading(plate_set: PlateSet, shelf: _Shelf, target: Decimal) -> Loading:
    return Loading(plate_set=plate_set, per_side=tuple(_fewest(shelf, shelf.side_of[target])))


def _neighbours(plate_set: PlateSet, shelf: _Shelf, target: Decimal) -> Neighbours:
    under, over = bisect_right(shelf.totals, target) - 1, bisect_left(shelf.totals, target)
    below = _loading(plate_set, shelf, shelf.totals[under]) if under >= 0 else None
    if under == over:
        return Neighbours(below=below, above=below)
    above = _loading(plate_set, shelf, shelf.totals[over]) if over < len(shelf.totals) else None
    return Neighbours(below=below, above=above)


def _with_up_to(
    pairs: int, mass: int, thickness_mm: int, reach: _Reach, room_mm: int, allowed: int
) -> _Reach:
    """`reach` with nought to `pairs` more plates of one size, as far as room and the `allowed` sides go.

    "Up to n" followed by "up to m, or n + 1 at once" is "up to n + m", however the two overlap: so the number doubles.
    """
    added = 0
    while added < pairs:
        more = min(added + 1, pairs - added)
        grown = dict(reach)
        for (plates, used_mm), sides in reach.items():
            key = (plates + more, used_mm + more * thickness_mm)
            heavier = sides << more * mass & allowed
            if heavier and key[1] <= room_mm:
                grown[key] = grown.get(key, 0) | heavier
        reach, added = grown, added + more
    return reach


def _fewest(shelf: _Shelf, side: int) -> Iterator[Plate]:
    """The plates of one side: as many of each size in turn as the sizes after it can still finish."""
    plates = min(count for (count, _), sides in shelf.reach[0].items() if sides >> side & 1)
    room_mm = shelf.room_mm
    for size, mass, rest in zip(shelf.sizes, shelf.steps, shelf.reach[1:], strict=True):
        most = min(size.pairs, plates, side // mass)
        taken = next(
            n
            for n in range(most, -1, -1)
            if _finishes(rest, side - n * mass, plates - n, room_mm - n * size.thickness_mm)
        )
        yield from [size] * taken
        side, plates, room_mm = side - taken * mass, plates - taken, room_mm - taken * size.thickness_mm


def _finishes(reach: _Reach, side: int, plates: int, room_mm: int) -> bool:
    return any(reach.get((plates, used_mm), 0) >> side & 1 for used_mm in range(room_mm + 1))


def _set_bits(number: int) -> list[int]:
    return [place for place, bit in enumerate(reversed(f"{number:b}")) if bit == "1"]


def _bare(plate_set: PlateSet) -> Decimal:
    return plate_set.bar.mass.value + 2 * plate_set.collar.value


def _common_divisor(a: Decimal, b: Decimal) -> Decimal:
    while b:
        a, b = b, a % b
    return a
