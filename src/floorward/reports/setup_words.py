"""What a set-up is called beside others: the lift, and where it starts."""

from decimal import Decimal

from floorward.core.lifts import Fixes, Lift, catalogue
from floorward.core.records import BarKind, SetUp
from floorward.reports.wording import lift_name, sentence_for
from floorward.units import plain


def setup_name(setup: SetUp, rise_mm: int, *, from_height: bool, inside: bool = False) -> str:
    """Such as "Deadlift, +10 cm", "Box squat, 40 cm box" or "High-bar squat, 20° above level".

    Args:
        setup: the set-up.
        rise_mm: how much higher than in full it starts.
        from_height: whether the lift is pulled from rest, so that its start may be raised.
        inside: as it stands inside a sentence.
    """
    name, lift = lift_name(setup.lift), catalogue()[setup.lift]
    name = name if inside else name[:1].upper() + name[1:]
    code = _code(setup, lift, rise_mm, from_height=from_height)
    if not code:
        return name
    numbers = {"lift": name, "cm": _cm(setup.box_mm or rise_mm), "deg": abs(setup.depth_deg)}
    return sentence_for(f"{code}-inside" if inside else code, numbers)


def _code(setup: SetUp, lift: Lift, rise_mm: int, *, from_height: bool) -> str:
    if lift.fixes is Fixes.BOX:
        return "setup-box"
    if setup.depth_deg:
        return "setup-above" if setup.depth_deg > 0 else "setup-below"
    if rise_mm > 0:
        return "setup-raised"
    return "setup-floor" if from_height and lift.implement != BarKind.TRAP else ""


def _cm(millimetres: int) -> str:
    return plain(Decimal(millimetres) / 10)
