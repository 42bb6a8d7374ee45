"""The plan of a session: today's lines, changing them, their order."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from floorward.actions import building, lines, planning, sessions, usual
from floorward.actions.locks import lock_of
from floorward.actions.overview import open_episode
from floorward.actions.plate_order import plate_order
from floorward.actions.rigging import stock_of
from floorward.actions.session_page import plan_page, sore_region
from floorward.errors import Refused
from floorward.reports.wording import lift_choices, lift_name, sentence_for
from floorward.storage.models import Line, Session
from floorward.units import Unit
from floorward.web.access import is_assigned, sees_health
from floorward.web.forms.sessions import LineForm, line_values
from floorward.web.lookup import gym_of, lifter_of, session_of, staff_of
from floorward.web.now import now
from floorward.web.versions import beside


def today(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """Today's session of a lifter: planned at a press, or shown."""
    lifter = lifter_of(request, lifter_id)
    if request.method == "POST":
        return redirect("plan", sessions.plan_today(lifter, by=staff_of(request), now=now()).pk)
    row = sessions.session_today(lifter, now())
    if row is not None and row.lines.exists():
        begun = row.done_sets.filter(undone_at=None, search=None).exists()
        return redirect("session" if begun and row.ended_at is None else "plan", row.pk)
    lock = lock_of(lifter)
    shown = {
        "lifter": lifter,
        "episode": open_episode(lifter),
        "stopped": lock is not None and lock.whole_person,
        "page": "lifters",
        "tab": "session",
    }
    return render(request, "sessions/none.html", shown)


def plan(request: HttpRequest, session_id: int) -> HttpResponse:
    """The lines of the session, and what can be added."""
    row = session_of(request, session_id)
    stock = stock_of(gym_of(request))
    view = plan_page(row)
    region = sore_region(row) if sees_health(request) else None
    shown = {
        "lifter": row.lifter,
        "view": view,
        "plates": plate_order(view.lines, stock, region),
        "usual": usual.usual_lifts(row, stock),
        "lifts": lift_choices(),
        "may_build": is_assigned(request) and building.shut(row) is None,
        "built": building.wishes_of(row).version > 0,
        "page": "lifters",
        "tab": "session",
    }
    return render(request, "sessions/plan.html", shown)


@require_POST
def add_usual(request: HttpRequest, session_id: int) -> HttpResponse:
    """Put an unaffected lift on the plan as it usually is, or all of them."""
    row = session_of(request, session_id)
    wanted = request.POST.get("lift", "")
    for one in usual.usual_lifts(row, stock_of(gym_of(request))):
        if wanted in {one.lift, "all"}:
            lines.add_line(row, usual.values_of(one))
    return redirect("plan", row.pk)


def add_line(request: HttpRequest, session_id: int) -> HttpResponse:
    """A line of the coach's own."""
    row = session_of(request, session_id)
    lift = request.POST.get("lift") or request.GET.get("lift", "")
    if not lift:
        return redirect("plan", row.pk)
    if lift not in dict(lift_choices()):
        raise Http404
    start = planning.blank_line(row, lift)
    form = _form(request, start, initial=line_values(start))
    page: dict[str, Any] = {"line": start, "button": _("Add to the plan")}
    if request.method == "POST" and form.is_valid():
        try:
            lines.add_line(row, planning.columns_of(start, form.cleaned_data))
        except Refused as refusal:
            page["refusal"] = sentence_for(refusal.code, refusal.numbers)
        else:
            return redirect("plan", row.pk)
    return _line_page(request, row, form, **page)


def change_line(request: HttpRequest, session_id: int, line_id: int) -> HttpResponse:
    """Change a line; a colleague's change meanwhile is shown beside yours."""
    row, line = _found(request, session_id, line_id)
    form = _form(request, line, initial=line_values(line))
    page: dict[str, Any] = {"line": line, "button": _("Save")}
    if request.method == "POST" and form.is_valid():
        seen = form.cleaned_data["version"] or 0
        try:
            lines.change_line(line, seen_version=seen, changes=planning.columns_of(line, form.cleaned_data))
        except Refused as refusal:
            page["refusal"] = sentence_for(refusal.code, refusal.numbers)
            line.refresh_from_db()
            page["theirs"], typed = beside(form, line_values(line))
            form = _form(request, line, data=typed, initial=line_values(line))
        else:
            return redirect("plan", row.pk)
    return _line_page(request, row, form, **page)


@require_POST
def do_line(request: HttpRequest, session_id: int, line_id: int, what: str) -> HttpResponse:
    """Move a line up or down, remove it, leave it for today, take it up again, or go one rung down."""
    row, line = _found(request, session_id, line_id)
    if what in {"up", "down"}:
        lines.reorder(line, up=what == "up")
    elif what == "remove":
        lines.remove_line(line)
    elif what == "leave":
        lines.leave_line(line, now())
    elif what == "resume":
        lines.resume_line(line)
    else:
        lines.lower_line(line, stock_of(gym_of(request)))
    if what in {"up", "down", "remove"}:
        return redirect("plan", row.pk)
    return redirect(f"{reverse('session', args=[row.pk])}?line={line.pk}")


def _form(request: HttpRequest, line: Line, *, data: Any = None, initial: dict[str, Any]) -> LineForm:
    gym = gym_of(request)
    choices = planning.choices_for(gym, line)
    return LineForm(
        data or request.POST or None,
        bars=choices.bars,
        collars=gym.collars.all(),
        heights=list(choices.heights),
        with_depth=choices.with_depth,
        unit=Unit(line.unit),
        findings=lambda said: planning.findings_for(line, said),
        initial=initial,
    )


def _line_page(request: HttpRequest, row: Session, form: LineForm, **page: Any) -> HttpResponse:
    line: Line = page["line"]
    shown = {
        "session": row,
        "lifter": row.lifter,
        "form": form,
        "title": lift_name(line.lift).capitalize(),
        "first_load": planning.first_load_of(line),
        "page": "lifters",
        **page,
    }
    return render(request, "sessions/line.html", shown, status=422 if request.method == "POST" else 200)


def _found(request: HttpRequest, session_id: int, line_id: int) -> tuple[Session, Line]:
    row = session_of(request, session_id)
    rows = Line.objects.select_related("session__lifter__gym", "session__episode", "bar", "collar")
    return row, get_object_or_404(rows, pk=line_id, session=row)
