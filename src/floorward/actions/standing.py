"""Where a sore lift stands today: the load and height its next full-range line is planned from.

The newest word counts: what a decision said, else what was trained last, else what a search found. A search's load is not
trained at once: training starts one rung under it, and the first day holds few sets and repetitions. While no load is
accepted at full range, the deepest range that was stands in.
"""

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from decimal import Decimal
from enum import StrEnum

from floorward.actions.finding import Accepted, accepted_of
from floorward.actions.proposals import Proposal, proposal_for
from floorward.core.ladder import FirstDay, first_day_limits
from floorward.core.records import FULL_HEIGHT_MM
from floorward.core.rules import Change
from floorward.storage.models import CollarRow, Decision, DoneSet, Episode, Session
from floorward.storage.models.fields import SetUpColumns
from floorward.tables import value


class Source(StrEnum):
    """What the load stands on."""

    DECIDED = "decided"
    LAST = "last"
    EASED = "eased"
    FOUND = "found"
    STOPPED = "stopped"
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Where a lift stands.

    Attributes:
        pattern: a row whose set-up the next line copies; None with `nothing`.
        load: what to train, in `unit`; None with `stopped` and `nothing`.
        height_mm: of the hands; 0 where the lift fixes it.
        accepted: the heaviest load accepted at this height, where a search found one.
        full_range: whether this is the whole lift and not a range that stands in for it.
        first_day: the most that a first training day may hold; None later on.
        sets, reps: as planned last; 0 where this is the first time.
        settled: whether it is a decision that stands, on the newest training; then nothing waits to be decided.
    """

    source: Source
    pattern: SetUpColumns | None = None
    collar: CollarRow | None = None
    load: Decimal | None = None
    unit: str = "kg"
    height_mm: int = 0
    accepted: Decimal | None = None
    full_range: bool = True
    first_day: FirstDay | None = None
    sets: int = 0
    reps: int = 0
    settled: bool = False


def standing_of(episode: Episode, lift: str, today: Session | None = None) -> Standing:
    """Where `lift` stands in this episode; work sets of the session `today` are not what it stands on."""
    accepted = accepted_of(episode, lift)
    found_at = accepted.at if accepted else datetime.min.replace(tzinfo=UTC)
    last = _last_work(episode, lift, today)
    decision = episode.decisions.filter(lift=lift).first()
    if decision and decision.at > found_at:
        return _decided(decision, last, accepted)
    if last and last.at > found_at:
        return _as_last(last, accepted)
    return _found(accepted) if accepted else Standing(source=Source.NOTHING)


def standing_today(session: Session) -> Standing:
    """Where the sore lift of today's session stands; a step back or a stop that nobody has decided yet counts already.

    A plan never stands above what the rules propose: what waits for a coach is only the step forward.
    """
    episode = session.episode
    if episode is None:
        return Standing(source=Source.NOTHING)
    standing = standing_of(episode, episode.lift, session)
    if standing.load is None or standing.settled:
        return standing
    proposal = proposal_for(episode, episode.lift, session.started_at)
    if proposal is None or proposal.decided or proposal.trained.session.pk == session.pk:
        return standing
    return _no_further_than(proposal, standing)


def _no_further_than(proposal: Proposal, standing: Standing) -> Standing:
    if proposal.change == Change.STOP or proposal.plan.load is None:
        return replace(standing, source=Source.STOPPED, load=None)
    if proposal.change != Change.BACK or standing.unit != proposal.unit or standing.load is None:
        return standing
    return replace(
        standing,
        source=Source.EASED,
        load=min(standing.load, proposal.plan.load),
        height_mm=max(standing.height_mm, proposal.plan.height_mm or 0),
    )


def _last_work(episode: Episode, lift: str, today: Session | None) -> DoneSet | None:
    rows = DoneSet.objects.filter(
        session__episode=episode, lift=lift, kind=DoneSet.Kind.WORK, sore=True, undone_at=None
    )
    if today is not None:
        rows = rows.exclude(session=today)
    return rows.select_related("line__collar", "bar", "session").order_by("-at").first()


def _decided(decision: Decision, last: DoneSet | None, accepted: Accepted | None) -> Standing:
    search = accepted.search if accepted else None
    pattern = last or search
    if decision.change == "stop" or decision.load is None:
        return Standing(source=Source.STOPPED, pattern=pattern, unit=decision.unit)
    return Standing(
        source=Source.DECIDED,
        pattern=pattern,
        collar=_collar(last) if last else search.collar if search else None,
        load=decision.load.normalize(),
        unit=decision.unit,
        height_mm=decision.height_mm,
        full_range=_whole(accepted, decision.height_mm),
        sets=decision.sets or _volume(last)[0],
        reps=_volume(last)[1],
        settled=last is not None and last.session_id == decision.session_id and not decision.outdated,
    )


def _as_last(last: DoneSet, accepted: Accepted | None) -> Standing:
    return Standing(
        source=Source.LAST,
        pattern=last,
        collar=_collar(last),
        load=last.load.normalize(),
        unit=last.unit,
        height_mm=last.height_mm,
        full_range=_whole(accepted, last.height_mm),
        sets=_volume(last)[0],
        reps=_volume(last)[1],
    )


def _found(accepted: Accepted) -> Standing:
    return Standing(
        source=Source.FOUND,
        pattern=accepted.search,
        collar=accepted.search.collar,
        load=accepted.training_load.normalize(),
        unit=accepted.unit,
        height_mm=accepted.height_mm,
        accepted=accepted.load,
        full_range=accepted.full_range,
        first_day=first_day_limits(accepted.reps),
    )


def _whole(accepted: Accepted | None, height_mm: int) -> bool:
    """Whether the hands start no higher than the search's full height, or that of standard plates where none was done."""
    full_mm = accepted.search.height_mm if accepted else FULL_HEIGHT_MM
    return bool(height_mm <= max(full_mm, FULL_HEIGHT_MM) + value("equipment", "full_height_tolerance"))


def _volume(last: DoneSet | None) -> tuple[int, int]:
    return (last.line.sets, last.line.reps) if last is not None and last.line is not None else (0, 0)


def _collar(last: DoneSet) -> CollarRow | None:
    return last.line.collar if last.line is not None else None
