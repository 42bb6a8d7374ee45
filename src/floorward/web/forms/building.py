"""What a session is to be built from, and the numbers of one of its lines."""

from typing import Any

from django import forms

from floorward.web.forms.asking import AskingForm


class WishesForm(AskingForm):
    """Minutes, sessions left this week, bars that are not free."""

    minutes = forms.IntegerField(label="Minutes", min_value=15, max_value=180)
    sessions_left = forms.IntegerField(
        label="Sessions left this week, this one too", min_value=1, max_value=7, required=False
    )
    busy = forms.MultipleChoiceField(label="Not free", widget=forms.CheckboxSelectMultiple, required=False)
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, bars: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["busy"].choices = [(bar, bar) for bar in bars]  # type: ignore[attr-defined]

    def wished(self) -> dict[str, Any]:
        """The columns of the wishes."""
        said = self.cleaned_data
        left = {"sessions_left": said["sessions_left"]} if said["sessions_left"] else {}
        return {"minutes": said["minutes"], "busy": said["busy"], **left}


class NumbersForm(AskingForm):
    """Load, sets and repetitions of one line."""

    load = forms.DecimalField(min_value=0, max_value=2000, decimal_places=4)
    sets = forms.IntegerField(min_value=1, max_value=20)
    reps = forms.IntegerField(min_value=1, max_value=100)
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)
