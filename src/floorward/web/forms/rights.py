"""What is asked before everything of a lifter is given out or erased."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from floorward.core.findings import Finding, Weight
from floorward.web.forms.asking import AskingForm
from floorward.web.speech import languages


class LanguageForm(AskingForm):
    """The language that somebody wants to be spoken to in."""

    language = forms.ChoiceField(
        label=_("Language of these pages"), choices=languages, widget=forms.RadioSelect, required=False
    )


class YearForm(AskingForm):
    """The year that a lifter was born in: a link alone does not prove who holds it."""

    born_year = forms.IntegerField(
        label=_("Your year of birth"),
        min_value=1900,
        max_value=2100,
        help_text=_("So that nobody else can do this with your link."),
        error_messages={"required": _("Write the year you were born in, such as 1990.")},
    )


class EraseForm(AskingForm):
    """The name of whoever is to be erased, typed."""

    name = forms.CharField(label=_("To erase, type their name"), max_length=80)

    def __init__(self, *args: Any, lifter_name: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lifter_name = lifter_name

    def check(self) -> tuple[Finding, ...]:
        """Typed as it stands."""
        if " ".join(self.cleaned_data["name"].split()) != " ".join(self.lifter_name.split()):
            return (Finding(code="erase-unsure", field="name", weight=Weight.REFUSE),)
        return ()
