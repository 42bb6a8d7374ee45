"""What to put on and take off through a whole session, so that as few plates as possible are carried.

The fewest plates for each load are not the fewest moves for all of them: two tens that stay on may save a twenty that goes on and
off. A side is a stack, the heaviest plate inside, and a change costs every plate down to where the old and the new stack part.
The cheapest way through all loads is a shortest path from stack to stack: exact, by moves first and by mass moved second.

Method: docs/science/plates.md.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import accumulate, groupby
from operator import itemgetter

from floorward import tables
from floorward.core.findings import Finding
from floorward.core.heights import is_full_height
from floorward.core.plates import Change, Loading, change, common_step, in_order, loads, sleeve_room_mm
from floorward.core.records import Plate, PlateSet, Region
from floorward.errors import ContractError
from floorward.units import to_kg

NEVER = 2**80
ONE_MOVE = 2**48  # outweighs all the mass of a session, so that moves always count first


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadingStep:
    """One set's loading and how to come to it, alike on each side."""

    loading: Loading
    change: Change


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadingOrder:
    """The loadings of a session on one bar. What is on it last stays on."""

    steps: tuple[LoadingStep, ...]

    @property
    def moves(self) -> int:
        """Plates put on or taken off one side."""
        return sum(len(step.change.off) + len(step.change.on) for step in self.steps)

    @property
    def moved_kg(self) -> float:
        """Mass put on or taken off one side."""
        return sum(to_kg(plate.mass) for step in self.steps for plate in step.change.off + step.change.on)


def loading_order(
    plate_set: PlateSet,
    targets: Sequence[Decimal],
    *,
    start: Loading | None = None,
    keep_height: bool = False,
) -> LoadingOrder:
    """The loadings for `targets` in their order, with the fewest moves and, of these, the least mass moved.

    Args:
        plate_set: the bar and what may go on it; leave out what stands on another bar (`plates.left_over`).
        targets: the loads of warm-ups, tests and sets, each of them one of `loads(plate_set)`.
        start: what is on the bar before, of the same set; nothing by default.
        keep_height: whether each load should have a plate of full height wherever it can, as pulls from the floor want.

    Raises:
        ContractError: if a target cannot be made, or `start` is not of the set.
    """
    if not set(targets) <= set(loads(plate_set)):
        raise ContractError("a load that cannot be made has no place in a loading order")
    if start and not set(start.per_side) <= set(plate_set.plates):
        raise ContractError("what stands on the bar is not of this plate set")
    stock = _stock(plate_set)
    legs, sets = [_start(stock, start)], []
    for target, same in groupby(targets):
        leg = _leg(legs[-1], stock.side_of(target), keep_height=keep_height)
        legs.append(leg if leg.came_from else _leg(legs[-1], stock.side_of(target), keep_height=False))
        sets.append(len(list(same)))
    stacks = zip(_cheapest(legs)[1:], sets, strict=True)
    # Between sets of one load nothing is moved: by any other way the plates would have to come back.
    sides = [stack.plates() for stack, count in stacks for _ in range(count)]
    return LoadingOrder(steps=tuple(_steps(plate_set, start, sides)))


def someone_else_loads(change: Change, region: str | None) -> tuple[Plate, ...]:
    """The plates of a change that someone else should carry: the heavy ones, while the lifter's low back is sore."""
    if region != Region.LOW_BACK:
        return ()
    heavy_kg = tables.value("equipment", "carried_by_others_from")
    return tuple(plate for plate in change.off + change.on if to_kg(plate.mass) >= heavy_kg)


def remarks(order: LoadingOrder, region: str | None) -> tuple[Finding, ...]:
    """What to say with an order to a lifter whose `region` is sore."""
    masses = {plate.mass for step in order.steps for plate in someone_else_loads(step.change, region)}
    if not masses:
        return ()
    plates = ", ".join(str(mass) for mass in sorted(masses, reverse=True))
    return Finding(code="someone-else-loads", numbers={"plates": plates}), Finding(code="plates-at-waist")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Size:
    """A size of plate, its mass in whole steps. `within[n]`: the sides that n of it and all lighter plates can make, as bits."""

    plate: Plate
    mass: int
    within: tuple[int, ...]
    full_height: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stock:
    """A plate set in whole steps of mass."""

    sizes: tuple[_Size, ...]
    room_mm: int
    bare: Decimal
    step: Decimal

    def side_of(self, target: Decimal) -> int:
        """One side of a target, in steps."""
        return int((target - self.bare) / 2 / self.step) if self.sizes else 0


@dataclass(slots=True, kw_only=True, eq=False)
class _Stack:
    """A side: `inner` and one more plate outside it. The same plates are always the same object, so stacks form a tree.

    Attributes:
        place: of the outermost size; no heavier one may follow.
        left: how many more of that size there are.
        side: mass in steps.
        cost: of putting all of it on, or taking all of it off.
    """

    stock: _Stock
    inner: "_Stack | None" = None
    place: int = 0
    left: int
    side: int = 0
    room_mm: int
    cost: int = 0
    full_height: bool = False
    outer: dict[int, "_Stack"] = field(default_factory=dict)

    def with_plate(self, place: int) -> "_Stack":
        """This stack and, outside it, a plate of the size at `place`."""
        if place not in self.outer:
            size = self.stock.sizes[place]
            self.outer[place] = _Stack(
                stock=self.stock,
                inner=self,
                place=place,
                left=(self.left if place == self.place else size.plate.pairs) - 1,
                side=self.side + size.mass,
                room_mm=self.room_mm - size.plate.thickness_mm,
                cost=self.cost + ONE_MOVE + size.mass,
                full_height=self.full_height or size.full_height,
            )
        return self.outer[place]

    def toward(self, side: int) -> Iterator["_Stack"]:
        """The stacks with one more plate from which `side` may still be reached, the heaviest plate first."""
        for place, size in enumerate(self.stock.sizes[self.place :], self.place):
            left = self.left if place == self.place else size.plate.pairs
            missing = side - self.side - size.mass
            if left and missing >= 0 and size.within[left - 1] >> missing & 1:
                taller = self.with_plate(place)
                if taller.room_mm >= 0:
                    yield taller

    def plates(self) -> tuple[Plate, ...]:
        """From the inside out."""
        return (*self.inner.plates(), self.stock.sizes[self.place].plate) if self.inner else ()


# A cost, and the stack that it leads to or comes from.
_Way = tuple[int, _Stack]
_by_cost = itemgetter(0)


@dataclass(slots=True, kw_only=True)
class _Leg:
    """What is known once a load is on the bar.

    Attributes:
        came_from: each stack that makes the load → the cost so far, and the stack before it.
        through: each inner part of such a stack → the least cost so far and of then stripping the bar, and the stack.
    """

    bare: _Stack
    came_from: dict[_Stack, _Way] = field(default_factory=dict)
    through: dict[_Stack, _Way] = field(default_factory=dict)


def _leg(before: _Leg, side: int, *, keep_height: bool) -> _Leg:
    """All ways to come from the leg before to a stack of `side`; none where height cannot be kept.

    To come from one stack to another, the one is stripped down to an inner part of both, and the other built up from there.
    Stripping it altogether costs as much more as the part weighs, so one number a part tells the best stack to come from.
    """
    leg = _Leg(bare=before.bare)
    no_way = (NEVER, before.bare)

    def search(stack: _Stack, way: _Way) -> _Way:
        """The cheapest stack of `side` around this one, given the best way to an inner part of it."""
        if stack in before.through:
            stripped, source = before.through[stack]
            way = min(way, (stripped - 2 * stack.cost, source), key=_by_cost)
        if stack.side < side:
            found = min((search(taller, way) for taller in stack.toward(side)), default=no_way, key=_by_cost)
        elif stack.full_height or not keep_height:
            leg.came_from[stack] = (way[0] + stack.cost, way[1])
            found = (way[0] + 2 * stack.cost, stack)
        else:
            found = no_way
        if found is not no_way:
            leg.through[stack] = found
        return found

    search(before.bare, no_way)
    return leg


def _start(stock: _Stock, start: Loading | None) -> _Leg:
    """What is known before the first load: the stack that stands on the bar already."""
    left = stock.sizes[0].plate.pairs if stock.sizes else 0
    places = {size.plate: place for place, size in enumerate(stock.sizes)}
    parts = [_Stack(stock=stock, left=left, room_mm=stock.room_mm)]
    for plate in start.per_side if start else ():
        parts.append(parts[-1].with_plate(places[plate]))
    bare, stack = parts[0], parts[-1]
    return _Leg(bare=bare, came_from={stack: (0, bare)}, through=dict.fromkeys(parts, (stack.cost, stack)))


def _cheapest(legs: Sequence[_Leg]) -> list[_Stack]:
    """The stacks of the cheapest way, one for each leg, followed back from its end."""
    stack = min(legs[-1].came_from, key=lambda stack: legs[-1].came_from[stack][0])
    stacks = [stack]
    for leg in reversed(legs[1:]):
        _, stack = leg.came_from[stack]
        stacks.append(stack)
    return stacks[::-1]


def _steps(
    plate_set: PlateSet, before: Loading | None, sides: Iterable[tuple[Plate, ...]]
) -> Iterator[LoadingStep]:
    for side in sides:
        loading = Loading(plate_set=plate_set, per_side=side)
        yield LoadingStep(loading=loading, change=change(before, loading))
        before = loading


def _stock(plate_set: PlateSet) -> _Stock:
    plates = in_order(plate_set)
    step = common_step(plates)
    sizes: list[_Size] = []
    sides = 1
    for plate in reversed(plates):
        mass = int(plate.mass.value / step)
        within = _within(mass, plate.pairs, sides)
        sizes.append(
            _Size(plate=plate, mass=mass, within=within, full_height=is_full_height(plate.diameter_mm))
        )
        sides = within[-1]
    return _Stock(
        sizes=tuple(reversed(sizes)), room_mm=sleeve_room_mm(plate_set), bare=loads(plate_set)[0], step=step
    )


def _within(mass: int, pairs: int, lighter: int) -> tuple[int, ...]:
    """The sides made of nought to `pairs` plates of one mass on top of the `lighter` sides, as bits."""
    return tuple(accumulate(range(pairs), lambda made, _: lighter | made << mass, initial=lighter))
