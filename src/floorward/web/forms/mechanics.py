"""What a tape measured, and which set-ups to put side by side."""

import re
from collections.abc import Callable, Iterable, Sequence
from copy import deepcopy
from dataclasses import replace
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from floorward.actions.buildable import Built
from floorward.actions.comparing import Asked, Comparison
from floorward.core.body import tape_scores
from floorward.core.findings import Finding, Weight
from floorward.core.measuring import likely_tape_m
from floorward.core.records import Person, Region, SetUp, Tape
from floorward.reports.wording import lift_name, words
from floorward.storage.models import MeasuredStart
from floorward.tables import value
from floorward.units import Mass, Unit
from floorward.web.forms.asking import AskingForm, MassField
from floorward.web.forms.lifters import TAPE, LifterForm

Check = Callable[[SetUp, float | None, float | None], tuple[Finding, ...]]
SIDES = ("a", "b", "c", "d")


def modelled_regions() -> list[tuple[str, str]]:
    """The regions that mechanics speak of, each with its name."""
    named = words("region")
    return [(str(region), named[region]) for region in Region]


class TapeForm(AskingForm):
    """The tape measures of a lifter; empty where nothing was measured."""

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, person: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person
        for name in TAPE:
            self.fields[name] = deepcopy(LifterForm.base_fields[name])
        self.fields["span_m"].help_text = _("Finger tip to finger tip, back to a wall.")

    def check(self) -> tuple[Finding, ...]:
        """Ask about a length that hardly anybody of this height has: it is mostly a slip of the tape."""
        lengths = {name: self.cleaned_data[name] or 0.0 for name in TAPE}
        scores = tape_scores(replace(self.person, tape=Tape(**lengths)))
        most = value("comparison", "slip")
        return tuple(self._ask_about(name) for name, score in scores.items() if abs(score) > most)

    def _ask_about(self, tape: str) -> Finding:
        bare = replace(self.person, tape=Tape())
        numbers = {
            "label": self.fields[f"{tape}_m"].label,
            "cm": round(self.cleaned_data[f"{tape}_m"] * 100),
            "likely": round(likely_tape_m(bare, tape) * 100),
        }
        return Finding(code="tape-unlikely", field=f"{tape}_m", weight=Weight.ASK, numbers=numbers)

    def tapes(self) -> dict[str, Any]:
        """The columns of the lifter."""
        return {name: self.cleaned_data[name] for name in TAPE}


class AnglesForm(AskingForm):
    """Angles measured at the start of a pull, or at the bottom of a squat."""

    version = forms.CharField(widget=forms.HiddenInput, required=False)
    start = forms.ChoiceField(label=_("Set-up"))
    knee_deg = forms.FloatField(
        label=_("Knee"),
        min_value=20,
        max_value=180,
        required=False,
        help_text=_("Degrees between thigh and shin: 180 is straight."),
    )
    trunk_deg = forms.FloatField(
        label=_("Trunk"),
        min_value=0,
        max_value=90,
        required=False,
        help_text=_("Degrees of hip to shoulder over level: 90 is upright."),
    )

    def __init__(self, *args: Any, built: Sequence[Built], findings: Check, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._built, self._findings = {one.key: one for one in built}, findings
        self.fields["start"].choices = grouped(built)  # type: ignore[attr-defined]

    @property
    def setup(self) -> SetUp:
        """Where it was measured."""
        return self._built[self.cleaned_data["start"]].setup

    @property
    def seen_versions(self) -> dict[int, int]:
        """By row, what stood on the page; rows that its address does not name were not there."""
        pairs = (pair.split(":") for pair in self.cleaned_data["version"].split())
        return {int(row): int(version) for row, version in pairs}

    def clean_version(self) -> str:
        """Pairs of row and version as the page wrote them; anything else counts as nothing seen."""
        said = str(self.cleaned_data["version"])
        return said if re.fullmatch(r"(\d{1,18}:\d{1,9} ?)*", said, re.ASCII) else ""

    def check(self) -> tuple[Finding, ...]:
        """What the posture says to it."""
        return self._findings(self.setup, self.cleaned_data["knee_deg"], self.cleaned_data["trunk_deg"])


class CompareForm(AskingForm):
    """Up to four set-ups, a load and a region."""

    a = forms.ChoiceField(label=_("First"), required=False)
    b = forms.ChoiceField(label=_("Second"), required=False)
    c = forms.ChoiceField(label=_("Third"), required=False)
    d = forms.ChoiceField(label=_("Fourth"), required=False)
    load = MassField(label=_("Load, the same on each"), least_kg=1, most_kg=600, required=False)
    region = forms.ChoiceField(label=_("Region"), choices=modelled_regions, required=False)

    def __init__(self, *args: Any, built: Sequence[Built], unit: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = grouped(built)
        for name in SIDES:
            self.fields[name].choices = [("", "–"), *choices]  # type: ignore[attr-defined]
        self.fields["load"].usual = unit  # type: ignore[attr-defined]

    def asked(self) -> Asked:
        """What the page is to show."""
        said = self.cleaned_data
        return Asked(
            keys=tuple(said[name] for name in SIDES if said[name]),
            load=said["load"],
            region=Region(said["region"]) if said["region"] else None,
        )


def angles_seen(rows: Iterable[MeasuredStart]) -> str:
    """The versions of what was measured, as the page carries them."""
    return " ".join(f"{row.pk}:{row.version}" for row in rows)


def angle_values(rows: Iterable[MeasuredStart], key: str, stored: MeasuredStart | None) -> dict[str, str]:
    """What is stored at the start `key`, as the form would show it."""
    degrees = {name: getattr(stored, name, None) for name in ("knee_deg", "trunk_deg")}
    shown = {name: "" if angle is None else f"{angle:g}" for name, angle in degrees.items()}
    return {"version": angles_seen(rows), "start": key, **shown}


class StartForm(AskingForm):
    """Two lifts, each at a place of its slider, a load and a region."""

    a = forms.CharField(required=False)
    b = forms.CharField(required=False)
    a_at = forms.IntegerField(required=False)
    b_at = forms.IntegerField(required=False)
    load = MassField(label=_("Load, the same on each"), least_kg=1, most_kg=600, required=False)
    region = forms.ChoiceField(label=_("Region"), choices=modelled_regions, required=False)

    def __init__(self, *args: Any, unit: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["load"].usual = unit  # type: ignore[attr-defined]

    def chosen(self) -> tuple[tuple[str, int | None], ...]:
        """The lifts with their places, as far as they can be read."""
        said = self.cleaned_data if self.is_bound and self.is_valid() else {}
        return tuple((said.get(name, ""), said.get(f"{name}_at")) for name in SIDES[:2])

    def at(self) -> tuple[Mass | None, Region | None]:
        """The load and the region; None where nothing or nonsense is asked for."""
        said = self.cleaned_data if self.is_bound and self.is_valid() else {}
        return said.get("load"), Region(said["region"]) if said.get("region") else None


def compared_values(view: Comparison) -> dict[str, str]:
    """What the form shows of a page."""
    sides = dict(zip(SIDES, (column.built.key for column in view.columns), strict=False))
    return {**sides, "load": str(view.load), "region": str(view.region)}


def grouped(built: Sequence[Built]) -> list[tuple[str, list[tuple[str, str]]]]:
    """Set-ups to choose from, by lift."""
    groups: dict[str, list[tuple[str, str]]] = {}
    for one in built:
        groups.setdefault(lift_name(one.setup.lift).capitalize(), []).append((one.key, one.name))
    return list(groups.items())
