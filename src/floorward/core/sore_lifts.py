"""Which lifts load what is sore, which it leaves alone, and which are found anew beside a lift that hurt.

What a lift that is not modelled loads stands in tables/other_lifts.toml. Every lift of the catalogue loads the low back, the hip and the
knee; those in tables/arms.toml load a shoulder or an elbow too.
"""

from collections.abc import Collection
from dataclasses import dataclass

from floorward.core.lifts import Family, catalogue
from floorward.core.records import ARM_REGIONS, Region
from floorward.tables import load, value


@dataclass(frozen=True, slots=True, kw_only=True)
class Sore:
    """What hurts: each open episode as its region and the lift in which it did; whether an arm is locked."""

    spells: frozenset[tuple[str, str]]
    arm_locked: bool = False


def is_unaffected(lift: str, sore: Sore) -> bool:
    """Whether what is sore leaves this lift alone; with nothing sore every lift is.

    A lift that hurt is not; nor one of its family where the tables did not expect it to: a pull that hurt an elbow, say. While an arm is
    locked nothing hangs from the hands either.
    """
    if sore.arm_locked and lift in catalogue() and catalogue()[lift].hands:
        return False
    return all(_spares(lift, region, hurt) for region, hurt in sore.spells)


def loads_any(lift: str, regions: Collection[str]) -> bool:
    """Whether the tables say that `lift` loads one of `regions`."""
    other = load("other_lifts").get(lift)
    return any(region in (other["value"] if other else _of_the_catalogue(lift)) for region in regions)


def presses() -> tuple[str, ...]:
    """Every press with a bar, in the order of the table."""
    return tuple(lift for lift, row in load("other_lifts").items() if row.get("family") == "press")


def goes_by_pain(region: str, lift: str) -> bool:
    """Whether the region is an arm's, or the lift one that mechanics say nothing of."""
    known = catalogue().get(lift)
    return region in ARM_REGIONS or known is None or not known.modelled


def kin_of(region: str, lift: str) -> tuple[str, ...]:
    """Lifts that are found anew beside a sore one: presses beside a press, its own kind where it hurt an arm, else squats."""
    known = catalogue().get(lift)
    if lift in presses() or (region in ARM_REGIONS and known is None):
        return presses()
    family = known.family if known and region in ARM_REGIONS else Family.SQUAT
    return tuple(key for key, row in catalogue().items() if row.family is family)


def _spares(lift: str, region: str, hurt: str) -> bool:
    unexpected = not loads_any(hurt, (region,))
    if lift == hurt or (unexpected and _family(lift) == _family(hurt)):
        return False
    return not loads_any(lift, (region,))


def _family(lift: str) -> str:
    known = catalogue().get(lift)
    return str(known.family) if known else str(load("other_lifts").get(lift, {}).get("family", lift))


def _of_the_catalogue(lift: str) -> list[str]:
    return [*map(str, Region), *(region for region in ARM_REGIONS if lift in value("arms", region))]
