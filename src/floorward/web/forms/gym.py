"""Equipment, protocol and staff."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from floorward.actions import iron
from floorward.core import equipment
from floorward.core.findings import Finding
from floorward.core.protocol import Profile, protocol_from
from floorward.core.records import BarKind
from floorward.reports.wording import words
from floorward.storage import reads
from floorward.storage.models import BarRow, BlockRow, CollarRow, Gym, PlateRow, Staff
from floorward.units import Unit
from floorward.web.forms.asking import AskingForm, LengthField, MassField
from floorward.web.forms.start import checked_password


class MillimetreField(LengthField):
    """A length of equipment in any usual spelling; cleaned to whole millimetres."""

    def clean(self, value: Any) -> int | None:
        """Millimetres, or None when nothing was typed."""
        metres = super().clean(value)
        return None if metres is None else round(metres * 1000)


RECORDS: dict[str, Callable[[Any], Any]] = {
    "bars": reads.bar,
    "plates": reads.plate,
    "collars": reads.collar,
    "blocks": reads.block,
    "pins": reads.pins,
    "boxes": reads.box,
}


class PieceForm(AskingForm):
    """A piece of equipment. `gym` gives the usual unit and the neighbours it must fit.

    `beside` says which field a finding about another column stands beside.
    """

    shelf = ""
    beside: dict[str, str] = {}
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, gym: Gym, row: Any = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.gym, self.row = gym, row
        if row is None:
            del self.fields["version"]
        if "mass" in self.fields:
            self.fields["mass"].usual = Unit(gym.unit)  # type: ignore[attr-defined]

    def columns(self) -> dict[str, Any]:
        """The columns of the row."""
        data = {name: value for name, value in self.cleaned_data.items() if name != "version"}
        if "mass" in data:
            mass = data.pop("mass")
            data |= {"mass": mass.value, "unit": mass.unit}
        return data

    def piece(self) -> Any:
        """The piece as the core knows it."""
        return RECORDS[self.shelf](iron.KINDS[self.shelf](**self.columns()))

    def check(self) -> tuple[Finding, ...]:
        """What this piece brings up that was not so without it."""
        owned = reads.equipment(self.gym)
        others = tuple(
            RECORDS[self.shelf](row) for row in getattr(self.gym, self.shelf).all() if row != self.row
        )
        without = replace(owned, **{self.shelf: others})
        having = replace(owned, **{self.shelf: (*others, self.piece())})
        known = equipment.check(without)
        return tuple(
            replace(found, field=self._beside(found.field))
            for found in equipment.check(having)
            if found not in known
        )

    def _beside(self, field: str) -> str:
        name = self.beside.get(field.rpartition(".")[2], field.rpartition(".")[2])
        return name if name in self.fields else ""


class BarForm(PieceForm):
    """A bar."""

    shelf = "bars"
    beside = {"handle_rise_mm": "handle_high_mm"}
    name = forms.CharField(
        label=_("What you call it"), max_length=60, help_text=_("Such as Bar 1, or Trap bar by the door.")
    )
    kind = forms.ChoiceField(label=_("Kind"), choices=[(k.value, k.value) for k in BarKind])
    mass = MassField(
        label=_("Mass without plates and collars"),
        least_kg=0.3,
        most_kg=60,
        help_text=_("20 kg, 45 lb: as stamped, or weighed."),
    )
    handle_low_mm = MillimetreField(
        label=_("Handles above the sleeves' centre"),
        usual="mm",
        least_m=-0.2,
        most_m=0.4,
        required=False,
        help_text=_("In mm: 0 for a straight bar; measure a trap bar."),
    )
    handle_high_mm = MillimetreField(
        label=_("High handles above the sleeves' centre"),
        usual="mm",
        least_m=0.02,
        most_m=0.4,
        required=False,
        help_text=_("In mm: only where a trap bar has a second, higher pair."),
    )
    sleeve_mm = MillimetreField(
        label=_("Sleeve, room for plates and collar"), usual="mm", least_m=0.1, most_m=0.6, initial="415 mm"
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"].choices = list(words("bar-kind").items())  # type: ignore[attr-defined]

    def columns(self) -> dict[str, Any]:
        """Handles default to the sleeves' own height."""
        data = super().columns()
        return {**data, "handle_low_mm": data["handle_low_mm"] or 0}


class PlateForm(PieceForm):
    """A size of plate."""

    shelf = "plates"
    beside = {"pairs": "count"}
    mass = MassField(
        label=_("Mass of one plate"), least_kg=0.1, most_kg=60, help_text=_("20 kg, 45 lb: as stamped.")
    )
    count = forms.IntegerField(label=_("How many of them, both sides together"), min_value=0, max_value=80)
    diameter_mm = MillimetreField(
        label=_("Diameter"),
        usual="mm",
        least_m=0.08,
        most_m=0.6,
        initial="450 mm",
        help_text=_("Measure it: it sets the bar's height."),
    )
    thickness_mm = MillimetreField(
        label=_("Thickness"), usual="mm", least_m=0.003, most_m=0.15, initial="30 mm"
    )
    colour = forms.ChoiceField(
        label=_("Colour of its face"),
        required=False,
        help_text=_("It is drawn as a band; nothing depends on it."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        named = {"": _("none"), **words("plate-colour")}
        stored = self.initial.get("colour", "")  # one of its own, from before there were names for them
        self.fields["colour"].choices = list({**named, stored: named.get(stored, stored)}.items())  # type: ignore[attr-defined]

    def columns(self) -> dict[str, Any]:
        """Pairs are half the count."""
        data = super().columns()
        count = data.pop("count")
        return {**data, "pairs": count // 2}

    def check(self) -> tuple[Finding, ...]:
        """An odd plate has no partner."""
        odd = equipment.pairs_of(self.cleaned_data["count"], self.cleaned_data["mass"], "count")[1]
        return (*odd, *super().check())


class CollarForm(PieceForm):
    """A pair of collars."""

    shelf = "collars"
    mass = MassField(
        label=_("Mass of one collar"), least_kg=0, most_kg=5, help_text=_("2.5 kg, 5 lb; 0 for light clips.")
    )


class BlockForm(PieceForm):
    """Blocks or mats."""

    shelf = "blocks"
    beside = {"thickness_mm": "thickness"}
    name = forms.CharField(label=_("What you call it"), max_length=60)
    thickness = MillimetreField(
        label=_("Thickness"),
        usual="mm",
        least_m=0.005,
        most_m=0.8,
        help_text=_("In mm, as the plates stand on it: 100, 10 cm or 4 in."),
    )
    pairs = forms.IntegerField(label=_("Pairs (one for each side)"), min_value=1, max_value=20, initial=1)

    def columns(self) -> dict[str, Any]:
        """The thickness as an exact decimal."""
        data = super().columns()
        thickness = Decimal(data.pop("thickness"))
        return {**data, "thickness_mm": thickness}


class PinsForm(PieceForm):
    """A rack's pins."""

    shelf = "pins"
    first_mm = MillimetreField(
        label=_("Bar's centre on the lowest pins, above the platform"),
        usual="mm",
        least_m=0.1,
        most_m=1.5,
        help_text=_("In mm: 400, 40 cm or 16 in."),
    )
    spacing_mm = MillimetreField(
        label=_("From hole to hole"), usual="mm", least_m=0.02, most_m=0.3, initial="50 mm"
    )
    holes = forms.IntegerField(label=_("Holes"), min_value=1, max_value=60, initial=20)


class BoxForm(PieceForm):
    """A box."""

    shelf = "boxes"
    name = forms.CharField(label=_("What you call it"), max_length=60)
    height_mm = MillimetreField(
        label=_("Height"), usual="mm", least_m=0.05, most_m=1.2, help_text=_("In mm: 400, 40 cm or 16 in.")
    )


FORMS: dict[str, type[PieceForm]] = {
    "bars": BarForm,
    "plates": PlateForm,
    "collars": CollarForm,
    "blocks": BlockForm,
    "pins": PinsForm,
    "boxes": BoxForm,
}


def piece_values(row: Any) -> dict[str, Any]:
    """What a form shows of a stored piece."""
    values = {field.name: getattr(row, field.name) for field in row._meta.fields}  # noqa: SLF001 - Django's own name
    for name, value in values.items():
        if name.endswith("_mm") and value is not None:
            values[name] = f"{value} mm"
    if isinstance(row, BarRow | PlateRow | CollarRow):
        values["mass"] = f"{row.mass.normalize():f} {row.unit}"
    if isinstance(row, PlateRow):
        values["count"] = row.pairs * 2
    if isinstance(row, BlockRow):
        values["thickness"] = f"{row.thickness_mm.normalize():f} mm"
    return values


class ProtocolForm(AskingForm):
    """What the gym's coaches agreed to do alike."""

    ceiling_finding = forms.IntegerField(
        label=_("Ceiling while finding a load"),
        help_text=_("Pain out of 10. Shipped: 3. It may be lower, never higher."),
    )
    ceiling_set = forms.IntegerField(
        label=_("Ceiling in any training set"),
        help_text=_("Pain out of 10. Shipped: 5. It may be lower, never higher."),
    )
    after_max = forms.IntegerField(
        label=_("Ceiling within the hour after"),
        help_text=_("Pain out of 10. Shipped: 5. It may be lower, never higher."),
    )
    forward_percent = forms.IntegerField(
        label=_("A step forward, per cent"), help_text=_("Shipped: 5. From 2 to 10.")
    )
    rung_percent = forms.IntegerField(
        label=_("A rung back, per cent"), help_text=_("Shipped: 10. From 10 to 20.")
    )
    profile = forms.ChoiceField(
        label=_("How willingly the rules step forward"),
        choices=lambda: list(words("profile").items()),
        widget=forms.RadioSelect,
        required=False,
        help_text=_(
            "Steadily: forward after a settled morning only. More willingly: the smallest step also after bearable pain that settled, "
            "or after a morning one point up. Shipped: steadily."
        ),
    )
    emergency_number = forms.CharField(label=_("Emergency number here"), max_length=20)
    version = forms.IntegerField(widget=forms.HiddenInput)

    def clean_profile(self) -> str:
        """Left out, it stays as it is."""
        return str(self.cleaned_data["profile"] or self.initial.get("profile") or Profile.STEADY)

    def check(self) -> tuple[Finding, ...]:
        """A ceiling may be lowered, never raised."""
        names = ("ceiling_finding", "ceiling_set", "after_max", "forward_percent", "rung_percent")
        return protocol_from({name: self.cleaned_data[name] for name in names})[1]


ROLES = _(
    "An assistant runs the floor: logs sets, sees no earlier pain score. A coach also plans, and sees the health answers of assigned "
    "lifters. An owner also keeps the gym, its staff and its protocol."
)


class StaffForm(AskingForm):
    """A colleague."""

    name = forms.CharField(label=_("Name"), max_length=80)
    sign_in_name = forms.CharField(label=_("Name to sign in with"), max_length=60)
    role = forms.ChoiceField(
        label=_("Role"),
        choices=lambda: list(words("role").items()),
        widget=forms.RadioSelect,
        initial="coach",
        help_text=ROLES,
    )
    password = forms.CharField(
        label=_("First password"),
        widget=forms.PasswordInput,
        help_text=_("At least 10 characters. Give it to them in person."),
    )

    def clean_sign_in_name(self) -> str:
        """One person a name."""
        name = str(self.cleaned_data["sign_in_name"]).strip()
        if Staff.objects.filter(sign_in_name__iexact=name).exists():
            raise forms.ValidationError(_("Somebody signs in with this name already."))
        return name

    def clean_password(self) -> str:
        """Long enough, not a common one, not their name."""
        return checked_password(self.cleaned_data)
