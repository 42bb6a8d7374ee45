"""The morning check: three taps."""

from datetime import date
from typing import Any

from django import forms
from django.utils.dateformat import format as written
from django.utils.translation import gettext_lazy as _

from floorward.actions.mornings import Answer, MorningView, morning_findings
from floorward.core.findings import Finding
from floorward.language import translated
from floorward.reports.wording import words
from floorward.web.forms.asking import AskingForm
from floorward.web.forms.room import PainField

WHICH = _("Which morning do you mean?")


class MorningForm(AskingForm):
    """Pain on waking, new symptoms, a bad night, one sentence; which morning is asked only where it could be another."""

    score = PainField(label=_("Tap one number"))
    new_symptoms = forms.ChoiceField(
        label=_("New numbness, weakness, or bladder or bowel trouble?"),
        help_text=_(
            "Numb skin; a weak leg, foot, arm or hand; pee or poo that you cannot hold, or that does not come."
        ),
        choices=lambda: list(words("new-symptoms").items()),
        widget=forms.RadioSelect,
        error_messages={"required": _("Tap no, yes or not sure.")},
    )
    night_lost = forms.BooleanField(label=_("The pain cost me sleep last night"), required=False)
    unwell = forms.BooleanField(label=_("I am ill too: fever or chills"), required=False)
    sentence = forms.CharField(label=_("One sentence, if you like"), max_length=200, required=False)
    day = forms.TypedChoiceField(
        label=_("Which morning?"),
        coerce=date.fromisoformat,
        error_messages={"required": WHICH, "invalid_choice": WHICH},
    )
    shown_day = forms.DateField(widget=forms.HiddenInput)
    episode = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, view: MorningView, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {"day": view.today, "shown_day": view.today, "episode": view.episode.pk})
        super().__init__(*args, **kwargs)
        self.view = view
        self.fields["day"].choices = [(day.isoformat(), self._called(day)) for day in view.days]  # type: ignore[attr-defined]

    @property
    def ticks(self) -> tuple[forms.BoundField, ...]:
        """What is ticked only where it is so."""
        return self["night_lost"], self["unwell"]

    @property
    def asks_day(self) -> bool:
        """Whether the page was opened on another day than it was sent, so that the morning must be named."""
        return "day" in self.errors or any(
            question.code == "morning-other-day" for question in self.questions
        )

    @property
    def tells_of_symptoms(self) -> bool:
        """Whether what was sent tells of new symptoms, whatever else in it is still asked: what to do cannot wait for that."""
        return self.is_bound and self.data.get("new_symptoms") in set(words("new-symptoms")) - {"no"}

    def check(self) -> tuple[Finding, ...]:
        """Ask when this morning was answered already, or the page is of another day."""
        return morning_findings(self.view, self.answer(), shown_day=self.cleaned_data["shown_day"])

    def answer(self) -> Answer:
        """What was said."""
        said = self.cleaned_data
        return Answer(
            **{
                name: said[name]
                for name in ("day", "score", "new_symptoms", "night_lost", "unwell", "sentence")
            }
        )

    def _called(self, day: date) -> str:
        name = written(day, translated("l j F", "date"))
        return _("This morning, %(day)s") % {"day": name} if day == self.view.today else name
