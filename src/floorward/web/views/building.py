"""Building a session: wishes, pins, what is left out, numbers in place, and taking the last change back."""

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from floorward.actions import building
from floorward.actions import week as week_plan
from floorward.actions.built_page import built_page
from floorward.actions.measured import measured_in
from floorward.errors import Refused
from floorward.reports.wording import sentence, sentence_for
from floorward.storage import reads
from floorward.storage.models import Session
from floorward.web.forms.building import NumbersForm, WeekForm, WishesForm
from floorward.web.lookup import gym_of, session_of
from floorward.web.versions import seen_version


def built(request: HttpRequest, session_id: int) -> HttpResponse:
    """The built session; a press builds it anew with what is wished."""
    row = session_of(request, session_id)
    bars = [bar.name for bar in gym_of(request).bars.all()]
    form = WishesForm(request.POST or None, bars=bars)
    if request.method == "POST" and form.is_valid():
        seen = form.cleaned_data["version"] or 0
        return _do(request, row, lambda: building.build(row, form.wished(), seen_version=seen))
    return _page(request, row, form=form if request.method == "POST" else None)


def week(request: HttpRequest, session_id: int) -> HttpResponse:
    """The week of the session planned whole, once days are asked for; nothing is stored."""
    row = session_of(request, session_id)
    form = WeekForm(request.GET or None, days=[count for count, _ in week_plan.open_days(row)])
    asked = bool(request.GET) and form.is_valid()
    view = (
        week_plan.week_of(row, form.cleaned_data["days"], form.cleaned_data["minutes"])
        if asked and building.shut(row) is None
        else week_plan.blank_week(row)
    )
    version = building.wishes_of(row).version
    shown = {"lifter": row.lifter, "view": view, "form": form, "version": version}
    shown |= {"page": "lifters", "tab": "session"}
    wrong = bool(request.GET) and not asked
    return render(request, _part(request, "week"), shown, status=422 if wrong else 200)


@require_POST
def take_day(request: HttpRequest, session_id: int) -> HttpResponse:
    """Today's session as the week has it: built for as many sessions, on its own."""
    row, seen = session_of(request, session_id), seen_version(request)
    form = WeekForm(request.POST, days=[count for count, _ in week_plan.open_days(row)])
    if not form.is_valid():
        return redirect("week", row.pk)
    days, minutes = form.cleaned_data["days"], form.cleaned_data["minutes"]
    return _do(request, row, lambda: building.take_day(row, days, minutes, seen_version=seen))


@require_POST
def pin(request: HttpRequest, session_id: int) -> HttpResponse:
    """Settle a line as it stands, or let it go."""
    row = session_of(request, session_id)
    key, seen = request.POST.get("exercise", ""), seen_version(request)
    return _do(request, row, lambda: building.pin(row, key, seen_version=seen))


@require_POST
def ban(request: HttpRequest, session_id: int) -> HttpResponse:
    """Leave an exercise out, or let it in again; the rest is built around it."""
    row = session_of(request, session_id)
    key, seen = request.POST.get("exercise", ""), seen_version(request)
    return _do(request, row, lambda: building.ban(row, key, seen_version=seen))


@require_POST
def take_back(request: HttpRequest, session_id: int) -> HttpResponse:
    """Undo the last change."""
    row, seen = session_of(request, session_id), seen_version(request)
    return _do(request, row, lambda: building.take_back(row, seen_version=seen))


@require_POST
def edit(request: HttpRequest, session_id: int, line_id: int) -> HttpResponse:
    """Other numbers for a line; refused ones stay in their boxes with the sentence beside them."""
    row = session_of(request, session_id)
    line = get_object_or_404(row.lines, pk=line_id)
    form = NumbersForm(request.POST)
    if not form.is_valid():
        return _page(request, row, wrong={"line": line.pk, "form": form, "sentences": ()})
    said = form.cleaned_data
    typed = building.Edit(load=said["load"], sets=said["sets"], reps=said["reps"])
    try:
        findings = building.edit(row, line, typed, seen_version=said["version"] or 0)
    except Refused as refusal:
        return _page(request, row, refusal=_said(refusal))
    if findings:
        sentences = tuple(sentence(one) for one in findings)
        return _page(request, row, wrong={"line": line.pk, "form": form, "sentences": sentences})
    return redirect("build", row.pk)


def _said(refusal: Refused) -> str:
    """Its sentence; a page of lines shows what stands now, and not two versions beside one another."""
    code = "build-changed-meanwhile" if refusal.code == "changed-meanwhile" else refusal.code
    return sentence_for(code, refusal.numbers)


def _do(request: HttpRequest, row: Session, work: Callable[[], Any]) -> HttpResponse:
    try:
        work()
    except Refused as refusal:
        return _page(request, row, refusal=_said(refusal))
    return redirect("build", row.pk)


def _page(request: HttpRequest, row: Session, **more: Any) -> HttpResponse:
    view = built_page(row)
    measured = measured_in(row.lifter, [reads.setup(one.view.line) for one in view.lines])
    shown = {"lifter": row.lifter, "view": view, "measured": measured, "page": "lifters", "tab": "session"}
    shown |= more
    return render(request, _part(request, "build"), shown, status=422 if request.method == "POST" else 200)


def _part(request: HttpRequest, page: str) -> str:
    """The template of a page, or of its main part alone where a script asks to put that in place."""
    return f"sessions/{page}_part.html" if "X-Part" in request.headers else f"sessions/{page}.html"
