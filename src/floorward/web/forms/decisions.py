"""Taking a proposal, or another choice with its reason; holding a review."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from floorward.actions.decisions import Choice, Proposal, choice_findings, choices, own_load, proposed, ruled
from floorward.core.findings import Finding, Weight
from floorward.units import Unit
from floorward.web.forms.asking import AskingForm, MassField
from floorward.web.forms.room import PainField

OWN = "load"


class ChoiceForm(AskingForm):
    """What comes next. `seen` is the proposal that the page showed."""

    choice = forms.ChoiceField(widget=forms.RadioSelect, error_messages={"required": _("Choose one.")})
    load = MassField(label=_("Load"), least_kg=0, most_kg=600, required=False)
    reason = forms.CharField(label=_("Why"), max_length=300, required=False)
    seen = forms.CharField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, proposal: Proposal, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.proposal = proposal
        self.offers = choices(proposal)
        self.ruled = ruled(proposal)
        first = (proposed(proposal), *((self.ruled,) if self.ruled else ()))
        self.known: dict[str, Choice] = {offer.key: offer for offer in (*first, *self.offers)}
        self.fields["choice"].choices = [(key, key) for key in (*self.known, OWN)]  # type: ignore[attr-defined]
        self.fields["load"].usual = proposal.unit  # type: ignore[attr-defined]

    def check(self) -> tuple[Finding, ...]:
        """What forbids the choice, and whether it wants a load or a reason."""
        said = self.cleaned_data
        if said["choice"] == OWN and said.get("load") is None:
            return (Finding(code="load-needed", field="load", weight=Weight.REFUSE),)
        found = list(choice_findings(self.proposal, self.taken()))
        if said["choice"] not in {"proposed", "ruled"} and not said["reason"].strip():
            found.append(Finding(code="reason-needed", field="reason", weight=Weight.REFUSE))
        return tuple(found)

    def taken(self) -> Choice:
        """The choice that was made."""
        said = self.cleaned_data
        if said["choice"] != OWN:
            return self.known[said["choice"]]
        return own_load(self.proposal, said["load"].to(Unit(self.proposal.unit)).value.normalize())

    @property
    def is_other(self) -> bool:
        """Whether something else than the proposal was on its way, so that its part of the page stays open."""
        return self.is_bound and self.data.get("choice") != "proposed"


class ReviewForm(AskingForm):
    """What is asked at a review point."""

    score = PainField(label=_("Worst pain in the sore lift this week"), required=False)
    lifts_blocked = forms.ChoiceField(
        label=_("Does it still block a main lift?"),
        choices=[("yes", _("Yes")), ("no", _("No"))],
        widget=forms.RadioSelect,
        required=False,
    )
    note = forms.CharField(label=_("What was said"), max_length=300, required=False)

    def __init__(self, *args: Any, asks: tuple[str, ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("score", "lifts_blocked"):
            self.fields[name].required = name in asks

    def blocked(self) -> bool | None:
        """Whether a main lift is still blocked; None when not asked."""
        return {"yes": True, "no": False}.get(self.cleaned_data["lifts_blocked"])
