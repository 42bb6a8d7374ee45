"""Which coaches are assigned to a lifter."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from floorward.storage.models import Staff
from floorward.web.forms.asking import AskingForm


class CoachesForm(AskingForm):
    """Everybody who coaches here, ticked where assigned."""

    coaches = forms.MultipleChoiceField(
        label=_("Who sees the health answers"), required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, among: tuple[Staff, ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.among = {str(row.pk): row for row in among}
        self.fields["coaches"].choices = [(key, row.name) for key, row in self.among.items()]  # type: ignore[attr-defined]

    def clean_coaches(self) -> list[Staff]:
        """The coaches themselves. They are chosen from those shown: a number too large for the database is never looked up."""
        return [self.among[key] for key in self.cleaned_data["coaches"]]
