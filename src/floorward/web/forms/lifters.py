"""A lifter, their consent, their best sets."""

from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from floorward.core.findings import Finding, Weight
from floorward.core.records import Sex
from floorward.language import height
from floorward.reports.wording import words
from floorward.storage.models import Lifter, Staff
from floorward.units import Mass, Unit, plain
from floorward.web.forms.asking import AskingForm, LengthField, MassField
from floorward.web.speech import languages

LIGHTEST_KG, HEAVIEST_KG = 25, 300
WANTED = ("conditioning_minutes", "grip_sets")
TAPE = ("span_m", "crotch_m", "sitting_height_m", "knee_height_m", "sleeve_m")


class LifterForm(AskingForm):
    """Who somebody is and how they are built."""

    name = forms.CharField(label=_("Name or alias"), max_length=80)
    born_year = forms.IntegerField(label=_("Year of birth"))
    sex = forms.ChoiceField(
        label=_("Sex, for the body tables"),
        help_text=_("Not said: the mean of both tables."),
        choices=lambda: list(words("sex").items()),
        initial=Sex.UNDECLARED,
        widget=forms.RadioSelect,
    )
    stature_m = LengthField(label=_("Height"), least_m=1.2, most_m=2.3, help_text=_("176, 1.76 m or 5'9\""))
    mass = MassField(
        label=_("Body mass"), least_kg=LIGHTEST_KG, most_kg=HEAVIEST_KG, help_text=_("85 or 187 lb")
    )
    unit = forms.ChoiceField(
        label=_("Thinks in"), choices=[(u.value, u.value) for u in Unit], widget=forms.RadioSelect
    )
    language = forms.ChoiceField(
        label=_("Language of their pages and cards"),
        choices=languages,
        widget=forms.RadioSelect,
        required=False,
    )
    coach = forms.ModelChoiceField(label=_("Coach"), queryset=Staff.objects.none(), required=False)
    contest = forms.CharField(label=_("Next contest"), max_length=80, required=False)
    contest_day = forms.DateField(
        label=_("Day of the contest"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    conventional_required = forms.BooleanField(label=_("The contest pulls conventional only"), required=False)
    sumo_allowed = forms.BooleanField(label=_("Sumo is allowed there"), required=False, initial=True)
    conditioning_minutes = forms.IntegerField(
        label=_("Conditioning wanted, minutes a week"),
        min_value=0,
        max_value=300,
        required=False,
        help_text=_("Planned into built sessions in blocks of five minutes; empty for none."),
    )
    grip_sets = forms.IntegerField(
        label=_("Grip work wanted, sets a week"),
        min_value=0,
        max_value=20,
        required=False,
        help_text=_("Holds, at their usual load where a best set of the grip hold is written down."),
    )
    span_m = LengthField(
        label=_("Arm span"),
        least_m=1.1,
        most_m=2.6,
        required=False,
        help_text=_("Tape measures are optional; each one sharpens the drawing."),
    )
    crotch_m = LengthField(label=_("Floor to crotch"), least_m=0.5, most_m=1.2, required=False)
    sitting_height_m = LengthField(label=_("Sitting height"), least_m=0.6, most_m=1.2, required=False)
    knee_height_m = LengthField(
        label=_("Floor to knee"),
        least_m=0.3,
        most_m=0.75,
        required=False,
        help_text=_("Seated, shin upright: floor to the top of the bent knee."),
    )
    sleeve_m = LengthField(
        label=_("Sleeve"),
        least_m=0.4,
        most_m=0.85,
        required=False,
        help_text=_("Bony tip of the shoulder to the wrist, arm hanging straight."),
    )
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, gym: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["coach"].queryset = gym.staff.filter(is_active=True)  # type: ignore[attr-defined]
        self.fields["unit"].initial = gym.unit
        self.fields["mass"].usual = Unit(gym.unit)  # type: ignore[attr-defined]
        if gym.unit == Unit.LB:
            self.fields["stature_m"].usual = "in"  # type: ignore[attr-defined]

    def clean_born_year(self) -> int:
        """Between ten and a hundred and five years ago."""
        year = int(self.cleaned_data["born_year"])
        if not self.today.year - 105 <= year <= self.today.year - 10:
            raise forms.ValidationError(
                _("Write the year in four figures, from %(first)s to %(last)s.")
                % {"first": self.today.year - 105, "last": self.today.year - 10}
            )
        return year

    def check(self) -> tuple[Finding, ...]:
        """Ask about a build that is hardly ever seen: it is mostly a slip of the unit."""
        stature, mass = self.cleaned_data["stature_m"], self.cleaned_data["mass"]
        index = float(mass.to(Unit.KG).value) / stature**2
        if 15 <= index <= 55:
            return ()
        numbers = {"stature": height(Decimal(round(stature * 100)) * 10), "mass": str(mass)}
        return (Finding(code="build-unlikely", field="mass", weight=Weight.ASK, numbers=numbers),)

    def about(self) -> dict[str, Any]:
        """The columns of the lifter."""
        data = {name: value for name, value in self.cleaned_data.items() if name not in ("mass", "version")}
        wanted = {name: self.cleaned_data[name] or 0 for name in WANTED}
        return {**data, **wanted, "mass_kg": float(self.cleaned_data["mass"].to(Unit.KG).value)}


def lifter_values(lifter: Lifter) -> dict[str, Any]:
    """What the form shows of a stored lifter, in the unit they think in."""
    unit = Unit(lifter.unit)
    mass = Mass(Decimal(str(round(lifter.mass_kg, 2)))).to(unit).value
    tape = {name: _cm(getattr(lifter, name)) for name in ("stature_m", *TAPE)}
    plain_columns = (
        "name",
        "born_year",
        "sex",
        "unit",
        "language",
        "coach",
        "contest",
        "contest_day",
        "conventional_required",
        "sumo_allowed",
        "version",
    )
    return {
        **{name: getattr(lifter, name) for name in plain_columns},
        **{name: getattr(lifter, name) or "" for name in WANTED},
        **tape,
        "mass": f"{plain(round(mass, 1))} {unit}",
    }


def _cm(metres: float | None) -> str:
    return f"{plain(Decimal(str(round(metres * 100, 1))))} cm" if metres else ""


class ConsentForm(AskingForm):
    """Who agrees, and to what."""

    agreed = forms.BooleanField(label=_("Yes: keep these answers for this purpose"))
    given_by = forms.ChoiceField(
        label=_("Said by"),
        choices=[("lifter", _("the lifter")), ("guardian", _("a parent or guardian"))],
        widget=forms.RadioSelect,
        initial="lifter",
    )
    guardian_name = forms.CharField(label=_("Name of the parent or guardian"), max_length=80, required=False)
    share_with_clinician = forms.BooleanField(
        label=_("A note may go to a clinician they name"), required=False
    )

    def __init__(self, *args: Any, guardian_needed: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.guardian_needed = guardian_needed
        if guardian_needed:
            self.fields["given_by"].initial = "guardian"

    def check(self) -> tuple[Finding, ...]:
        """Under 18 a guardian must be named."""
        by_guardian = self.cleaned_data["given_by"] == "guardian"
        if (self.guardian_needed and not by_guardian) or (
            by_guardian and not self.cleaned_data["guardian_name"].strip()
        ):
            return (Finding(code="guardian-needed", field="guardian_name", weight=Weight.REFUSE),)
        return ()


class BestSetForm(AskingForm):
    """A recent best set of a lift."""

    lift = forms.ChoiceField(label=_("Lift"))
    load = MassField(label=_("Load"), least_kg=1, most_kg=600)
    reps = forms.IntegerField(label=_("Reps"), min_value=1, max_value=30)
    rpe = forms.DecimalField(
        label="RPE",
        min_value=1,
        max_value=10,
        decimal_places=1,
        required=False,
        help_text=_("10: nothing left; 8: two left."),
    )
    day = forms.DateField(label=_("Day"), widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))

    def __init__(
        self, *args: Any, lifts: list[tuple[str, str]], unit: Unit, today: date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["lift"].choices = lifts  # type: ignore[attr-defined]
        self.fields["load"].usual = unit  # type: ignore[attr-defined]
        self.fields["day"].initial = today

    def clean_day(self) -> date:
        """A day that has been."""
        day = self.cleaned_data["day"]
        if day > self.today:
            raise forms.ValidationError(_("This day has not come yet."))
        return day  # type: ignore[no-any-return]

    def best(self) -> dict[str, Any]:
        """The columns of a best set."""
        data = dict(self.cleaned_data)
        mass = data.pop("load")
        return {**data, "load": mass.value, "unit": mass.unit}
