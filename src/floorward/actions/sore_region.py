"""The sore region of an episode, as a plan of a session needs it: what each load asks of it, how likely that is to hurt too much,
and how much work it may be asked. All of it is read from the log at every call.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

import numpy as np

from floorward.actions.exposures import Trained, trained_since
from floorward.actions.proposals import protocol_of
from floorward.core.demand import Unreachable, demand_of
from floorward.core.demand_allowance import WorkDay, allowance, first_allowance
from floorward.core.exercises import LoadChoice, key_of
from floorward.core.exposures import morning_change, settled
from floorward.core.lifts import catalogue
from floorward.core.protocol import Protocol
from floorward.core.records import Region, SetUp
from floorward.core.session_request import Allowance
from floorward.core.tolerance import Priors, Report, Tolerance, chance_unacceptable, tolerance_of
from floorward.core.worth import curve_at
from floorward.storage import reads
from floorward.storage.models import DoneSet, Episode, MorningCheck, Session
from floorward.units import Mass, Unit, to_kg

LEAST_NM = 1.0  # a moment of nothing or the other way round asks this much, so that it has a logarithm
_UNKNOWN = -99
_RIGHT_ANGLE_DEG = 90.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One set-up's demand on the region [N·m] at a few loads [kg], ascending; straight between them."""

    points: tuple[tuple[float, float], ...]
    bend_deg: float

    def at(self, load_kg: float) -> float:
        """The largest moment at `load_kg`; beyond both ends the line goes on."""
        (x0, y0), (x1, y1) = self.points[:2] if load_kg <= self.points[0][0] else self.points[-2:]
        if self.points[0][0] < load_kg < self.points[-1][0]:
            return max(curve_at(self.points, load_kg), LEAST_NM)
        return max(y0 + (y1 - y0) * (load_kg - x0) / (x1 - x0), LEAST_NM)


@dataclass(frozen=True, slots=True, kw_only=True)
class SoreRegion:
    """What is known of the region today.

    Attributes:
        own: the painful lift, to which others are compared.
        loads_kg: at which demand is worked out: what is accepted, and half of it.
    """

    episode: Episode
    own: Asked
    own_key: str
    loads_kg: tuple[float, float]
    tolerance: Tolerance
    allowance: Allowance | None

    @property
    def region(self) -> Region:
        """Where it hurts."""
        return Region(self.episode.region)

    def load_choices(
        self, setup: SetUp, loads: Sequence[Decimal], unit: Unit, single_kg: float
    ) -> tuple[LoadChoice, ...]:
        """Each load with what it asks and how likely a set hurts over the ceiling; none where this body cannot reach the start."""
        kilograms = [to_kg(Mass(load, unit)) for load in loads]
        asked = asked_by(self.episode, setup, *self.loads_kg) if kilograms else None
        if asked is None:
            return ()
        moments = np.array([asked.at(load) for load in kilograms])
        key = key_of(setup)
        key = "" if key == self.own_key else key
        bend = (asked.bend_deg - self.own.bend_deg) / _RIGHT_ANGLE_DEG if key else 0.0
        known = {"", *self.tolerance.priors.variations}
        chances = chance_unacceptable(self.tolerance, moments, key if key in known else "", bend)
        rows = zip(loads, kilograms, moments.tolist(), np.ravel(chances).tolist(), strict=True)
        return tuple(
            LoadChoice(load=load, share=kg / single_kg, chance=chance, asks_nm={self.region: moment})
            for load, kg, moment, chance in rows
        )


def asked_by(episode: Episode, setup: SetUp, *loads_kg: float) -> Asked | None:
    """What a set-up asks of the episode's region, worked out at the loads given; None where it is not modelled or not reached."""
    lift = catalogue().get(setup.lift)
    if lift is None or not lift.linked:
        return None
    points, bend_deg = [], 0.0
    for load_kg in sorted(set(loads_kg)):
        found = demand_of(reads.person(episode.lifter), setup, load_kg)
        if isinstance(found, Unreachable):
            return None
        asked = found.regions[Region(episode.region)]
        points.append((load_kg, asked.moment_nm))
        bend_deg = asked.bend_deg
    return Asked(points=tuple(points), bend_deg=bend_deg)


def sore_region_of(
    session: Session, setup: SetUp, accepted_kg: float, variations: Sequence[SetUp]
) -> SoreRegion | None:
    """The region as it stands before `session`; None where mechanics know nothing of the painful lift.

    Args:
        session: of an episode.
        setup: the painful lift in its full range.
        accepted_kg: what is trained there today.
        variations: the other set-ups that may be asked about.
    """
    episode = session.episode
    if episode is None:
        return None
    usual_kg = max(to_kg(Mass(load, Unit(episode.unit))) for load in (episode.usual_load, episode.load))
    loads_kg = (accepted_kg / 2, accepted_kg)
    own = asked_by(episode, setup, *loads_kg, usual_kg)
    if own is None:
        return None
    checks = {row.day: row for row in MorningCheck.objects.filter(episode=episode)}
    trained = trained_since([episode], episode.since, {episode.pk: checks})[episode.pk]
    trained = [row for row in trained if row.session.pk != session.pk]
    day_one = min([row.session.day for row in trained] + [episode.started_at.date()])
    reports = [(one, _setup_of(one)) for one in trained]
    tested = _tests(episode, session)
    keys = {key_of(one) for one in (*variations, *(one for _, one in reports), *(one for _, one in tested))}
    own_key = key_of(setup)
    reader = _Reader(episode=episode, own=own, own_key=own_key, loads_kg=loads_kg, first_day=day_one)
    found = sorted([*reader.works(reports), *reader.tests(tested)], key=lambda one: one.day)
    priors = Priors(
        usual_demand=own.at(usual_kg),
        provoking_demand=own.at(to_kg(Mass(episode.load, Unit(episode.unit)))),
        provoking_pain=episode.pain,
        ceiling=min(episode.lifter.gym.ceiling_finding, 5),
        variations=tuple(sorted(keys - {own_key})),
    )
    today = max((session.day - day_one).days, found[-1].day if found else 0, 0)
    return SoreRegion(
        episode=episode,
        own=own,
        own_key=own_key,
        loads_kg=loads_kg,
        tolerance=tolerance_of(found, priors, today),
        allowance=_allowance(reader, session, own.at(accepted_kg), trained),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Reader:
    """Reads rows into reports on the region."""

    episode: Episode
    own: Asked
    own_key: str
    loads_kg: tuple[float, float]
    first_day: date

    def asked(self, setup: SetUp) -> Asked | None:
        """What a set-up asks."""
        own = key_of(setup) == self.own_key
        return self.own if own else asked_by(self.episode, setup, *self.loads_kg)

    def works(self, rows: Sequence[tuple[Trained, SetUp]]) -> Iterator[Report]:
        """One report for each lift of each session."""
        for row, setup in rows:
            exposure = row.exposure
            change = morning_change(exposure, _UNKNOWN)
            yield from self._report(
                setup,
                row.session.day,
                to_kg(Mass(exposure.load, row.unit)),
                pain=exposure.during,
                acceptable=exposure.acceptable,
                rest_pain=exposure.before,
                morning_change=None if change == _UNKNOWN else change,
            )

    def tests(self, rows: Sequence[tuple[DoneSet, SetUp]]) -> Iterator[Report]:
        """One report for each test of a search."""
        for row, setup in rows:
            load_kg = to_kg(Mass(row.load, Unit(row.unit)))
            acceptable = row.acceptable is not False
            yield from self._report(
                setup, row.session.day, load_kg, pain=row.pain or 0, acceptable=acceptable
            )

    def _report(
        self,
        setup: SetUp,
        day: date,
        load_kg: float,
        *,
        pain: int,
        acceptable: bool,
        rest_pain: int | None = None,
        morning_change: int | None = None,
    ) -> Iterator[Report]:
        own, asked = key_of(setup) == self.own_key, self.asked(setup)
        if asked is not None:
            yield Report(
                day=max((day - self.first_day).days, 0),
                demand=asked.at(load_kg),
                pain=pain,
                acceptable=acceptable,
                rest_pain=rest_pain,
                morning_change=morning_change,
                variation="" if own else key_of(setup),
                bend=0.0 if own else (asked.bend_deg - self.own.bend_deg) / _RIGHT_ANGLE_DEG,
            )


def _tests(episode: Episode, session: Session) -> list[tuple[DoneSet, SetUp]]:
    rows = DoneSet.objects.filter(
        session__episode=episode, kind=DoneSet.Kind.TEST, undone_at=None, pain__isnull=False
    )
    rows = rows.filter(session__day__lte=session.day).select_related("session").order_by("at", "id")
    return [(row, _plain(reads.setup(row))) for row in rows]


def _setup_of(row: Trained) -> SetUp:
    pattern = row.pattern
    return SetUp(
        lift=row.lift,
        height_mm=row.exposure.height_mm if pattern.height_mm else 0,
        depth_deg=pattern.depth_deg,
        box_mm=pattern.box_mm,
    )


def _plain(setup: SetUp) -> SetUp:
    """What mechanics read of a set-up."""
    return SetUp(lift=setup.lift, height_mm=setup.height_mm, depth_deg=setup.depth_deg, box_mm=setup.box_mm)


def _allowance(
    reader: _Reader, session: Session, accepted_nm: float, trained: Sequence[Trained]
) -> Allowance:
    """From the work of past days; no less than a first day's while the last one settled, since that was never more than planned."""
    protocol = protocol_of(reader.episode.lifter.gym)
    first = first_allowance(accepted_nm)
    days = _work_days(reader, trained, protocol)
    began = session.day.toordinal() - session.day.weekday()
    known = allowance(days, today=session.day.toordinal(), week_began=began, protocol=protocol)
    if known is None:
        return first
    if not days[-1].settled:
        return known
    return Allowance(
        day=max(known.day, first.day), week=max(known.week, first.day), last_hard_day=known.last_hard_day
    )


def _work_days(reader: _Reader, trained: Sequence[Trained], protocol: Protocol) -> list[WorkDay]:
    by_day: dict[int, list[tuple[float, bool]]] = {}
    for row in trained:
        load_kg = to_kg(Mass(row.exposure.load, row.unit))
        asked = reader.asked(_setup_of(row))
        if asked is not None:
            work = asked.at(load_kg) * row.exposure.sets * max(row.exposure.reps, 1)
            by_day.setdefault(row.session.day.toordinal(), []).append((work, settled(row.exposure, protocol)))
    return [
        WorkDay(day=day, asked=sum(work for work, _ in rows), settled=all(well for _, well in rows))
        for day, rows in sorted(by_day.items())
    ]
