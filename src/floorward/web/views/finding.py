"""Finding a load: the start, the working page between sets, the result."""

from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from floorward.actions import finding, results, screening, searches
from floorward.actions.finding import Working
from floorward.actions.measured import measured_in
from floorward.actions.rigging import bar_kind
from floorward.actions.sessions import today_of
from floorward.errors import Refused
from floorward.reports.drawings.sets_line import Mark, sets_line
from floorward.reports.drawings.sleeve import plates_on_sleeve
from floorward.reports.wording import sentence_for
from floorward.storage import reads
from floorward.storage.models import DoneSet, Search
from floorward.units import Unit
from floorward.web.forms.finding import OtherLoadForm, StartForm, TestForm, searchable_lifts, start_values
from floorward.web.lookup import episode_of, gym_of, staff_of
from floorward.web.now import now

MOST_DRAWN = 5


def find(request: HttpRequest, episode_id: int) -> HttpResponse:
    """Start a search for an accepted load."""
    episode = episode_of(request, episode_id)
    direction = searches.direction_for(episode, now())
    lift = request.GET.get("lift", episode.lift)
    form = StartForm(request.POST or None, episode=episode, initial=start_values(episode, direction, lift))
    page: dict[str, Any] = {
        "form": form,
        "episode": episode,
        "lifter": episode.lifter,
        "direction": direction,
        "locked": screening.locking(episode),
        "due": screening.screen_due(episode, now()),
        "lift": form["lift"].value(),
        "lifts": searchable_lifts(),
        "no_bar": bar_kind(form["lift"].value() or "") is None,
        "today": searches.searches_today(episode, now()),
        "page": "lifters",
        "tab": "find",
    }
    if request.method == "POST" and form.is_valid():
        try:
            row = searches.start_search(episode, form.start(), by=staff_of(request), now=now())
        except Refused as refusal:
            page["refusal"] = sentence_for(refusal.code, refusal.numbers)
        else:
            return redirect("search", row.pk)
    return render(request, "find/start.html", page, status=422 if request.method == "POST" else 200)


def search(request: HttpRequest, search_id: int) -> HttpResponse:
    """The next set: what to load, and what it was like."""
    row = search_of(request, search_id)
    other = OtherLoadForm(request.GET if "load" in request.GET else None, row=row)
    chosen = other.cleaned_data["load"] if other.is_bound and other.is_valid() else None
    if request.method == "POST":
        return _log(request, row, other)
    if row.ended_at or row.session.day != today_of(gym_of(request), now()):
        return redirect("search-result", row.pk)
    working = finding.step_now(row, chosen)
    form = TestForm(working=working)
    return render(
        request, "find/search.html", _page(working, form, other), status=422 if other.errors else 200
    )


def _log(request: HttpRequest, row: Search, other: OtherLoadForm) -> HttpResponse:
    working = finding.step_now(row, _typed_load(request))
    form, status = TestForm(request.POST, working=working), 422
    page = {}
    if form.is_valid():
        try:
            searches.log_test(row, form.report(), by=staff_of(request), now=now())
        except Refused as refusal:
            page["refusal"], status = sentence_for(refusal.code, refusal.numbers), 409
            form = _with_seen(request, working := finding.step_now(row, working.load))
        else:
            return _after(request, row, spreading=form.report().spreading)
    return render(request, "find/search.html", {**_page(working, form, other), **page}, status=status)


def _with_seen(request: HttpRequest, working: Working) -> TestForm:
    """What was typed, on a page that knows of all sets so far."""
    typed = request.POST.copy()
    typed["seen"] = str(working.seen)
    return TestForm(typed, working=working)


def _after(request: HttpRequest, row: Search, *, spreading: bool) -> HttpResponse:
    if spreading:
        messages.warning(request, sentence_for("spreading-stop", {}))
        return redirect("screen", row.session.episode_id)
    return redirect("search", row.pk)


@require_POST
def warm_up(request: HttpRequest, search_id: int) -> HttpResponse:
    """The warm-up that the page listed is done."""
    row = search_of(request, search_id)
    searches.log_warm_ups(row, by=staff_of(request), now=now())
    return redirect("search", row.pk)


@require_POST
def lower_start(request: HttpRequest, search_id: int) -> HttpResponse:
    """Go on although the bar starts lower than full height."""
    row = search_of(request, search_id)
    searches.agree_lower_start(row)
    return redirect("search", row.pk)


@require_POST
def undo(request: HttpRequest, search_id: int, set_id: int) -> HttpResponse:
    """Take back a test that was logged by mistake."""
    row = search_of(request, search_id)
    test = get_object_or_404(DoneSet, pk=set_id, search=row)
    searches.undo_test(test, by=staff_of(request), now=now())
    return redirect("search", row.pk)


@require_POST
def end(request: HttpRequest, search_id: int) -> HttpResponse:
    """No more tests today."""
    row = search_of(request, search_id)
    searches.end_search(row, now=now())
    return redirect("search-result", row.pk)


def result(request: HttpRequest, search_id: int) -> HttpResponse:
    """What was found, and what comes next."""
    row = search_of(request, search_id)
    found = results.result_of(row)
    page = {"result": found, "row": row, "lifter": row.session.lifter, "episode": row.session.episode}
    loading = found.training_rig.loading if found.training_rig else None
    if loading:
        page["sleeve"] = plates_on_sleeve(loading.per_side, loading.plate_set.unit)
    page["unit"] = finding.unit_of(row)
    page["is_today"] = row.session.day == today_of(gym_of(request), now())
    page["undo"] = "each" if page["is_today"] else ""
    return render(request, "find/result.html", {**page, "page": "lifters"})


def search_of(request: HttpRequest, search_id: int) -> Search:
    """A search of a lifter of this gym."""
    rows = Search.objects.select_related("session__lifter__gym", "session__episode", "bar", "collar")
    return get_object_or_404(rows, pk=search_id, session__lifter__gym=gym_of(request))


def _page(working: Working, form: TestForm, other: OtherLoadForm) -> dict[str, Any]:
    row = working.row
    loading, change = working.rig.loading, working.change
    on, off = (change.on, change.off) if change else ((), ())
    if loading and len(loading.per_side) + len(off) > MOST_DRAWN:
        off = ()  # the words say what comes off; the drawing stays as wide as a phone
    unit = Unit(row.bar.unit) if row.bar else Unit.KG
    marks = [
        Mark(load=done.row.load, pain=done.row.pain or 0, acceptable=done.good) for done in working.tests
    ]
    return {
        "row": row,
        "measured": measured_in(row.session.lifter, [reads.setup(row)]),
        "working": working,
        "form": form,
        "other": other,
        "lifter": row.session.lifter,
        "episode": row.session.episode,
        "unit": unit,
        "sleeve": plates_on_sleeve(loading.per_side, unit, on, off) if loading else "",
        "line": sets_line(
            [*_hurt(row), *marks], lightest=working.lightest, next_load=working.load, unit=unit
        ),
        "page": "lifters",
    }


def _hurt(row: Search) -> list[Mark]:
    """The set that began it, where this is its lift."""
    episode = row.session.episode
    if episode is None or episode.lift != row.lift or episode.pain is None:
        return []
    return [Mark(load=row.hurt_load, pain=episode.pain, acceptable=False, label=_("at first"))]


def _typed_load(request: HttpRequest) -> Decimal | None:
    field = TestForm.base_fields["load"]
    try:
        return field.clean(request.POST.get("load"))  # type: ignore[no-any-return]
    except ValidationError:
        return None
