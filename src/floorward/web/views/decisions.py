"""Deciding on the next step, and holding a review."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from floorward.actions import decisions, reviews
from floorward.errors import Refused
from floorward.reports.drawings.mark import sign
from floorward.reports.wording import sentence_for
from floorward.storage.models import Session
from floorward.web.forms.decisions import ChoiceForm, ReviewForm
from floorward.web.lookup import episode_of, session_of, staff_of
from floorward.web.now import now

CHANGED = frozenset({"proposal-changed", "decided-meanwhile", "not-the-last"})


def decide(request: HttpRequest, session_id: int, lift: str) -> HttpResponse:
    """The proposal with its reasons and numbers; taken with one press, or another choice with a reason."""
    session = session_of(request, session_id)
    form = ChoiceForm(request.POST or None, proposal=_proposal(session, lift))
    if request.method != "POST" or not form.is_valid():
        return _page(request, session, form, status=422 if request.method == "POST" else 200)
    try:
        decisions.decide(
            session,
            lift,
            seen=form.cleaned_data["seen"],
            choice=form.taken(),
            reason=form.cleaned_data["reason"],
            by=staff_of(request),
            now=now(),
        )
    except Refused as refusal:
        if refusal.code not in CHANGED:
            raise
        return _page(request, session, form, status=409, refusal=refusal)
    return (
        redirect("today") if request.POST.get("back") == "today" else redirect("progress", session.lifter_id)
    )


def _proposal(session: Session, lift: str) -> decisions.Proposal:
    found = decisions.proposal_for(session.episode, lift, now()) if session.episode else None
    if found is None:
        raise Http404
    return found


def _page(
    request: HttpRequest, session: Session, form: ChoiceForm, *, status: int, refusal: Refused | None = None
) -> HttpResponse:
    proposal = form.proposal
    page = {
        "page": "today",
        "lifter": session.lifter,
        "episode": proposal.episode,
        "proposal": proposal,
        "says": decisions.says_of(proposal),
        "sign": sign("send" if proposal.change == "stop" else proposal.change),
        "form": form,
        "is_newest": proposal.trained.session.pk == session.pk,
        "refusal": sentence_for(refusal.code, refusal.numbers) if refusal else "",
        "yours": form.taken() if refusal else None,
        "back": request.POST.get("back") or request.GET.get("back", ""),
    }
    return render(request, "decisions/decide.html", page, status=status)


def review(request: HttpRequest, episode_id: int, code: str) -> HttpResponse:
    """A review point: what is asked, what follows."""
    episode = episode_of(request, episode_id)
    found = reviews.review_of(episode, code, now())
    if found is None:
        raise Http404
    form = ReviewForm(request.POST or None, asks=found.missing)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        blocked = form.blocked()
        reviews.hold_review(
            episode,
            code,
            score=said["score"],
            lifts_blocked=blocked,
            note=said["note"],
            by=staff_of(request),
            now=now(),
        )
        return redirect("progress", episode.lifter_id)
    page = {"page": "today", "lifter": episode.lifter, "episode": episode, "review": found, "form": form}
    return render(request, "decisions/review.html", page, status=422 if request.method == "POST" else 200)
