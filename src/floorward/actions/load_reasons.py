"""Why the sore lift is planned at its load: the decision or the search that the plan rests on, and where its page is."""

from dataclasses import dataclass

from floorward.actions.standing import Source, standing_of
from floorward.core.findings import Finding
from floorward.reports.reasons import reasons
from floorward.storage.models import Decision, DoneSet, Search, Session


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadReason:
    """What a plan rests on: a decision, a session that nobody has decided on yet, or a search.

    Attributes:
        session_id: of the training that was decided on, or waits for it; 0 where the load was found only.
        search: what found the load, else None.
        reasons: of the decision; empty while there is none.
    """

    lift: str
    session_id: int = 0
    search: Search | None = None
    decision: Decision | None = None
    reasons: tuple[Finding, ...] = ()


def load_reason(session: Session) -> LoadReason | None:
    """Why the sore lift of this session has its load; None where nothing stands, or its sets are under way."""
    episode = session.episode
    if episode is None:
        return None
    lift = episode.lift
    work = DoneSet.objects.filter(lift=lift, kind=DoneSet.Kind.WORK, sore=True, undone_at=None)
    if work.filter(session=session).exists():
        return None
    standing = standing_of(episode, lift, session)
    if standing.source is Source.FOUND and isinstance(standing.pattern, Search):
        return LoadReason(lift=lift, search=standing.pattern)
    last = work.filter(session__episode=episode).exclude(session=session).order_by("-at").first()
    if last is None or standing.source is Source.NOTHING:
        return None
    decision = episode.decisions.filter(lift=lift, session=last.session_id).first()
    told = reasons(decision.rule, decision.numbers) if decision else ()
    return LoadReason(lift=lift, session_id=last.session_id, decision=decision, reasons=told)
