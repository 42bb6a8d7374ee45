"""The warning-sign questions as a form, and a clinician's clearance."""

from datetime import date
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils.translation import gettext_lazy as _

from floorward.actions import screening
from floorward.actions.screening import Sheet
from floorward.core.findings import Finding
from floorward.core.records import ARM_REGIONS
from floorward.core.screen import Answer, Question, unanswered
from floorward.language import translated
from floorward.reports.wording import words
from floorward.storage.models import Episode
from floorward.web.forms.asking import AskingForm


def limb_symptoms_typed(data: Any, *, before: bool) -> bool:
    """What was said about the leg or arm, read before the questions are chosen, because some depend on it."""
    return before if data is None else data.get("limb") == "yes"


class ScreenForm(AskingForm):
    """One question a row: yes, no, not sure. The urgent ones each want their own answer; the rest may be a no together."""

    limb = forms.ChoiceField(
        label=_("Is there pain, tingling, numbness or weakness in a leg now?"),
        choices=[("no", _("No")), ("yes", _("Yes"))],
        widget=forms.RadioSelect,
        error_messages={"required": _("This one decides what else is asked.")},
    )
    rest_no = forms.BooleanField(
        label=_("I read every question aloud. Where nothing is marked, it was a no."), required=False
    )

    def __init__(self, *args: Any, sheet: Sheet, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.sheet = sheet
        if sheet.region in ARM_REGIONS:
            self.fields["limb"].label = _("Is there tingling, numbness or weakness in an arm now?")
        for question in sheet.asked:
            self.fields[question.id] = forms.ChoiceField(
                label=translated(question.text),
                choices=lambda: list(words("answer").items()),
                widget=forms.RadioSelect,
                required=False,
                error_messages={"invalid_choice": _("Yes, no or not sure.")},
            )

    def clean(self) -> dict[str, Any]:
        """Every open question has an answer, its own or the common no."""
        cleaned = super().clean()
        for name in unanswered(self.sheet.asked, self.answers()):
            if name not in self.errors:
                self.add_error(name, _("Still without an answer."))
        return cleaned

    def answers(self) -> dict[str, Answer]:
        """What was answered, by question; where nothing is marked and the rest was a no, a no."""
        given = {q.id: self.cleaned_data.get(q.id) for q in self.sheet.asked}
        rest = {q.id for q in self.sheet.rest if not q.parent} if self.cleaned_data.get("rest_no") else set()
        return {name: Answer(said or "no") for name, said in given.items() if said or name in rest}

    def first_rows(self) -> list[dict[str, Any]]:
        """The questions that want their own answer."""
        return [self._row(question) for question in self.sheet.first]

    def rest_rows(self) -> list[dict[str, Any]]:
        """The other questions, each with those that it opens."""
        return [self._row(question) for question in self.sheet.rest if not question.parent]

    def _row(self, question: Question) -> dict[str, Any]:
        opens = [inner for inner in self.sheet.rest if inner.parent == question.id]
        field: BoundField = self[question.id]
        return {"question": question, "field": field, "opens": [self._row(inner) for inner in opens]}


class UnkeptForm(AskingForm):
    """What the questions need to know when there is no episode to read it from."""

    region = forms.ChoiceField(
        label=_("Where does it hurt?"),
        choices=lambda: list(words("region").items()),
        widget=forms.RadioSelect,
    )
    injury = forms.BooleanField(label=_("It came with a fall, a blow or a twist"), required=False)


class ClearanceForm(AskingForm):
    """A clinician's word: who, when, what."""

    day = forms.DateField(
        label=_("Seen on"), widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    clinician_role = forms.CharField(
        label=_("What they are"),
        max_length=60,
        help_text=_("Such as general practitioner, physiotherapist, emergency doctor."),
    )
    clinician_name = forms.CharField(label=_("Their name"), max_length=80)
    note = forms.CharField(label=_("What they said about training"), max_length=300, required=False)

    def __init__(self, *args: Any, episode: Episode, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.episode, self.today = episode, today

    def check(self) -> tuple[Finding, ...]:
        """Not before the answers, not in the future, by somebody with a role."""
        data = self.cleaned_data
        return screening.clearance_check(
            self.episode, day=data["day"], role=data["clinician_role"], today=self.today
        )

    def said(self) -> dict[str, Any]:
        """What the action takes."""
        data = self.cleaned_data
        names = {"role": data["clinician_role"], "name": data["clinician_name"]}
        return {"day": data["day"], "note": data["note"], **names}
