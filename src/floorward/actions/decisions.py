"""Deciding on the next step: the coach takes the proposal, or another with a reason; the rules say what may be taken.

A decision keeps the rule, its numbers and the version of the protocol it was made under. One that was made on scores that
changed since is marked, and can be decided anew.
"""

from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from typing import Any

from floorward.actions.lifters import consent_of
from floorward.actions.model_steps import Says, says_on
from floorward.actions.onward import says_onward
from floorward.actions.outdated import mark_outdated
from floorward.actions.proposals import Proposal, all_proposals, proposal_for, proposals
from floorward.core.findings import Finding, Weight, refused
from floorward.core.plan_change import next_load, override_findings
from floorward.core.rules import Change, Ruling, StepSize
from floorward.errors import Refused
from floorward.reports.wording import word
from floorward.storage.models import Decision, Episode, Session, Staff, Trace
from floorward.storage.place import atomic

__all__ = [
    "Choice",
    "Proposal",
    "accept_all",
    "all_proposals",
    "choice_findings",
    "choices",
    "decide",
    "mark_outdated",
    "proposal_for",
    "proposals",
    "proposed",
    "ruled",
    "says_of",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What may be decided.

    Attributes:
        key: its name on the page: proposed, ruled, forward, lower, hold, back, raise, stop or load. What the rules alone lead to
            (`ruled`) needs no reason beside the one that the proposal was given with.
        sets: work sets, where these are what changes; 0 leaves them as they are.
        onward: whether another set-up comes in, the one that is proposed.
    """

    key: str
    change: Change
    load: Decimal | None
    height_mm: int
    rise_mm: int = 0
    sets: int = 0
    onward: bool = False

    @property
    def moves(self) -> tuple[Decimal | None, int, int, bool]:
        """What two choices differ by."""
        return self.load, self.height_mm, self.sets, self.onward


def proposed(proposal: Proposal) -> Choice:
    """The proposal as a choice."""
    plan = proposal.plan
    taken = _choice(proposal, "proposed", proposal.change, plan.load, plan.height_mm)
    return replace(taken, sets=plan.sets, onward=proposal.onward is not None)


def ruled(proposal: Proposal) -> Choice | None:
    """What the rules alone lead to, where the model made the step another."""
    if not proposal.modelled:
        return None
    return _choice(proposal, "ruled", proposal.ruling.change, proposal.ruled.load, proposal.ruled.height_mm)


def choices(proposal: Proposal) -> tuple[Choice, ...]:
    """What a coach may take instead: only what the rules, the iron and the wood allow, each other than the proposal."""
    last, reach = proposal.last, proposal.reach
    lower = [mm for mm in reach.heights_mm if mm < last.height_mm][-1:]
    higher = [mm for mm in reach.heights_mm if mm > last.height_mm][:1]
    offers = [
        _choice(proposal, "forward", Change.FORWARD, _one_step(proposal), last.height_mm),
        *(_choice(proposal, "lower", Change.FORWARD, last.load, mm) for mm in lower),
        _choice(proposal, "hold", Change.HOLD, last.load, last.height_mm),
        _choice(proposal, "back", Change.BACK, _one_rung(proposal), last.height_mm),
        *(_choice(proposal, "raise", Change.BACK, last.load, mm) for mm in higher),
        _choice(proposal, "stop", Change.STOP, None, 0),
    ]
    first, further = proposed(proposal), ruled(proposal)
    taken = {one.moves for one in (first, further) if one}
    found = []
    for offer in offers:
        if offer.change is Change.HOLD and offer.key != "hold":
            continue  # no step where there is none to take: that is the hold
        if offer.moves not in taken and not refused(choice_findings(proposal, offer)):
            taken.add(offer.moves)
            found.append(offer)
    return tuple(found)


def says_of(proposal: Proposal) -> Says | None:
    """What the model says of the proposal, with the three sets that moved it most; None where it has no say.

    A stop and a change of variation are the rules' alone.
    """
    if proposal.onward is not None and proposal.log is not None:
        return says_onward(proposal.log, proposal.trained, proposal.onward)
    return says_on(proposal.log, proposal.trained, proposal.reach.loads, proposal.plan)


def own_load(proposal: Proposal, load: Decimal) -> Choice:
    """A load that the coach wrote down, at the height as it was."""
    last = proposal.last
    change = Change.FORWARD if load > last.load else Change.BACK if load < last.load else Change.HOLD
    return _choice(proposal, "load", change, load, last.height_mm)


def choice_findings(proposal: Proposal, choice: Choice) -> tuple[Finding, ...]:
    """What forbids `choice`; empty when it may be taken. The proposal always may, what the rules lead to, and a stop."""
    plan, last = proposal.plan, proposal.last
    unopposed = {(each.load, each.height_mm) for each in (plan, proposal.ruled)}
    if choice.load is None or (choice.load, choice.height_mm) in unopposed:
        return ()
    reach, settled = proposal.reach, proposal.settled
    found = list(
        override_findings(
            proposal.ruling,
            last,
            choice.load,
            reach.loads,
            protocol=proposal.protocol,
            settled_in_row=settled,
        )
    )
    if choice.height_mm != last.height_mm:
        found += _height_findings(proposal, choice)
    return tuple(found)


def decide(
    session: Session,
    lift: str,
    *,
    seen: str,
    choice: Choice | None = None,
    reason: str = "",
    by: Staff,
    now: datetime,
) -> Decision:
    """Take the proposal (no `choice`), or another choice with its reason.

    `seen` is what the page was shown: where the scores or a colleague's decision changed it since, nothing is stored.

    Raises:
        Refused: `consent-needed`, `nothing-to-decide`, `not-the-last`, `decided-meanwhile`, `proposal-changed`, `reason-needed`,
            or the code of what forbids the choice.
    """
    with atomic():
        proposal = _fresh(session, lift, seen, now)
        taken = choice or proposed(proposal)
        if taken.moves != proposed(proposal).moves and taken.key != "ruled" and not reason.strip():
            raise Refused("reason-needed")
        for finding in choice_findings(proposal, taken):
            raise Refused(finding.code, **finding.numbers)
        return _store(proposal, taken, reason=reason.strip(), by=by, now=now)


def accept_all(episode: Episode, *, by: Staff, now: datetime) -> tuple[Decision, ...]:
    """Take every proposal of the episode as it is read here; no page was shown, so none can be stale."""
    with atomic():
        Episode.objects.select_for_update().get(pk=episode.pk)
        return tuple(
            _store(proposal, proposed(proposal), reason="", by=by, now=now)
            for proposal in proposals(episode, now)
        )


def _fresh(session: Session, lift: str, seen: str, now: datetime) -> Proposal:
    episode = session.episode
    if episode is None:
        raise Refused("nothing-to-decide")
    Episode.objects.select_for_update().get(pk=episode.pk)
    if consent_of(session.lifter) is None:
        raise Refused("consent-needed", name=session.lifter.name)
    proposal = proposal_for(episode, lift, now)
    if proposal is None:
        raise Refused("nothing-to-decide")
    if proposal.trained.session.pk != session.pk:
        raise Refused("not-the-last")
    if proposal.seen != seen:
        if proposal.decided and proposal.decision is not None:
            by = proposal.decision.by
            raise Refused("decided-meanwhile", who=by.name if by else word("somebody", "colleague"))
        raise Refused("proposal-changed")
    return proposal


def _store(proposal: Proposal, taken: Choice, *, reason: str, by: Staff, now: datetime) -> Decision:
    row = proposal.decision
    if row is None:
        row = Decision(episode=proposal.episode, session=proposal.trained.session, lift=proposal.lift)
    else:
        _leave_trace(row, by, now)
    row.rule, row.numbers = proposal.ruling.code, {**proposal.numbers, "onward": taken.onward}
    row.proposed_change, row.proposed_load = proposal.change, proposal.plan.load
    row.proposed_height_mm = proposal.plan.height_mm or 0
    row.change, row.load, row.height_mm = taken.change, taken.load, taken.height_mm
    row.proposed_sets, row.sets = proposal.plan.sets, taken.sets
    row.unit, row.reason = proposal.unit, reason
    row.protocol_version = proposal.episode.lifter.gym.protocol_version
    row.at, row.by, row.outdated = now, by, False
    row.save()
    return row


def _leave_trace(row: Decision, by: Staff, now: datetime) -> None:
    was: dict[str, Any] = {
        "change": row.change,
        "load": str(row.load),
        "unit": row.unit,
        "height_mm": row.height_mm,
        "sets": row.sets,
    }
    was |= {
        "rule": row.rule,
        "numbers": row.numbers,
        "reason": row.reason,
        "by": row.by.name if row.by else "",
    }
    gym = row.episode.lifter.gym
    Trace.objects.create(
        gym=gym, at=now, by=by, what="decided-anew", subject="decision", subject_id=row.pk, before=was
    )


def _height_findings(proposal: Proposal, choice: Choice) -> list[Finding]:
    """What forbids another height: it must be buildable, the only change, and lower only by one, after a morning answer."""
    last, reach = proposal.last, proposal.reach
    lower = [mm for mm in reach.heights_mm if mm < last.height_mm]
    if choice.height_mm not in reach.heights_mm:
        return [Finding(code="not-buildable", field="choice", weight=Weight.REFUSE)]
    if choice.load != last.load:
        return [Finding(code="one-thing", field="choice", weight=Weight.REFUSE)]
    if choice.height_mm < last.height_mm and not proposal.ruling.overridable:
        return [
            Finding(
                code="not-overridable",
                field="choice",
                weight=Weight.REFUSE,
                numbers={"rule": proposal.ruling.code},
            )
        ]
    if choice.height_mm < last.height_mm and (last.morning is None or choice.height_mm != lower[-1]):
        return [Finding(code="lower-one-step", field="choice", weight=Weight.REFUSE)]
    return []


def _one_step(proposal: Proposal) -> Decimal | None:
    """One step forward as large as an override may be; None where there is none."""
    step = Ruling(code="R8", change=Change.FORWARD, step=StepSize.USUAL)
    load = next_load(step, proposal.last.load, proposal.reach.loads, proposal.protocol, proposal.settled)
    return load if load is not None and load > proposal.last.load else proposal.last.load


def _one_rung(proposal: Proposal) -> Decimal | None:
    rung = Ruling(code="R2", change=Change.BACK, step=StepSize.RUNG)
    return next_load(rung, proposal.last.load, proposal.reach.loads, proposal.protocol)


def _choice(
    proposal: Proposal, key: str, change: Change, load: Decimal | None, height_mm: int | None
) -> Choice:
    stays = (load, height_mm) == (proposal.last.load, proposal.last.height_mm)
    height = height_mm or 0
    kind = Change.HOLD if stays and key in {"forward", "back"} else change
    return Choice(
        key=key, change=kind, load=load, height_mm=height, rise_mm=max(height - proposal.reach.full_mm, 0)
    )
