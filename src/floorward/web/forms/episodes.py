"""An episode of pain: where, since when, what provoked it."""

from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from floorward.core.equipment import unit_slip
from floorward.core.findings import Finding
from floorward.reports.wording import lift_choices, words
from floorward.storage.models import Episode, Lifter
from floorward.units import Mass, Unit, plain
from floorward.web.forms.asking import AskingForm, MassField
from floorward.web.forms.room import PainField

LONGEST_AGO_DAYS = 3650


class EpisodeForm(AskingForm):
    """The first report of pain, in a coach's words."""

    region = forms.ChoiceField(
        label=_("Where"), choices=lambda: list(words("region").items()), widget=forms.RadioSelect
    )
    since = forms.DateField(
        label=_("Since"), widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    lift = forms.ChoiceField(label=_("Lift"), choices=lift_choices, initial="deadlift")
    load = MassField(label=_("Load that hurt"), least_kg=0.5, most_kg=600)
    reps = forms.IntegerField(label=_("Reps"), min_value=1, max_value=100, initial=1)
    was_warm_up = forms.BooleanField(label=_("It was a warm-up set"), required=False)
    usual_load = MassField(
        label=_("Usual load for such a set"),
        least_kg=0.5,
        most_kg=600,
        help_text=_("What they would do on an ordinary day."),
    )
    pain = PainField(label=_("Worst pain in that set"))
    after_injury = forms.BooleanField(label=_("It came with a fall, a blow or a twist"), required=False)
    limb_symptoms = forms.BooleanField(
        label=_("Tingling, numbness or weakness in a leg or an arm, or pain down a leg"), required=False
    )
    belt = forms.BooleanField(label=_("Belt"), required=False)
    straps = forms.BooleanField(label=_("Straps"), required=False)
    shoes = forms.CharField(label=_("Shoes"), max_length=40, required=False)
    eases = forms.CharField(label=_("What eases it"), max_length=200, required=False)
    worsens = forms.CharField(label=_("What makes it worse"), max_length=200, required=False)
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, lifter: Lifter, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lifter, self.today = lifter, today
        for name in ("load", "usual_load"):
            self.fields[name].usual = Unit(lifter.unit)  # type: ignore[attr-defined]
            self.fields[name].help_text = self.fields[name].help_text or _(
                "in %(unit)s, or write the unit"
            ) % {"unit": lifter.unit}

    def clean_since(self) -> date:
        """A day that has been, and not an age ago."""
        day: date = self.cleaned_data["since"]
        if day > self.today:
            raise forms.ValidationError(_("This day has not come yet."))
        if (self.today - day).days > LONGEST_AGO_DAYS:
            raise forms.ValidationError(
                _("That is more than ten years ago. Write the day when this spell began.")
            )
        return day

    def check(self) -> tuple[Finding, ...]:
        """Ask when a load looks as if it was meant in the other unit."""
        load, usual = self.cleaned_data["load"], self.cleaned_data["usual_load"]
        known = self._heaviest_known()
        light = self.cleaned_data["was_warm_up"] and load < usual  # says nothing about the unit
        pairs = [] if light else [("load", load, known or usual)]
        if known:
            pairs.append(("usual_load", usual, known))
        asked = (unit_slip(mass.value, mass.unit, near, name) for name, mass, near in pairs)
        return tuple(finding for finding in asked if finding)[:1]

    def _heaviest_known(self) -> Mass | None:
        rows = self.lifter.best_sets.filter(lift=self.cleaned_data["lift"])
        return max((Mass(row.load, Unit(row.unit)) for row in rows), default=None)

    def about(self) -> dict[str, Any]:
        """The columns of the episode; both loads in the unit of the one that hurt."""
        data = {name: value for name, value in self.cleaned_data.items() if name != "version"}
        load, usual = data["load"], data["usual_load"].to(data["load"].unit)
        return data | {"load": load.value, "usual_load": round(usual.value, 4), "unit": load.unit}


def episode_values(episode: Episode) -> dict[str, Any]:
    """What the form shows of a stored episode."""
    values = {name: getattr(episode, name) for name in EpisodeForm.base_fields}
    masses = {name: f"{_short(getattr(episode, name))} {episode.unit}" for name in ("load", "usual_load")}
    return values | masses


def _short(value: Decimal) -> str:
    return plain(round(value, 2))
