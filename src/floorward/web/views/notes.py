"""The note to a clinician: the coach types the question, and takes the note as a page or as a health-record file."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from floorward.actions import notes
from floorward.language import speaking, spoken
from floorward.reports.health_record import MEDIA_TYPE, record
from floorward.reports.note import note_pdf
from floorward.web.forms.notes import NoteForm
from floorward.web.lookup import episode_of, staff_of
from floorward.web.now import now

FILES = {"page": (note_pdf, "application/pdf", "pdf"), "record": (record, MEDIA_TYPE, "json")}


def note(request: HttpRequest, episode_id: int) -> HttpResponse:
    """Ask for the question; then the note, in the form that was asked for."""
    episode = episode_of(request, episode_id)
    form = NoteForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        write, media_type, ending = FILES.get(request.POST.get("as", ""), FILES["page"])
        with speaking(spoken()):  # a clinician reads centimetres, and each load as it was loaded
            made = notes.write_note(
                episode, question=form.cleaned_data["question"], by=staff_of(request), now=now()
            )
            response = HttpResponse(write(made), content_type=media_type)
        name = f"note-{made.written:%Y-%m-%d}-{episode.pk}.{ending}"
        response["Content-Disposition"] = f'attachment; filename="{name}"'
        return response
    page = {
        "lifter": episode.lifter,
        "episode": episode,
        "form": form,
        "may_share": notes.may_share(episode.lifter),
        "page": "lifters",
    }
    return render(request, "notes/note.html", page, status=422 if request.method == "POST" else 200)
