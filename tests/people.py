"""The cast: who is who in the tests, and the iron they train with. All invented."""

from decimal import Decimal

from floorward.storage.models import BarRow, BlockRow, BoxRow, CollarRow, Gym, PinsRow, PlateRow

KG_PLATES = (
    (25, 4, 450),
    (20, 2, 450),
    (15, 2, 450),
    (10, 2, 450),
    (5, 2, 230),
    ("2.5", 2, 200),
    ("1.25", 2, 170),
)
LB_PLATES = ((45, 4, 450), (35, 1, 360), (25, 2, 280), (10, 2, 230), (5, 2, 200), ("2.5", 2, 160))


def iron(gym: Gym) -> None:
    """What a small gym owns: kilograms for the straight and trap bars, pounds for the second bar."""
    BarRow.objects.create(gym=gym, name="Bar 1", kind="straight", mass=Decimal(20), unit="kg")
    BarRow.objects.create(
        gym=gym,
        name="Trap bar",
        kind="trap",
        mass=Decimal(25),
        unit="kg",
        handle_low_mm=0,
        handle_high_mm=120,
    )
    BarRow.objects.create(gym=gym, name="Pound bar", kind="straight", mass=Decimal(45), unit="lb")
    for mass, pairs, diameter in KG_PLATES:
        PlateRow.objects.create(gym=gym, mass=Decimal(mass), unit="kg", pairs=pairs, diameter_mm=diameter)
    for mass, pairs, diameter in LB_PLATES:
        PlateRow.objects.create(gym=gym, mass=Decimal(mass), unit="lb", pairs=pairs, diameter_mm=diameter)
    CollarRow.objects.create(gym=gym, mass=Decimal("2.5"), unit="kg")
    for thickness, pairs in ((20, 2), (50, 2), (100, 2)):
        BlockRow.objects.create(
            gym=gym, name=f"{thickness // 10} cm block", thickness_mm=thickness, pairs=pairs
        )
    PinsRow.objects.create(gym=gym, first_mm=300, spacing_mm=50, holes=20)
    BoxRow.objects.create(gym=gym, name="Box", height_mm=400)
