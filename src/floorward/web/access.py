"""Who gets through to which page; the one place where it is applied.

A page that no list below names is for coaches; where its address names a lifter (or an episode, a session, a search of one) it is
for the coaches assigned to that lifter.
"""

from enum import StrEnum
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from floorward.actions import access, audit
from floorward.actions.histories import locks_on
from floorward.actions.lifters import consent_of
from floorward.reports.wording import sentence_for
from floorward.storage.models import Lifter, Staff
from floorward.web.kept import mark_page
from floorward.web.now import now

# what every member of staff needs to run the floor
FLOOR = frozenset(
    {
        "sign-out",
        "lifters",
        "today",
        "gym",
        "people",
        "protocol",
        "phones",
        "own-door",
        "own-password",
        "own-speech",
        "own-key",
        "own-key-confirm",
        "own-key-remove",
        "lifter",
        "session-today",
        "session",
        "plan",
        "card",
        "card-pdf",
        "changed",
        "do-line",
        "before",
        "after",
        "end",
        "undo",
        "undo-set",
    }
)
# what any coach may do for a lifter without seeing a health answer
COACH = frozenset(
    {
        "new-lifter",
        "change-lifter",
        "body",
        "measure-start",
        "forget-start",
        "best-set",
        "remove-best-set",
        "add-usual",
        "add-line",
        "change-line",
    }
)
# pages of answers that were kept: closed while no consent is in force
KEPT = frozenset(
    {
        "outcome",
        "clearance",
        "change-episode",
        "review",
        "search",
        "search-result",
        "variations",
        "note",
        "lifter-archive",
    }
)
OWNER = frozenset(
    {"new-person", "switch-person", "coaches", "trail", "erase-lifter", "person", "person-left"}
)
UNTRACED = COACH | {
    "coaches",
    "card",
    "card-pdf",
    "link",
    "new-link",
    "revoke-links",
    "own-trail",
    "erase-lifter",
}  # no health answer
LARGEST = 2**63 - 1  # of a row's number
# from a number in the address to the lifter it belongs to
PATHS = {
    "lifter_id": "pk",
    "episode_id": "episodes",
    "session_id": "sessions",
    "screening_id": "episodes__screenings",
    "search_id": "sessions__searches",
}


KINDS = {
    "questions": {"screen", "screen-unkept", "outcome", "clearance"},
    "morning": {"morning"},
    "note": {"note"},
    "export": {"lifter-archive"},
    "session": {
        "session",
        "plan",
        "before",
        "after",
        "end",
        "changed",
        "one-set",
        "undo",
        "undo-set",
        "do-line",
    },
}


class Need(StrEnum):
    """What a page asks of whoever opens it."""

    FLOOR = "floor"
    COACH = "coach"
    ASSIGNED = "assigned"
    OWNER = "owner"


def need_of(name: str, *, about_lifter: bool) -> Need:
    """What the page `name` asks; strict where nothing is said."""
    listed = {Need.FLOOR: FLOOR, Need.COACH: COACH, Need.OWNER: OWNER}
    found = next((need for need, names in listed.items() if name in names), None)
    return found or (Need.ASSIGNED if about_lifter else Need.COACH)


def is_assigned(request: HttpRequest) -> bool:
    """Whether whoever asks is assigned to the lifter whom the address names."""
    return bool(getattr(request, "is_assigned", False))


def sees_health(request: HttpRequest) -> bool:
    """Whether whoever asks sees the lifter's health answers: assigned, and a consent is in force."""
    return bool(getattr(request, "sees_health", False))


class gate:  # noqa: N801 - named like its neighbours, which are functions
    """Let through whom the page is for; tell the others why not."""

    def __init__(self, get_response: Any) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on; what was seen or changed goes on the trail."""
        response = self.get_response(request)
        if isinstance(request.user, Staff):
            mark_page(response, request.user.gym_id)
        lifter, match = getattr(request, "lifter_named", None), request.resolver_match
        if lifter is None or match is None or match.url_name in UNTRACED or lifter.pk is None:
            return response  # type: ignore[no-any-return]
        changed = request.method == "POST" and response.status_code == 302
        if changed or (sees_health(request) and response.status_code in {200, 422}):
            kind = next((kind for kind, names in KINDS.items() if match.url_name in names), "overview")
            audit.note(lifter, request.user, kind=kind, changed=changed, now=now())  # type: ignore[arg-type]
        return response  # type: ignore[no-any-return]

    def process_view(
        self, request: HttpRequest, view: Any, _args: Any, parts: dict[str, Any]
    ) -> HttpResponse | None:
        """None where the page may be shown, else what is shown instead; a number that no row can have leads nowhere."""
        if any(isinstance(part, int) and part > LARGEST for part in parts.values()):
            raise Http404
        staff, match = request.user, request.resolver_match
        if not isinstance(staff, Staff) or match is None or not getattr(view, "login_required", True):
            return None
        lifter = _lifter_of(staff, parts)
        seen = lifter is not None and lifter.pk in access.seen_by(staff)
        request.lifter_named = lifter  # type: ignore[attr-defined]
        request.is_assigned = seen  # type: ignore[attr-defined]
        request.sees_health = seen and lifter is not None and consent_of(lifter) is not None  # type: ignore[attr-defined]
        need = need_of(match.url_name or "", about_lifter=any(name in PATHS for name in parts))
        if need is Need.OWNER and not staff.is_owner:
            return _refused(request, "owners-only")
        if need in {Need.COACH, Need.ASSIGNED} and not staff.may_coach:
            return _refused(request, "coaches-only")
        if need is Need.ASSIGNED and lifter is not None and not seen:
            return modified(request, lifter, status=403)
        if match.url_name in KEPT and lifter and not sees_health(request):
            # also what is sent: a slip in it would bring the page back, and a phone that kept an answer is told why it is not taken
            status = 409 if request.method == "POST" else 403
            return _refused(request, "consent-needed", status=status, name=lifter.name)
        return None


def modified(request: HttpRequest, lifter: Lifter, *, status: int = 200) -> HttpResponse:
    """What somebody sees of a lifter to whom they are not assigned."""
    open_ones = list(lifter.episodes.filter(closed_at=None))
    shown = {
        "lifter": lifter,
        "modified": bool(open_ones),
        "lock": next(iter(locks_on(open_ones).values()), None) if open_ones else None,
        "coaches": access.coaches_of(lifter),
        "page": "lifters",
        "tab": "overview",
    }
    return render(request, "lifters/modified.html", shown, status=status)


def _lifter_of(staff: Staff, parts: dict[str, Any]) -> Lifter | None:
    for name, path in PATHS.items():
        if name in parts:
            return Lifter.objects.filter(gym=staff.gym_id, **{path: parts[name]}).first()
    return None


def _refused(request: HttpRequest, code: str, *, status: int = 403, **numbers: str) -> HttpResponse:
    return render(request, "refused.html", {"message": sentence_for(code, numbers)}, status=status)
