"""Tables that somebody made, on their way in: the list, the file, what it means, and back."""

import base64
import io
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from floorward.actions import imports
from floorward.actions.import_rows import take_rows
from floorward.actions.import_survey import Survey, survey
from floorward.actions.mornings import gym_day
from floorward.core import headings
from floorward.errors import Refused
from floorward.reports.wording import sentence_for, word
from floorward.storage.models import Import
from floorward.storage.sheets import WEB
from floorward.web.forms.imports import KINDS, FileForm, TableForm, posted_columns
from floorward.web.lookup import gym_of, staff_of
from floorward.web.now import now
from floorward.web.table_rows import read_rows, said_of

SHOWN, LISTED = 60, 100
EXAMPLES = {
    "sets": (("2026-11-03", "Abel Norwood", "deadlift", "102.5", "5", "kg", "7", "3", ""),),
    "bodies": (("Abel Norwood", "1991", "male", "176 cm", "85", "kg", "181 cm", "", "", "", ""),),
    "iron": (
        ("bar", "Bar by the window", "20", "kg", "", "", "", "", "", "", "", "415 mm"),
        ("plates", "", "20", "kg", "4", "", "450 mm", "45 mm", "", "", "", ""),
        ("block", "Low block", "", "", "", "1", "", "100 mm", "", "", "", ""),
        ("box", "Box 40", "", "", "", "", "", "", "40 cm", "", "", ""),
    ),
}
FILES = {"sets": "training-history.csv", "bodies": "people.csv", "iron": "equipment.csv"}


def import_list(request: HttpRequest) -> HttpResponse:
    """What was brought in, and a place to bring a file."""
    form, refusal = FileForm(request.POST or None, request.FILES or None), ""
    if request.method == "POST" and form.is_valid():
        sent = form.cleaned_data["file"]
        try:
            made = imports.wait_with(
                gym_of(request),
                sent.name,
                sent.file,
                WEB,
                by=staff_of(request),
                now=now(),
                kind=form.cleaned_data["what"],
            )
        except Refused as refused:
            refusal = sentence_for(refused.code, refused.numbers)
        else:
            return redirect("import-table", made.pk)
    page = {
        "form": form,
        "refusal": refusal,
        "rows": gym_of(request).imports.select_related("by")[:SHOWN],
        "page": "gym",
        "tab": "imports",
    }
    return render(request, "imports/list.html", page, status=422 if request.method == "POST" else 200)


def import_table(request: HttpRequest, import_id: int) -> HttpResponse:
    """What the table means; then what taking it would do; then it is taken."""
    row = get_object_or_404(Import, pk=import_id, gym=gym_of(request), state=Import.State.OPEN)
    file = io.BytesIO(base64.b64decode(row.kept))
    found = _surveyed(request, file, row.kind)
    form = TableForm(
        request.POST or None, survey=found, gym=gym_of(request), today=gym_day(gym_of(request), now())
    )
    page: dict[str, Any] = {"row": row, "form": form, "survey": found, "page": "gym", "tab": "imports"}
    if request.method == "POST" and form.is_valid():
        if row.kind != "sets":
            return _rows(request, row, file, form, page)
        if request.POST.get("do") == "take":
            imports.take(
                gym_of(request), file, form.matching(), WEB, row=row, by=staff_of(request), now=now()
            )
            return redirect("imports")
        looked = imports.look(gym_of(request), file, form.matching(), WEB)
        page |= {"look": looked, "problems": [_said(one) for one in looked.problems]}
        page["ready"] = bool(looked.sets and not looked.wrong)
        return render(request, "imports/table.html", page)
    return render(request, "imports/table.html", page, status=422 if request.method == "POST" else 200)


def _rows(
    request: HttpRequest, row: Import, file: io.BytesIO, form: TableForm, page: dict[str, Any]
) -> HttpResponse:
    """The same for people and for equipment."""
    read = read_rows(row.kind, gym_of(request), file, form.matching())
    if request.POST.get("do") == "take":
        if read.wrong:
            raise Refused("import-problems", count=read.wrong)
        take_rows(gym_of(request), read.weighed, row, by=staff_of(request), now=now())
        return redirect("imports")
    page |= {"read": read, "problems": read.problems[:LISTED], "remarks": read.remarks[:LISTED]}
    page["ready"] = bool((read.weighed.new or read.weighed.changed) and not read.wrong)
    return render(request, "imports/table.html", page)


@require_POST
def import_undo(request: HttpRequest, import_id: int) -> HttpResponse:
    """Take back all that it brought."""
    left = imports.undo(get_object_or_404(Import, pk=import_id, gym=gym_of(request)), now=now())
    if left:
        messages.warning(request, sentence_for("import-left", {"count": left}))
    return redirect("imports")


@require_POST
def import_drop(request: HttpRequest, import_id: int) -> HttpResponse:
    """Do not take it after all; the file is forgotten."""
    get_object_or_404(Import, pk=import_id, gym=gym_of(request), state=Import.State.OPEN).delete()
    return redirect("imports")


def import_template(request: HttpRequest) -> HttpResponse:
    """A table with the right headings and a line or a few to show how."""
    kind = request.GET.get("what", "")
    kind = kind if kind in KINDS else "sets"
    names = headings.columns_of(kind)
    lines = (",".join(word("column", name) for name in names), *map(",".join, EXAMPLES[kind]))
    response = HttpResponse("\r\n".join(lines) + "\r\n", content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{FILES[kind]}"'
    return response


def _surveyed(request: HttpRequest, file: io.BytesIO, kind: str) -> Survey:
    first = survey(gym_of(request), kind, file, WEB)
    chosen = posted_columns(request.POST, len(first.headings), kind)
    if chosen is None or chosen == first.columns:
        return first
    return survey(gym_of(request), kind, file, WEB, chosen)


def _said(problem: imports.Problem) -> dict[str, Any]:
    return {"line": problem.line, "text": said_of(problem.finding)}
