"""Which coaches are assigned to a lifter."""

from typing import Any

from django import forms

from floorward.storage.models import Staff
from floorward.web.forms.asking import AskingForm


class CoachesForm(AskingForm):
    """Everybody who coaches here, ticked where assigned."""

    coaches = forms.ModelMultipleChoiceField(
        label="Who sees the health answers",
        queryset=Staff.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args: Any, among: tuple[Staff, ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = Staff.objects.filter(pk__in=[row.pk for row in among]).order_by("name")
        self.fields["coaches"].queryset = rows  # type: ignore[attr-defined]
