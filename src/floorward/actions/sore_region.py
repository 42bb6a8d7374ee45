"""The sore region of an episode, as a plan of a session needs it: what each load asks of it, how likely that is to hurt too much,
and how much work it may be asked. All of it is read from the log at every call.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from floorward.actions.exposures import Trained, trained_since
from floorward.actions.proposals import protocol_of
from floorward.actions.tolerances import Log, asked_by, log_of
from floorward.core.demand_allowance import WorkDay, allowance, first_allowance
from floorward.core.exercises import LoadChoice, key_of
from floorward.core.exposures import settled
from floorward.core.protocol import Protocol
from floorward.core.records import Region, SetUp
from floorward.core.session_request import Allowance
from floorward.core.tolerance import Tolerance, chance_unacceptable
from floorward.storage.models import MorningCheck, Session
from floorward.tables import value
from floorward.units import Mass, Unit, to_kg


@dataclass(frozen=True, slots=True, kw_only=True)
class SoreRegion:
    """What is known of the region before a session.

    Attributes:
        whole: the set-up that is the painful lift done in full; None while a shorter range stands in for it.
        least_nm: what one set of the painful lift at what is accepted asks, moment times repetitions.
        allowance: how much work it may be asked.
    """

    log: Log
    whole: SetUp | None
    tolerance: Tolerance
    allowance: Allowance
    least_nm: float

    def allowance_of(self, sessions: int) -> Allowance:
        """For so many sessions planned together: whatever is left of the week, the painful lift is done once in each."""
        return replace(self.allowance, week=max(self.allowance.week, sessions * self.least_nm))

    @property
    def region(self) -> Region:
        """Where it hurts."""
        return Region(self.log.episode.region)

    def load_choices(
        self, setup: SetUp, loads: Sequence[Decimal], unit: Unit, single_kg: float
    ) -> tuple[LoadChoice, ...]:
        """Each load with what it asks and how likely a set hurts over the ceiling; none where this body cannot reach the start."""
        name = _name(setup, self.whole)
        asked = asked_by(self.log.episode, setup) if name else self.log.full
        if asked is None:
            return ()
        kilograms = tuple(to_kg(Mass(load, unit)) for load in loads)
        moments = asked.demands(kilograms)
        bend = asked.bend - self.log.full.bend if name else 0.0
        chances = chance_unacceptable(self.tolerance, np.asarray(moments), name, bend).tolist()
        rows = zip(loads, kilograms, moments, chances, strict=True)
        return tuple(
            LoadChoice(load=load, share=kg / single_kg, chance=chance, asks_nm={self.region: moment})
            for load, kg, moment, chance in rows
        )


def sore_region_of(
    session: Session, setup: SetUp, accepted_kg: float, *, in_full: bool, variations: Sequence[SetUp]
) -> SoreRegion | None:
    """The region as it stands before the work of `session`; None where mechanics know nothing of the painful lift.

    Args:
        session: of an episode.
        setup: the painful lift as it is trained today.
        accepted_kg: what is trained there.
        in_full: whether that is the full lift, not a range that stands in for it.
        variations: the other set-ups that may be asked about.
    """
    log = log_of(session.episode) if session.episode else None
    if log is None:
        return None
    asked = log.full if in_full else asked_by(log.episode, setup)
    if asked is None:
        return None
    whole = setup if in_full else None
    accepted_nm = asked.demand(accepted_kg)
    known = log.before_work_of(session).open_to([_name(one, whole) for one in (setup, *variations)])
    return SoreRegion(
        log=known,
        whole=whole,
        tolerance=known.tolerance(session.day),
        allowance=_allowance(known, session, accepted_nm),
        least_nm=accepted_nm * float(value("session", "full_range", "reps")),
    )


def _name(setup: SetUp, whole: SetUp | None) -> str:
    """As the log names it."""
    return "" if setup == whole else key_of(setup)


def _allowance(log: Log, session: Session, accepted_nm: float) -> Allowance:
    """Counted from the day of the session, which is 0. From the work of past days; no less than a first day's while the last one settled, since that was never more than planned."""
    protocol = protocol_of(log.episode.lifter.gym)
    first = first_allowance(accepted_nm)
    # whatever is left of the week, the sore lift is done once: one set of it is always allowed
    least = accepted_nm * float(value("session", "full_range", "reps"))
    days = _work_days(log, session, protocol)
    began = session.day.toordinal() - session.day.weekday()
    known = allowance(days, today=session.day.toordinal(), week_began=began, protocol=protocol)
    if known is None:
        return first
    hard = known.last_hard_day
    floor = first.day if days[-1].settled else least
    return Allowance(
        day=max(known.day, floor),
        week=max(known.week, floor),
        last_hard_day=None if hard is None else hard - session.day.toordinal(),
    )


def _work_days(log: Log, session: Session, protocol: Protocol) -> list[WorkDay]:
    by_day: dict[int, list[tuple[float, bool]]] = defaultdict(list)
    for row in _trained_before(log, session):
        asked = log.asked(row.pattern)
        if asked is not None:
            work = asked.demand(to_kg(Mass(row.exposure.load, row.unit)))
            work *= row.exposure.sets * max(row.exposure.reps, 1)
            by_day[row.session.day.toordinal()].append((work, settled(row.exposure, protocol)))
    return [
        WorkDay(day=day, asked=sum(work for work, _ in rows), settled=all(well for _, well in rows))
        for day, rows in sorted(by_day.items())
    ]


def _trained_before(log: Log, session: Session) -> list[Trained]:
    episode = log.episode
    checks = {row.day: row for row in MorningCheck.objects.filter(episode=episode)}
    trained = trained_since([episode], episode.since, {episode.pk: checks})[episode.pk]
    return [row for row in trained if row.session.pk != session.pk]
