"""The form that every page uses: it keeps what was typed, refuses with a sentence, and asks before it takes the unlikely.

A subclass overrides `check` to return findings about the cleaned values. A finding that refuses stands beside its field; one
that asks is shown with a box to confirm, and holds the form back until it is ticked.
"""

import re
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from floorward.core.findings import Finding, Weight
from floorward.language import height, number
from floorward.reports.wording import sentence, sentence_for
from floorward.units import Mass, Unit, parse_length_mm, parse_mass, plain

# control characters, and those that turn the letters after them round: no page could show what was typed
UNSHOWN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ufffe\uffff]")


# what Django says of any field, in our words; a field with words of its own keeps them
NEEDED = gettext_lazy("This is still needed.")
LEAST, MOST = gettext_lazy("At least %(limit_value)s."), gettext_lazy("At most %(limit_value)s.")


class AskingForm(forms.Form):
    """A form whose checks are findings."""

    template_name = "_parts/form.html"

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        self.questions: list[Finding] = []
        for field in self.fields.values():
            said = field.error_messages
            if said.get("required") == forms.Field.default_error_messages["required"]:
                said["required"] = NEEDED
            said.setdefault("min_value", LEAST)
            said.setdefault("max_value", MOST)

    def check(self) -> tuple[Finding, ...]:
        """What is to be said about the cleaned values; nothing by default."""
        return ()

    def clean(self) -> dict[str, Any]:
        """Django's hook: turn findings into errors and questions."""
        cleaned = super().clean() or self.cleaned_data
        for name in [
            name for name, typed in cleaned.items() if isinstance(typed, str) and UNSHOWN.search(typed)
        ]:
            self.add_error(name, sentence_for("unshown", {}))
        if not self.errors:
            for finding in self.check():
                self._take(finding)
        return cleaned

    def _take(self, finding: Finding) -> None:
        if finding.weight == Weight.ASK:
            self._ask(finding)
        elif finding.weight == Weight.REFUSE:
            self.add_error(finding.field or None, sentence(finding))

    def _ask(self, finding: Finding) -> None:
        confirmed = (
            self.data.getlist("confirmed")
            if hasattr(self.data, "getlist")
            else self.data.get("confirmed", [])
        )
        if finding.code not in confirmed:
            self.questions.append(finding)
            self.add_error(None, forms.ValidationError("", code="question"))


class LengthField(forms.CharField):
    """A length in any usual spelling; cleaned to metres."""

    def __init__(self, *, usual: str = "cm", least_m: float, most_m: float, **kwargs: Any) -> None:
        self.usual, self.least_m, self.most_m = usual, least_m, most_m
        super().__init__(**kwargs)

    def clean(self, value: Any) -> float | None:
        """Metres, or None when nothing was typed."""
        text = super().clean(value)
        if not text:
            return None
        length_mm = parse_length_mm(text, self.usual)
        if length_mm is None:
            raise forms.ValidationError(_("Write a length, such as 176, 1.76 m, 69 in or 5'9\"."))
        metres = float(length_mm) / 1000
        if not self.least_m <= metres <= self.most_m:
            typed, low, high = (
                height(Decimal(round(length * 100)) * 10) for length in (metres, self.least_m, self.most_m)
            )
            raise forms.ValidationError(
                _("%(typed)s cannot be right here: it is from %(low)s to %(high)s.")
                % {"typed": typed, "low": low.partition(" ")[0], "high": high}
            )
        return metres


class MassField(forms.CharField):
    """A mass in kilograms or pounds; cleaned to an exact `Mass`."""

    def __init__(self, *, usual: Unit = Unit.KG, least_kg: float, most_kg: float, **kwargs: Any) -> None:
        self.usual, self.least_kg, self.most_kg = usual, least_kg, most_kg
        super().__init__(**kwargs)

    def clean(self, value: Any) -> Mass | None:
        """The mass as typed, or None when nothing was typed."""
        text = super().clean(value)
        if not text:
            return None
        mass = parse_mass(text, self.usual)
        if mass is None:
            raise forms.ValidationError(_("Write a mass, such as 85, 85 kg or 187.5 lb."))
        if not Decimal(str(self.least_kg)) <= mass.to(Unit.KG).value <= Decimal(str(self.most_kg)):
            raise forms.ValidationError(self._range(mass))
        return mass

    def _range(self, mass: Mass) -> str:
        low, high = (Mass(Decimal(str(v))).to(mass.unit).value for v in (self.least_kg, self.most_kg))
        return _("%(typed)s cannot be right here: it is from %(low)s to %(high)s.") % {
            "typed": number(str(mass)),
            "low": plain(Decimal(round(low))),
            "high": f"{plain(Decimal(round(high)))} {mass.unit}",
        }
