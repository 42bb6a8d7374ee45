"""The iron of two invented gyms, and stocks of any kind, for every test that loads a bar."""

from decimal import Decimal
from itertools import product

from hypothesis import strategies as st

from floorward.core.plates import Loading, sleeve_room_mm
from floorward.core.records import Bar, BarKind, Block, Box, Collar, Equipment, Plate, PlateSet, RackPins
from floorward.units import Mass, Unit, kg, lb

BAR_20 = Bar(name="bar 20", kind=BarKind.STRAIGHT, mass=kg(20))
BAR_45 = Bar(name="bar 45", kind=BarKind.STRAIGHT, mass=lb(45))
HEX_60 = Bar(name="hex 60", kind=BarKind.TRAP, mass=lb(60), handle_rise_mm=(0, 115))


def plates(unit: Unit, stock: str, thickness_mm: int = 20) -> tuple[Plate, ...]:
    """`25:4,20:2` as plates: those of 10 kg or 45 lb and up stand 450 mm high, lighter ones 230."""
    full = 10 if unit == Unit.KG else 45
    pairs = (item.split(":") for item in stock.split(","))
    return tuple(
        Plate(
            mass=Mass(Decimal(size), unit),
            pairs=int(count),
            diameter_mm=450 if Decimal(size) >= full else 230,
            thickness_mm=thickness_mm,
        )
        for size, count in pairs
    )


KG_GYM = PlateSet(
    bar=BAR_20, collar=kg("2.5"), plates=plates(Unit.KG, "25:4,20:2,15:1,10:2,5:2,2.5:1,1.25:1")
)
LB_GYM = PlateSet(bar=BAR_45, collar=lb(0), plates=plates(Unit.LB, "45:4,35:1,25:1,10:2,5:1,2.5:1"))
HEX_GYM = PlateSet(bar=HEX_60, collar=lb(0), plates=LB_GYM.plates)

SIZES = ("50", "25", "20", "15", "12.5", "10", "5", "2.5", "2", "1.25", "0.5", "0.25")

stocks = st.builds(
    lambda bar, collar, owned: PlateSet(bar=bar, collar=kg(collar), plates=tuple(owned)),
    bar=st.builds(
        lambda sleeve_mm: Bar(name="any", kind=BarKind.STRAIGHT, mass=kg(20), sleeve_mm=sleeve_mm),
        st.sampled_from((0, 60, 130, 415)),
    ),
    collar=st.sampled_from(("0", "2.5", "0.2")),
    owned=st.lists(
        st.builds(
            Plate,
            mass=st.sampled_from(SIZES).map(kg),
            pairs=st.integers(0, 3),
            diameter_mm=st.sampled_from((200, 450)),
            thickness_mm=st.sampled_from((0, 10, 25, 60)),
        ),
        max_size=5,
        unique_by=lambda plate: (plate.mass, plate.diameter_mm),
    ),
)


def every_loading(plate_set: PlateSet) -> list[Loading]:
    """All of them, one by one: slow, and too simple to be wrong."""
    sizes = sorted(plate_set.plates, key=lambda plate: (-plate.mass.value, -plate.diameter_mm))
    room_mm = sleeve_room_mm(plate_set)
    sides = (
        tuple(size for size, n in zip(sizes, counts, strict=True) for _ in range(n))
        for counts in product(*(range(size.pairs + 1) for size in sizes))
    )
    return [
        Loading(plate_set=plate_set, per_side=side)
        for side in sides
        if sum(plate.thickness_mm for plate in side) <= room_mm
    ]


GYM = Equipment(
    bars=(BAR_20, BAR_45, HEX_60),
    plates=KG_GYM.plates + LB_GYM.plates,
    collars=(Collar(mass=kg("2.5")),),
    blocks=(
        Block(name="mat", thickness_mm=Decimal(20), pairs=3),
        Block(name="block 50", thickness_mm=Decimal(50), pairs=1),
        Block(name="block 100", thickness_mm=Decimal(100), pairs=2),
    ),
    pins=(RackPins(first_mm=200, spacing_mm=50, holes=6),),
    boxes=(Box(name="box", height_mm=400),),
)
