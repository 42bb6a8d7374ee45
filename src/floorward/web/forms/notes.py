"""The question that goes to a clinician with a note."""

from django import forms
from django.utils.translation import gettext_lazy as _

from floorward.web.forms.asking import AskingForm

QUESTION_MOST = 600


class NoteForm(AskingForm):
    """What the coach wants to know."""

    question = forms.CharField(
        label=_("Your question to the clinician"),
        max_length=QUESTION_MOST,
        required=False,
        strip=True,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=_(
            "Such as: may she deadlift from blocks meanwhile? Left empty, the note asks what may be loaded."
        ),
    )
