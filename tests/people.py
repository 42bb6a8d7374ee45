"""The cast: who is who in the tests, and the iron they train with. All invented."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from floorward.actions import gyms, lifters
from floorward.storage.models import (
    BarRow,
    BlockRow,
    BoxRow,
    CollarRow,
    Gym,
    Lifter,
    PinsRow,
    PlateRow,
    Staff,
)

ABEL = {"born_year": 1991, "sex": "male", "stature_m": 1.76, "mass_kg": 85.0, "unit": "kg"}
INES = {"born_year": 1990, "sex": "female", "stature_m": 1.65, "mass_kg": 64.0}

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


def a_gym(name: str, now: datetime) -> Gym:
    """A gym in London that loads in kilograms, with nothing in it yet."""
    return gyms.open_gym(
        name=name, country="GB", emergency_number="", time_zone="Europe/London", unit="kg", now=now
    )


def a_lifter(gym: Gym, coach: Staff | None, now: datetime, name: str, **about: Any) -> Lifter:
    """Somebody of Abel's build, or another, who has agreed that answers are kept, and shared with a clinician."""
    row = lifters.add_lifter(gym, coach=coach, now=now, name=name, **(about or ABEL))
    lifters.record_consent(
        row, given_by="lifter", guardian_name="", share_with_clinician=True, by=coach, now=now
    )
    return row


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
