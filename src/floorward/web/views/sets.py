"""Between sets: the set to do now, logging it in a tap, and mending what was logged."""

import secrets
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from floorward.actions import done_sets, lines, sessions
from floorward.actions.done_sets import Logged, SetReport
from floorward.actions.lifters import consent_of
from floorward.actions.rests import most_rest_s
from floorward.actions.rigging import stock_of
from floorward.actions.session_page import log_page, sore_region
from floorward.core.records import Region
from floorward.language import weight
from floorward.reports.drawings.rest_line import rest_line
from floorward.reports.wording import lift_name, sentence_for
from floorward.storage.models import DoneSet, Line, Session
from floorward.units import Unit, plain
from floorward.web.access import sees_health
from floorward.web.forms.room import RoomInput
from floorward.web.forms.sessions import MoveForm, ScoreForm, SetForm, TapForm, set_values
from floorward.web.kept import said_after, said_at
from floorward.web.lookup import gym_of, session_of, staff_of
from floorward.web.now import now


def session(request: HttpRequest, session_id: int) -> HttpResponse:
    """The set to do now; a pain key logs it as planned."""
    row = session_of(request, session_id)
    form = TapForm(request.POST or None)
    line_id = _number(request, "line")
    if request.method == "POST" and form.is_valid():
        logged = done_sets.log_set(
            _line(row, line_id), form.report(), by=staff_of(request), now=_when(request, row)
        )
        _tell(request, logged, form.report())
        return redirect(_here(row, line_id))
    page = log_page(row, now(), line_id=line_id, work="work" in request.GET, shown=sees_health(request))
    gym = row.lifter.gym
    shown = {
        "view": page,
        "lifter": row.lifter,
        "form": form,
        "pad": RoomInput(ceiling=gym.ceiling_finding, limit=gym.ceiling_set).rows(),
        "plain_pad": _plain_pad(),
        "ceiling": gym.ceiling_finding,
        "limit": gym.ceiling_set,
        "sore_back": sore_region(row) == Region.LOW_BACK,
        "client_id": secrets.token_hex(12),
        "no_rest": rest_line(0, 1),
        "most_rest_s": most_rest_s(),
    }
    return render(request, "sessions/session.html", shown, status=422 if request.method == "POST" else 200)


def changed(request: HttpRequest, session_id: int, line_id: int) -> HttpResponse:
    """A set that was not done as planned."""
    row = session_of(request, session_id)
    line = _line(row, line_id)
    warm_up = request.GET.get("kind") == DoneSet.Kind.WARM_UP
    kind = DoneSet.Kind.WARM_UP if warm_up else DoneSet.Kind.WORK
    load, reps = request.GET.get("load", plain(line.load)), request.GET.get("reps", line.reps)
    told = {"side": request.GET.get("side", ""), "client_id": secrets.token_hex(12)}
    initial = {"load": f"{load} {line.unit}", "reps": reps, **told}
    form = _set_form(request, line, initial=initial)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        report = SetReport(
            kind=str(kind), side=said["side"], client_id=said["client_id"] or None, **form.changes()
        )
        logged = done_sets.log_set(line, report, by=staff_of(request), now=_when(request, row))
        _tell(request, logged, report)
        return redirect(_here(row, line.pk))
    title = _("%(lift)s: what was done") % {"lift": lift_name(line.lift).capitalize()}
    limit = row.lifter.gym.ceiling_set
    return _set_page(
        request, row, form, title=title, button=_("Log this set"), line=line, kind=kind, limit=limit
    )


def one_set(request: HttpRequest, session_id: int, set_id: int) -> HttpResponse:
    """Mend a set, move it to where it belongs, or take it back."""
    row = session_of(request, session_id)
    done = get_object_or_404(
        DoneSet.objects.select_related("line", "session__lifter__gym"), pk=set_id, session=row, search=None
    )
    form = _set_form(
        request, done.line, initial=set_values(done, kept=consent_of(row.lifter) is not None), done=done
    )
    if request.method == "POST" and form.is_valid():
        done_sets.change_set(done, changes=form.changes(), by=staff_of(request), now=now())
        return redirect("session", row.pk)
    title = f"{lift_name(done.lift).capitalize()}, {weight(done.load, done.unit)} × {done.reps}"
    move = MoveForm(lines=_places(request, done))
    return _set_page(request, row, form, title=title, button=_("Save"), done=done, move=move)


@require_POST
def move_set(request: HttpRequest, session_id: int, set_id: int) -> HttpResponse:
    """To another lift, or to the lifter who did it."""
    row = session_of(request, session_id)
    done = get_object_or_404(DoneSet, pk=set_id, session=row, search=None)
    form = MoveForm(request.POST, lines=_places(request, done))
    if not form.is_valid():
        return redirect("one-set", row.pk, done.pk)
    line = get_object_or_404(
        Line.objects.select_related("session__lifter__gym"), pk=form.cleaned_data["line"]
    )
    done_sets.move_set(done, line, by=staff_of(request), now=now())
    messages.info(request, sentence_for("set-moved", {"name": line.session.lifter.name}))
    return redirect("session", row.pk)


@require_POST
def undo(request: HttpRequest, session_id: int, set_id: int | None = None) -> HttpResponse:
    """Take a set back: the last one, or the one named."""
    row = session_of(request, session_id)
    named = get_object_or_404(DoneSet, pk=set_id, session=row, search=None) if set_id else None
    done = named or done_sets.last_set(row)
    if done is not None:
        done_sets.undo_set(done, by=staff_of(request), now=now())
        messages.info(
            request,
            sentence_for("set-undone", {"load": f"{plain(done.load)} {done.unit}", "reps": done.reps}),
        )
    return redirect("session", row.pk)


@require_POST
def before(request: HttpRequest, session_id: int) -> HttpResponse:
    """The pain before the warm-up."""
    row = session_of(request, session_id)
    form = ScoreForm(request.POST)
    if form.is_valid() and not sessions.say_before(
        row, form.cleaned_data["score"], by=staff_of(request), now=_when(request, row)
    ):
        messages.info(request, sentence_for("not-kept", {}))
    return redirect("session", row.pk)


def after(request: HttpRequest, session_id: int) -> HttpResponse:
    """The pain within the hour after."""
    row = session_of(request, session_id)
    form = ScoreForm(request.POST or None, findings=sessions.after_findings(row, _when(request, row)))
    if request.method == "POST" and form.is_valid():
        if not sessions.say_after(
            row, form.cleaned_data["score"], by=staff_of(request), now=_when(request, row)
        ):
            messages.info(request, sentence_for("not-kept", {}))
        return redirect("lifter", row.lifter_id)
    shown = {
        "session": row,
        "lifter": row.lifter,
        "form": form,
        "pad": _plain_pad(),
        "kept": consent_of(row.lifter),
        "shown": sees_health(request),
    }
    return render(request, "sessions/after.html", shown, status=422 if request.method == "POST" else 200)


@require_POST
def end(request: HttpRequest, session_id: int) -> HttpResponse:
    """The session is over; the score after it comes next."""
    row = session_of(request, session_id)
    sessions.end_session(row, now())
    return redirect("after", row.pk) if row.episode else redirect("lifter", row.lifter_id)


def _set_form(
    request: HttpRequest, line: Line | None, *, initial: dict[str, Any], done: DoneSet | None = None
) -> SetForm:
    unit = Unit(line.unit if line else done.unit if done else "kg")
    gym = gym_of(request)
    sore = line is not None and line.role != Line.Role.USUAL
    return SetForm(
        request.POST or None,
        unit=unit,
        findings=lambda said: lines.done_findings(line, said["load"], stock_of(gym)) if line else (),
        limit=gym.ceiling_set,
        pain_needed=sore,
        initial=initial,
    )


def _set_page(request: HttpRequest, row: Session, form: SetForm, **page: Any) -> HttpResponse:
    shown = {
        "session": row,
        "lifter": row.lifter,
        "form": form,
        "back": reverse("session", args=[row.pk]),
        **page,
    }
    return render(request, "sessions/set.html", shown, status=422 if request.method == "POST" else 200)


def _places(request: HttpRequest, done: DoneSet) -> list[tuple[int, str]]:
    """Every line of that day that a set may belong to, the lifter's own first."""
    rows = Line.objects.filter(session__lifter__gym=gym_of(request), session__day=done.session.day)
    rows = rows.exclude(pk=done.line_id or 0).select_related("session__lifter")
    ordered = sorted(
        rows, key=lambda row: (row.session_id != done.session_id, row.session.lifter.name, row.order)
    )
    return [
        (row.pk, f"{row.session.lifter.name}: {lift_name(row.lift)}, {weight(row.load, row.unit)}")
        for row in ordered
    ]


def _tell(request: HttpRequest, logged: Logged, report: SetReport) -> None:
    numbers = {"load": f"{plain(logged.row.load)} {logged.row.unit}", "reps": logged.row.reps}
    if not logged.fresh and (logged.row.pain, logged.row.reps) != (report.pain, report.reps):
        messages.info(request, sentence_for("set-stored", numbers))
    elif not logged.kept and report.spreading:
        messages.info(request, sentence_for("not-kept", {}))
        messages.warning(request, sentence_for("spread-now", {}))
    elif not logged.kept and report.pain is not None:
        messages.info(request, sentence_for("not-kept", {}))
        limit = logged.row.session.lifter.gym.ceiling_set
        if report.pain > limit or report.acceptable is False:
            messages.warning(request, sentence_for("ease-now", {"pain": report.pain}))


def _when(request: HttpRequest, row: Session) -> datetime:
    """When it was said: what a phone kept was said before it is sent, and after what the same phone said before."""
    return said_at(request, not_before=done_sets.earliest_after(row, said_after(request)))


def _line(row: Session, line_id: int | None) -> Line:
    rows = Line.objects.select_related("session__lifter__gym", "session__episode", "bar", "collar")
    return get_object_or_404(rows, pk=line_id or 0, session=row)


def _here(row: Session, line_id: int | None) -> str:
    return f"{reverse('session', args=[row.pk])}?line={line_id}"


def _plain_pad() -> list[dict[str, Any]]:
    """The keys without lines across, so that nothing leads the answer."""
    return [{**keys, "lid": ""} for keys in RoomInput().rows()]


def _number(request: HttpRequest, name: str) -> int | None:
    text = request.POST.get(name) or request.GET.get(name) or ""
    if text and not (text.isdecimal() and len(text) < 12):
        raise Http404
    return int(text) if text else None
