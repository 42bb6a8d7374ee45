"""The lifters of the gym: the list, a lifter's overview, what they agreed to, their best sets."""

from datetime import date

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.dateparse import parse_date
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from floorward.actions import audit, lifters
from floorward.actions import overview as overviews
from floorward.actions import progress as progresses
from floorward.actions.access import coaches_of
from floorward.errors import Refused
from floorward.reports.wording import lift_choices, sentence_for
from floorward.storage.models import BestSet
from floorward.units import Unit
from floorward.web.access import is_assigned, modified
from floorward.web.forms.lifters import BestSetForm, ConsentForm, LifterForm, lifter_values
from floorward.web.lookup import gym_of, lifter_of, staff_of
from floorward.web.now import now
from floorward.web.versions import beside

A_SHEET = 60


def lifter_list(request: HttpRequest) -> HttpResponse:
    """Everybody who trains here, the ones in pain first."""
    query = request.GET.get("q", "").strip()
    rows = Paginator(
        overviews.lifter_rows(gym_of(request), query, viewer=staff_of(request)), A_SHEET
    ).get_page(request.GET.get("sheet"))
    audit.note_lists(
        gym_of(request), [row.lifter.pk for row in rows if row.kept and row.episode], staff_of(request), now()
    )
    page = {"rows": rows, "query": query, "page": "lifters"}
    return render(request, "lifters/list.html", page)


def new_lifter(request: HttpRequest) -> HttpResponse:
    """Add a lifter, then ask for consent."""
    initial = {"coach": staff_of(request)}
    form = LifterForm(request.POST or None, gym=gym_of(request), today=_today(), initial=initial)
    if request.method == "POST" and form.is_valid():
        lifter = lifters.add_lifter(gym_of(request), by=staff_of(request), now=now(), **form.about())
        return redirect("consent", lifter.pk)
    return _form(request, form, title=_("New lifter"), button=_("Add lifter"), back=reverse("lifters"))


def overview(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """What is going on with this lifter, and what comes next."""
    lifter = lifter_of(request, lifter_id)
    if not is_assigned(request):
        return modified(request, lifter)
    page = {
        "coaches": coaches_of(lifter),
        "lifter": lifter,
        "view": overviews.overview(lifter, now()),
        "page": "lifters",
        "tab": "overview",
    }
    return render(request, "lifters/overview.html", page)


def progress(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """What was trained, how it hurt, what was decided."""
    lifter = lifter_of(request, lifter_id)
    asked, before = request.GET.get("episode", ""), _day(request.GET.get("before", ""))
    number = int(asked) if asked.isdecimal() and len(asked) < 12 else None
    view = progresses.progress_view(lifter, now(), episode_id=number, before=before)
    if view is None and number is not None:
        raise Http404
    return render(
        request,
        "lifters/progress.html",
        {"lifter": lifter, "view": view, "page": "lifters", "tab": "progress"},
    )


def _day(text: str) -> date | None:
    """A day in an address; None where it is none."""
    try:
        return parse_date(text)
    except ValueError:
        return None


def change_lifter(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """Change what is known of a lifter; a colleague's change meanwhile is shown beside yours."""
    lifter = lifter_of(request, lifter_id)
    form = LifterForm(
        request.POST or None, gym=gym_of(request), today=_today(), initial=lifter_values(lifter)
    )
    theirs = None
    if request.method == "POST" and form.is_valid():
        try:
            lifters.change_lifter(
                lifter, seen_version=form.cleaned_data["version"] or 0, changes=form.about()
            )
        except Refused:
            lifter.refresh_from_db()
            theirs, typed = beside(form, lifter_values(lifter))
            form = LifterForm(typed, gym=gym_of(request), today=_today())
        else:
            return redirect("lifter", lifter.pk)
    return _form(
        request,
        form,
        title=lifter.name,
        button=_("Save"),
        back=reverse("lifter", args=[lifter.pk]),
        theirs=theirs,
    )


def consent(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """Ask before any health answer is kept."""
    lifter = lifter_of(request, lifter_id)
    needed = lifters.needs_guardian(lifter, _today())
    form = ConsentForm(request.POST or None, guardian_needed=needed)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        lifters.record_consent(
            lifter,
            given_by=said["given_by"],
            guardian_name=said["guardian_name"],
            share_with_clinician=said["share_with_clinician"],
            by=staff_of(request),
            now=now(),
        )
        return redirect("lifter", lifter.pk)
    page = {"lifter": lifter, "form": form, "guardian_needed": needed, "page": "lifters"}
    return render(request, "lifters/consent.html", page, status=_status(request))


@require_POST
def withdraw(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """Take a consent back."""
    lifter = lifter_of(request, lifter_id)
    lifters.withdraw_consent(lifter, now=now())
    messages.info(request, sentence_for("consent-taken-back", {}))
    return redirect("lifter", lifter.pk)


def best_set(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """Write down a recent best set."""
    lifter = lifter_of(request, lifter_id)
    form = BestSetForm(request.POST or None, lifts=lift_choices(), unit=Unit(lifter.unit), today=_today())
    if request.method == "POST" and form.is_valid():
        lifters.add_best_set(lifter, **form.best())
        return redirect("lifter", lifter.pk)
    return _form(
        request,
        form,
        title=_("A best set of %(name)s") % {"name": lifter.name},
        button=_("Add"),
        back=reverse("lifter", args=[lifter.pk]),
    )


@require_POST
def remove_best_set(request: HttpRequest, lifter_id: int, best_id: int) -> HttpResponse:
    """Take a best set off the list."""
    lifter = lifter_of(request, lifter_id)
    get_object_or_404(BestSet, pk=best_id, lifter=lifter).delete()
    return redirect("lifter", lifter.pk)


def _form(request: HttpRequest, form: object, **page: object) -> HttpResponse:
    return render(
        request, "_parts/simple_form.html", {"form": form, "page": "lifters", **page}, status=_status(request)
    )


def _status(request: HttpRequest) -> int:
    return 422 if request.method == "POST" else 200


def _today() -> date:
    return timezone.localtime(now()).date()
