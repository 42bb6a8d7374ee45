"""A planned line, a set as it was done, the scores around a session."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from floorward.actions.done_sets import SetReport, set_findings
from floorward.core.findings import Finding
from floorward.storage.models import BarRow, CollarRow, DoneSet, Line
from floorward.units import Mass, Unit, plain
from floorward.web.forms.asking import AskingForm, MassField
from floorward.web.forms.finding import CollarChoice
from floorward.web.forms.room import PainField

YES_NO = [("yes", _("Yes")), ("no", _("No"))]
LEAST_KG, MOST_KG = 0.1, 600
MOST_REPS, MOST_SETS = 100, 20

Check = Callable[[dict[str, Any]], tuple[Finding, ...]]


class LoadForm(AskingForm):
    """A form with a load. Where the load cannot be made it offers the loads next to it, and a tap on one takes it."""

    def __init__(self, data: Any = None, **kwargs: Any) -> None:
        if data is not None and "take" in data:
            data = data.copy()
            data["load"] = data["take"]
        super().__init__(data, **kwargs)
        self.offers: tuple[str, ...] = ()


class LineForm(LoadForm):
    """One line of a plan. Its checks come from the action, which knows the iron and where the lift stands."""

    bar = forms.ModelChoiceField(label=_("Bar"), queryset=BarRow.objects.none(), required=False)
    collar = CollarChoice(
        label=_("Collars"), queryset=CollarRow.objects.none(), required=False, empty_label=_("none")
    )
    load = MassField(label=_("Load"), least_kg=LEAST_KG, most_kg=MOST_KG)
    sets = forms.IntegerField(label=_("Sets"), min_value=1, max_value=MOST_SETS)
    reps = forms.IntegerField(label=_("Reps"), min_value=1, max_value=MOST_REPS)
    target_rpe = forms.DecimalField(
        label=_("RPE to stop at"), min_value=1, max_value=10, decimal_places=1, required=False
    )
    height_mm = forms.TypedChoiceField(label=_("Hands at"), coerce=int, required=False)
    depth_deg = forms.IntegerField(
        label=_("Thigh at the bottom"),
        min_value=-45,
        max_value=60,
        required=False,
        help_text=_("Degrees: 0 is level, a minus is deeper."),
    )
    belt = forms.BooleanField(label=_("Belt"), required=False)
    straps = forms.BooleanField(label=_("Straps"), required=False)
    pause = forms.BooleanField(label=_("With a pause"), required=False)
    tempo = forms.CharField(
        label=_("Tempo"), max_length=20, required=False, help_text=_("3-1-1-0: lower, pause, raise, pause.")
    )
    cue = forms.CharField(label=_("Cue"), max_length=120, required=False)
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(
        self,
        data: Any = None,
        *,
        bars: Any,
        collars: Any,
        heights: list[tuple[int, str]],
        with_depth: bool,
        unit: Unit,
        findings: Check,
        **kwargs: Any,
    ) -> None:
        super().__init__(data, **kwargs)
        self._findings = findings
        self.fields["bar"].queryset = bars  # type: ignore[attr-defined]
        self.fields["collar"].queryset = collars  # type: ignore[attr-defined]
        self.fields["load"].usual = unit  # type: ignore[attr-defined]
        self.fields["height_mm"].choices = heights  # type: ignore[attr-defined]
        for name, wanted in (
            ("bar", bars.exists()),
            ("collar", bars.exists()),
            ("height_mm", heights),
            ("depth_deg", with_depth),
        ):
            if not wanted:
                del self.fields[name]

    def check(self) -> tuple[Finding, ...]:
        """What the plan says to it."""
        found = self._findings(self.cleaned_data)
        self.offers = _offers(found)
        return found


def _offers(found: tuple[Finding, ...]) -> tuple[str, ...]:
    """The loads next to one that cannot be made, ready to be taken."""
    unmade = next((one for one in found if one.code in {"load-between", "load-over", "load-under"}), None)
    if unmade is None:
        return ()
    return tuple(
        f"{unmade.numbers[side]} {unmade.numbers['unit']}"
        for side in ("below", "above")
        if unmade.numbers[side]
    )


def line_values(line: Line) -> dict[str, Any]:
    """What the form shows of a stored line."""
    names = (
        "bar",
        "collar",
        "sets",
        "reps",
        "height_mm",
        "depth_deg",
        "belt",
        "straps",
        "pause",
        "tempo",
        "cue",
        "version",
    )
    rpe = plain(line.target_rpe) if line.target_rpe is not None else ""
    return {
        **{name: getattr(line, name) for name in names},
        "load": f"{plain(line.load)} {line.unit}",
        "target_rpe": rpe,
    }


class SideField(forms.RegexField):
    """The plates of one side as the page told them; what is no such line of masses is left out."""

    def __init__(self) -> None:
        super().__init__(
            r"^\d+(\.\d+)?( \d+(\.\d+)?)*$", max_length=120, required=False, widget=forms.HiddenInput
        )

    def clean(self, value: Any) -> str:
        """The line, or nothing: a set is not refused for it."""
        try:
            return str(super().clean(value))
        except forms.ValidationError:
            return ""


class TapForm(AskingForm):
    """A set done as planned: the pain key is the button."""

    kind = forms.ChoiceField(choices=[(one, one) for one in (DoneSet.Kind.WARM_UP, DoneSet.Kind.WORK)])
    load = forms.DecimalField(min_value=Decimal("0.1"), max_value=1500, max_digits=9, decimal_places=4)
    unit = forms.ChoiceField(choices=[(unit.value, unit.value) for unit in Unit])
    reps = forms.IntegerField(min_value=1, max_value=MOST_REPS)
    pain = PainField(required=False)
    acceptable = forms.ChoiceField(choices=YES_NO, required=False)
    spreading = forms.BooleanField(required=False)
    side = SideField()
    client_id = forms.CharField(max_length=40, required=False)

    def check(self) -> tuple[Finding, ...]:
        """A high score that nobody called too much is asked about."""
        said = self.cleaned_data
        if said["acceptable"] == "no" or said["spreading"]:
            return ()
        return set_findings(said["pain"], acceptable=True)

    def report(self) -> SetReport:
        """What was done."""
        said = self.cleaned_data
        acceptable = {"yes": True, "no": False}.get(said["acceptable"])
        confirmed = said["pain"] is not None and bool(set_findings(said["pain"], acceptable=True))
        return SetReport(
            kind=said["kind"],
            load=said["load"],
            unit=said["unit"],
            reps=said["reps"],
            pain=said["pain"],
            acceptable=True if acceptable is None and confirmed and not said["spreading"] else acceptable,
            spreading=said["spreading"],
            side=said["side"],
            client_id=said["client_id"] or None,
        )


class SetForm(LoadForm):
    """A set as it was done, where it was not as planned."""

    load = MassField(label=_("Load"), least_kg=LEAST_KG, most_kg=MOST_KG)
    reps = forms.IntegerField(label=_("Reps"), min_value=1, max_value=MOST_REPS)
    rpe = forms.DecimalField(
        label="RPE",
        min_value=1,
        max_value=10,
        decimal_places=1,
        required=False,
        help_text=_("10: nothing left; 8: two left."),
    )
    pain = PainField(label=_("Worst pain in the set"), required=False)
    acceptable = forms.ChoiceField(
        label=_("Acceptable to them?"), choices=YES_NO, required=False, widget=forms.RadioSelect
    )
    spreading = forms.BooleanField(label=_("Spreading, or new tingling or numbness"), required=False)
    side = SideField()
    client_id = forms.CharField(max_length=40, required=False, widget=forms.HiddenInput)

    def __init__(
        self,
        data: Any = None,
        *,
        unit: Unit,
        findings: Check,
        limit: int,
        pain_needed: bool,
        **kwargs: Any,
    ) -> None:
        super().__init__(data, **kwargs)
        self._findings = findings
        self.fields["load"].usual = unit  # type: ignore[attr-defined]
        pad = self.fields["pain"]
        pad.required = pad.widget.is_required = pain_needed
        pad.widget.limit = limit

    def check(self) -> tuple[Finding, ...]:
        """The load must be one that can be made; a high score called acceptable is asked about."""
        said = self.cleaned_data
        found = self._findings(said)
        self.offers = _offers(found)
        not_denied = said["acceptable"] != "no" and not said["spreading"]
        return (*found, *set_findings(said["pain"], acceptable=not_denied))

    def changes(self) -> dict[str, Any]:
        """The columns of a done set. What was not said to be acceptable or not is read off the pain."""
        said = self.cleaned_data
        load: Mass = said["load"]
        acceptable = {"yes": True, "no": False}.get(said["acceptable"])
        if acceptable is None and said["pain"] is not None:
            acceptable = not said["spreading"]
        return {
            "load": load.value,
            "unit": str(load.unit),
            "reps": said["reps"],
            "rpe": said["rpe"],
            "pain": said["pain"],
            "acceptable": acceptable,
            "spreading": said["spreading"],
        }


def set_values(row: DoneSet, *, kept: bool) -> dict[str, Any]:
    """What the form shows of a stored set; without consent no scores."""
    shown = {
        "load": f"{plain(row.load)} {row.unit}",
        "reps": row.reps,
        "rpe": plain(row.rpe) if row.rpe is not None else "",
    }
    if not kept:
        return shown
    acceptable = "" if row.acceptable is None else "yes" if row.acceptable else "no"
    return {**shown, "pain": row.pain, "acceptable": acceptable, "spreading": row.spreading}


class ScoreForm(AskingForm):
    """One score before or after a session; its key is the button."""

    score = PainField()

    def __init__(self, data: Any = None, *, findings: tuple[Finding, ...] = (), **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self._asked = findings

    def check(self) -> tuple[Finding, ...]:
        """Whether the hour is over."""
        return self._asked


class MoveForm(AskingForm):
    """Where a set belongs."""

    line = forms.TypedChoiceField(label=_("Move it to"), coerce=int)

    def __init__(self, data: Any = None, *, lines: list[tuple[int, str]], **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.fields["line"].choices = lines  # type: ignore[attr-defined]
