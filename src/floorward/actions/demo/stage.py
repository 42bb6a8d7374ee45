"""The demo's gym: what it owns and who works there. All invented."""

from datetime import datetime
from decimal import Decimal

from floorward.actions import gyms, iron
from floorward.storage.models import Gym, Staff

BARS = (
    {"name": "Bar 1", "kind": "straight", "mass": "20", "unit": "kg"},
    {"name": "Bar 2", "kind": "straight", "mass": "15", "unit": "kg"},
    {"name": "Trap bar", "kind": "trap", "mass": "25", "unit": "kg", "handle_high_mm": 120},
    {"name": "Yoke bar", "kind": "safety-squat", "mass": "30", "unit": "kg"},
    {"name": "Pound bar", "kind": "straight", "mass": "45", "unit": "lb"},
)
KG = (
    (25, 6, 450, 27),
    (20, 4, 450, 24),
    (15, 2, 450, 21),
    (10, 4, 450, 30),
    (5, 3, 228, 22),
    ("2.5", 3, 190, 18),
    ("1.25", 2, 160, 14),
)
LB = ((45, 4, 450, 32), (25, 2, 280, 28), (10, 2, 230, 24), (5, 2, 200, 20), ("2.5", 2, 165, 16))
BLOCKS = (("2 cm mat", 20, 2), ("5 cm block", 50, 2), ("10 cm block", 100, 2))


def build(now: datetime) -> tuple[Staff, tuple[Staff, Staff]]:
    """The gym with its iron; returns the owner and everybody who coaches."""
    gym = gyms.open_gym(
        name="Under the Viaduct",
        country="GB",
        emergency_number="",
        time_zone="Europe/London",
        unit="kg",
        now=now,
        is_demo=True,
    )
    equip(gym)
    owner = gyms.add_staff(gym, name="Wren Aldous", sign_in_name="wren", role=Staff.Role.OWNER, password=None)
    coach = gyms.add_staff(
        gym, name="Jonah Bexley", sign_in_name="jonah", role=Staff.Role.COACH, password=None
    )
    return owner, (owner, coach)


def equip(gym: Gym) -> None:
    """The gym's iron and wood."""
    for bar in BARS:
        iron.add(gym, "bars", {**bar, "mass": Decimal(str(bar["mass"]))})
    for unit, sizes in (("kg", KG), ("lb", LB)):
        for mass, pairs, diameter_mm, thickness_mm in sizes:
            size = {
                "mass": Decimal(mass),
                "unit": unit,
                "pairs": pairs,
                "diameter_mm": diameter_mm,
                "thickness_mm": thickness_mm,
            }
            iron.add(gym, "plates", size)
    for name, thickness_mm, pairs in BLOCKS:
        iron.add(gym, "blocks", {"name": name, "thickness_mm": Decimal(thickness_mm), "pairs": pairs})
    iron.add(gym, "collars", {"mass": Decimal("2.5"), "unit": "kg"})
    iron.add(gym, "pins", {"first_mm": 300, "spacing_mm": 50, "holes": 20})
    iron.add(gym, "boxes", {"name": "Low box", "height_mm": 350})
