"""Starting a search, and writing down a test."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from floorward.actions.finding import Working
from floorward.actions.model_search import is_modelled
from floorward.actions.rigging import bar_kind, usual_bar
from floorward.actions.searches import Start, TestReport, load_findings, report_findings
from floorward.core.equipment import unit_slip
from floorward.core.findings import Finding, Weight
from floorward.core.ladder import Direction
from floorward.language import number
from floorward.reports.wording import lift_choices, words
from floorward.storage.models import BarRow, CollarRow, Episode, Search
from floorward.units import Mass, Unit, plain
from floorward.web.forms.asking import AskingForm, MassField
from floorward.web.forms.room import PainField


def searchable_lifts() -> list[tuple[str, str]]:
    """Lifts that are loaded on a bar, with their names."""
    return [(key, name) for key, name in lift_choices() if bar_kind(key)]


class BarChoice(forms.ModelChoiceField):  # type: ignore[type-arg]
    """Bars by name and mass."""

    def label_from_instance(self, row: BarRow) -> str:
        """Such as "Bar 1, 20 kg"."""
        return f"{row.name}, {number(plain(row.mass))} {row.unit}"


class CollarChoice(forms.ModelChoiceField):  # type: ignore[type-arg]
    """Collars by mass."""

    def label_from_instance(self, row: CollarRow) -> str:
        """Such as "2.5 kg each"."""
        return str(_("%(mass)s each") % {"mass": f"{number(plain(row.mass))} {row.unit}"})


class StartForm(AskingForm):
    """What a search starts from."""

    rest_pain = PainField(label=_("Pain now, at rest"))
    lift = forms.ChoiceField(widget=forms.HiddenInput)
    bar = BarChoice(label=_("Bar"), queryset=BarRow.objects.none())
    collar = CollarChoice(
        label=_("Collars"), queryset=CollarRow.objects.none(), required=False, empty_label=_("none")
    )
    direction = forms.ChoiceField(
        label=_("Begin"),
        choices=lambda: [*words("direction").items(), *words("manner").items()],
        widget=forms.RadioSelect,
    )
    hurt_load = MassField(label=_("Load that hurt"), least_kg=0.5, most_kg=600)
    usual_load = MassField(label=_("Usual load for such a set"), least_kg=0.5, most_kg=600)
    belt = forms.BooleanField(label=_("Belt"), required=False)
    straps = forms.BooleanField(label=_("Straps"), required=False)
    shoes = forms.CharField(label=_("Shoes"), max_length=40, required=False)

    def __init__(self, *args: Any, episode: Episode, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        gym, self.episode = episode.lifter.gym, episode
        self.fields["lift"].choices = searchable_lifts()  # type: ignore[attr-defined]
        if not is_modelled(episode, self.data.get("lift") or self.initial.get("lift", episode.lift)):
            self.fields["direction"].choices = list(words("direction").items())  # type: ignore[attr-defined]
        self.fields["bar"].queryset = gym.bars.all()  # type: ignore[attr-defined]
        self.fields["collar"].queryset = gym.collars.all()  # type: ignore[attr-defined]
        for name in ("hurt_load", "usual_load"):
            self.fields[name].usual = Unit(episode.unit)  # type: ignore[attr-defined]

    def check(self) -> tuple[Finding, ...]:
        """The bar suits the lift, the collars suit the bar, and no load looks like the other unit."""
        data = self.cleaned_data
        bar, collar, usual = data["bar"], data["collar"], data["usual_load"]
        if bar.kind != bar_kind(data["lift"]):
            numbers = {"bar": bar.name}
            return (Finding(code="bar-other-kind", field="bar", weight=Weight.REFUSE, numbers=numbers),)
        if collar and collar.unit != bar.unit:
            numbers = {"bar": bar.name, "unit": bar.unit}
            return (Finding(code="collar-other-unit", field="collar", weight=Weight.REFUSE, numbers=numbers),)
        near = self._said_before("usual_load") if data["lift"] == self.episode.lift else usual
        typed = [
            (name, data[name])
            for name in ("usual_load", "hurt_load")
            if data[name] != self._said_before(name)
        ]
        slips = (unit_slip(mass.value, mass.unit, near, name) for name, mass in typed)
        return tuple(slip for slip in slips if slip)[:1]

    def _said_before(self, name: str) -> Mass:
        """What the first report says; that was asked about already."""
        load = self.episode.load if name == "hurt_load" else self.episode.usual_load
        return Mass(load, Unit(self.episode.unit))

    def start(self) -> Start:
        """What the action takes."""
        data, begin = self.cleaned_data, self.cleaned_data["direction"]
        manner = begin if begin in words("manner") else ""
        direction = Direction.UP if manner else Direction(begin)
        return Start(**{**data, "direction": direction, "manner": manner})


def start_values(episode: Episode, direction: Direction, lift: str) -> dict[str, Any]:
    """What the form shows first: the lift that hurt with its loads, or another with its best set."""
    values: dict[str, Any] = {
        "lift": lift,
        "direction": direction,
        "bar": usual_bar(episode.lifter.gym, lift, episode.unit),
    }
    values |= {name: getattr(episode, name) for name in ("belt", "straps", "shoes")}
    if lift == episode.lift:
        loads = {"hurt_load": episode.load, "usual_load": episode.usual_load}
        return values | {name: f"{plain(round(load, 2))} {episode.unit}" for name, load in loads.items()}
    best = episode.lifter.best_sets.filter(lift=lift).first()
    return values | ({"usual_load": f"{plain(best.load)} {best.unit}"} if best else {})


class OtherLoadForm(AskingForm):
    """Another load than the one proposed."""

    load = MassField(label=_("Other load"), least_kg=0.5, most_kg=600)

    def __init__(self, *args: Any, row: Search, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.row = row
        self.fields["load"].usual = _unit(row)  # type: ignore[attr-defined]

    def clean_load(self) -> Decimal:
        """In the unit of the bar."""
        mass: Mass = self.cleaned_data["load"]
        return round(mass.to(_unit(self.row)).value, 4)

    def check(self) -> tuple[Finding, ...]:
        """The gym can make it."""
        return load_findings(self.row, self.cleaned_data["load"])


class TestForm(AskingForm):
    """One test as it was done."""

    __test__ = False  # a word of the trade, not a test of this program

    load = forms.DecimalField(
        max_digits=9, decimal_places=4, min_value=Decimal("0.1"), widget=forms.HiddenInput
    )
    seen = forms.IntegerField(min_value=0, widget=forms.HiddenInput)
    reps = forms.IntegerField(label=_("Reps done"), min_value=1, max_value=20, initial=3)
    acceptable = forms.ChoiceField(
        label=_("Acceptable to them?"),
        choices=[("yes", _("Yes")), ("no", _("No"))],
        widget=forms.RadioSelect,
        error_messages={"required": _("Ask them: was it acceptable?")},
    )
    spreading = forms.ChoiceField(
        label=_("Spreading, or new tingling?"),
        choices=[("no", _("No")), ("yes", _("Yes"))],
        widget=forms.RadioSelect,
        initial="no",
    )

    def __init__(self, *args: Any, working: Working, **kwargs: Any) -> None:
        initial = {"load": plain(working.load), "seen": working.seen}
        super().__init__(*args, initial=initial, **kwargs)
        self.row = working.row
        limit = max(working.limit, working.ceiling)
        self.fields["pain"] = PainField(
            label=_("Worst pain in the set"), ceiling=working.ceiling, limit=limit
        )

    def check(self) -> tuple[Finding, ...]:
        """Pain above 5 called acceptable is asked about; so is more than was proposed."""
        return report_findings(self.row, self.report())

    def report(self) -> TestReport:
        """What the action takes."""
        data = self.cleaned_data
        return TestReport(
            load=data["load"],
            reps=data["reps"],
            pain=data["pain"],
            acceptable=data["acceptable"] == "yes",
            spreading=data["spreading"] == "yes",
            seen=data["seen"],
        )


def _unit(row: Search) -> Unit:
    return Unit(row.bar.unit) if row.bar else Unit.KG
