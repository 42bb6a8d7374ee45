"""Knee and trunk angles that a coach measured at a start: written down, looked through, taken back; they rule over the model."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from floorward.actions.buildable import Built, all_built, built_at
from floorward.actions.read_off import usual_load
from floorward.actions.rigging import stock_of, usual_bar
from floorward.core.demand import Demand, Unreachable, demand_of
from floorward.core.findings import Finding, Weight
from floorward.core.records import Measured, Person, SetUp
from floorward.core.tasks import measured_setup, rules_at
from floorward.errors import Refused
from floorward.reports.wording import lift_name, word
from floorward.storage import reads
from floorward.storage.models import Lifter, MeasuredStart, Staff
from floorward.storage.place import atomic
from floorward.tables import value
from floorward.units import to_kg


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredView:
    """One start that was measured: the row, and what the set-up is called."""

    row: MeasuredStart
    name: str

    @property
    def angles(self) -> Measured:
        """The angles."""
        return reads.measured(self.row)


def measured_of(lifter: Lifter) -> tuple[MeasuredView, ...]:
    """Every start that was measured of a lifter."""
    rows = tuple(lifter.measured_starts.all())
    return tuple(
        MeasuredView(row=row, name=_name(lifter, measured_setup(reads.measured(row)))) for row in rows
    )


def measured_in(lifter: Lifter, setups: Iterable[SetUp]) -> tuple[MeasuredView, ...]:
    """The starts that were measured and that rule in one of `setups`."""
    asked = tuple(setups)
    return tuple(view for view in measured_of(lifter) if any(rules_at(view.angles, setup) for setup in asked))


def measurable(lifter: Lifter) -> tuple[Built, ...]:
    """The set-ups that this gym can build for a lifter, the first of which are pulls from the floor."""
    return all_built(lifter, stock_of(lifter.gym))


def angle_findings(
    lifter: Lifter, setup: SetUp, knee_deg: float | None, trunk_deg: float | None
) -> tuple[Finding, ...]:
    """What is to be said about angles before they are kept: nothing measured, out of reach, or far from what is likely."""
    if knee_deg is None and trunk_deg is None:
        return (Finding(code="angles-none", field="knee_deg", weight=Weight.REFUSE),)
    person, load_kg = reads.person(lifter), to_kg(usual_load(lifter, setup.lift))
    bare = replace(person, measured=())
    found = demand_of(_with(bare, setup, knee_deg, trunk_deg), setup, load_kg)
    likely = demand_of(bare, setup, load_kg)
    if isinstance(found, Unreachable):
        alone = demand_of(_with(bare, setup, knee_deg, None), setup, load_kg)
        return (_unreached(found, alone, knee_deg, trunk_deg),)
    if isinstance(likely, Unreachable):
        return ()
    return (
        *_unlikely(likely, "knee_deg", knee_deg),
        *_unlikely(likely, "trunk_deg", trunk_deg),
    )


def write_down(
    lifter: Lifter,
    setup: SetUp,
    *,
    knee_deg: float | None,
    trunk_deg: float | None,
    by: Staff,
    day: date,
    seen_versions: Mapping[int, int],
) -> MeasuredStart:
    """Keep what was measured at a start, in place of what was measured there before.

    `seen_versions` are those that stood on the page, by row.

    Raises:
        Refused: `changed-meanwhile` if a colleague measured the same start since.
    """
    with atomic():
        Lifter.objects.select_for_update().get(
            pk=lifter.pk
        )  # of two at once the second sees what the first wrote
        row = stored_at(lifter, setup)
        if row is not None and seen_versions.get(row.pk) != row.version:
            raise Refused("changed-meanwhile")
        row = row or MeasuredStart(lifter=lifter, version=0, **_place(setup))
        row.knee_deg, row.trunk_deg, row.day, row.by = knee_deg, trunk_deg, day, by
        row.version += 1
        row.save()
    return row


def forget(row: MeasuredStart, *, seen_version: int) -> None:
    """Take back what was measured at a start.

    Raises:
        Refused: `changed-meanwhile` if a colleague measured it again since.
    """
    with atomic():
        now = MeasuredStart.objects.select_for_update().filter(pk=row.pk).first()
        if now is not None and now.version != seen_version:
            raise Refused("changed-meanwhile")
        MeasuredStart.objects.filter(pk=row.pk).delete()


def stored_at(lifter: Lifter, setup: SetUp) -> MeasuredStart | None:
    """What was measured in just this set-up."""
    return MeasuredStart.objects.filter(lifter=lifter, **_place(setup)).first()


def _place(setup: SetUp) -> dict[str, Any]:
    return {name: getattr(setup, name) for name in ("lift", "height_mm", "depth_deg", "box_mm")}


def _with(person: Person, setup: SetUp, knee_deg: float | None, trunk_deg: float | None) -> Person:
    one = Measured(
        lift=setup.lift,
        height_mm=setup.height_mm,
        depth_deg=setup.depth_deg,
        box_mm=setup.box_mm,
        knee_deg=knee_deg,
        trunk_deg=trunk_deg,
    )
    return replace(person, measured=(one,))


def _unreached(
    found: Unreachable, alone: Demand | Unreachable, knee_deg: float | None, trunk_deg: float | None
) -> Finding:
    """Why it cannot be: the two angles do not go together, or one alone is out of reach."""
    numbers: dict[str, Any] = {"because": word("unreached", found.code)}
    if knee_deg is None or trunk_deg is None or isinstance(alone, Unreachable):
        field = "trunk_deg" if knee_deg is None else "knee_deg"
        return Finding(code="angles-unreached", field=field, weight=Weight.REFUSE, numbers=numbers)
    numbers |= {"knee": round(knee_deg), "trunk": round(trunk_deg)}
    numbers["likely"] = round(alone.start.angles_deg["trunk"])
    return Finding(code="angles-apart", field="trunk_deg", weight=Weight.REFUSE, numbers=numbers)


def _unlikely(likely: Demand, name: str, angle_deg: float | None) -> tuple[Finding, ...]:
    """A question where an angle is far from what is likely: mostly the other angle of the joint was read."""
    band, far = likely.bands[name], float(value("posture", "angle_slip"))
    if angle_deg is None or band.p10 - far <= angle_deg <= band.p90 + far:
        return ()
    numbers = {"angle": round(angle_deg), "low": round(band.p10), "high": round(band.p90)}
    code = "knee-unlikely" if name == "knee_deg" else "trunk-unlikely"
    return (Finding(code=code, field=name, weight=Weight.ASK, numbers=numbers),)


def _name(lifter: Lifter, setup: SetUp) -> str:
    """What the set-up is called, also where the gym has no bar for it any more."""
    bar = usual_bar(lifter.gym, setup.lift, lifter.unit)
    return built_at(setup, bar, stock_of(lifter.gym)).name if bar else lift_name(setup.lift).capitalize()
