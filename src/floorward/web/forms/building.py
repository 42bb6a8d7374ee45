"""What a session is to be built from, and the numbers of one of its lines."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from floorward.core.worth import Aim
from floorward.reports.wording import sentence_for
from floorward.tables import value
from floorward.web.forms.asking import AskingForm


class WishesForm(AskingForm):
    """Minutes, sessions left this week, bars that are not free."""

    minutes = forms.IntegerField(label=_("Minutes"), min_value=15, max_value=180)
    sessions_left = forms.IntegerField(
        label=_("Sessions left this week, this one too"), min_value=1, max_value=7, required=False
    )
    aim = forms.ChoiceField(
        label=_("What it trains for"), choices=[(str(one), str(one)) for one in Aim], required=False
    )
    busy = forms.MultipleChoiceField(label=_("Not free"), widget=forms.CheckboxSelectMultiple, required=False)
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, bars: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["busy"].choices = [(bar, bar) for bar in bars]  # type: ignore[attr-defined]

    def wished(self) -> dict[str, Any]:
        """The columns of the wishes."""
        said = self.cleaned_data
        left = {"sessions_left": said["sessions_left"]} if said["sessions_left"] else {}
        return {"minutes": said["minutes"], "aim": said["aim"], "busy": said["busy"], **left}


class WeekForm(AskingForm):
    """The days of a week from the session's own on, and the minutes of each."""

    minutes = forms.IntegerField(label=_("Minutes a session"), min_value=15, max_value=180)
    days = forms.TypedMultipleChoiceField(
        label=_("Days"), widget=forms.CheckboxSelectMultiple, coerce=int, required=False
    )

    def __init__(self, *args: Any, days: list[int], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["days"].choices = [(str(day), str(day)) for day in days]  # type: ignore[attr-defined]

    def clean_days(self) -> list[int]:
        """The session's own day is always among them; no more than the builder plans together."""
        wanted = sorted({0, *self.cleaned_data["days"]})
        most = int(value("builder", "week", "most"))
        if len(wanted) > most:
            raise forms.ValidationError(sentence_for("week-too-many", {"most": most}))
        return wanted


class NumbersForm(AskingForm):
    """Load, sets and repetitions of one line."""

    load = forms.DecimalField(min_value=0, max_value=2000, decimal_places=4)
    sets = forms.IntegerField(min_value=1, max_value=20)
    reps = forms.IntegerField(min_value=1, max_value=100)
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)
