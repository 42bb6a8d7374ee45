"""A table to bring in: the file, and what its columns, names and signs mean."""

import hashlib
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from floorward.actions.import_survey import Named, Survey
from floorward.core import headings
from floorward.core.findings import Finding, Weight
from floorward.core.past_sets import Matching
from floorward.reports.wording import lift_choices, word, words
from floorward.storage.models import Gym
from floorward.web.forms.asking import AskingForm

OUT = "-"  # leave the lines of this name out
NEW = "+"  # somebody who is not here yet
KINDS = ("sets", "bodies", "iron")


class FileForm(AskingForm):
    """The file itself."""

    what = forms.ChoiceField(
        label=_("What is in it"),
        choices=lambda: [(kind, word("import-kind", kind)) for kind in KINDS],
        widget=forms.RadioSelect,
        initial="sets",
        required=False,
    )
    file = forms.FileField(label=_("Table (CSV or XLSX)"), max_length=120)

    def clean_what(self) -> str:
        """Left out, it is a training log."""
        return str(self.cleaned_data["what"] or "sets")


class TableForm(AskingForm):
    """What a table means; every guess is there to be changed. `seen` tells which names the page showed."""

    unit = forms.ChoiceField(
        label=_("Masses that name no unit are"),
        choices=[("", _("say which")), ("kg", _("kilograms")), ("lb", _("pounds"))],
        required=False,
    )
    length = forms.ChoiceField(
        label=_("Lengths that name no unit are"),
        choices=[
            ("", _("say which")),
            ("cm", _("centimetres")),
            ("mm", _("millimetres")),
            ("m", _("metres")),
            ("in", _("inches")),
        ],
        required=False,
    )
    days = forms.ChoiceField(
        label=_("3/11/2026 is"),
        choices=[("", _("say which")), ("day", _("3 November")), ("month", _("11 March"))],
        required=False,
    )
    mark = forms.ChoiceField(
        label=_("1,250 is"),
        choices=[
            ("", _("say which")),
            ("comma", _("1¼, a decimal comma")),
            ("point", _("1250, in thousands")),
        ],
        required=False,
    )
    right = forms.BooleanField(label="", required=False)
    seen = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, survey: Survey, gym: Gym, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.survey, self.today = survey, today
        self.shown = _digest("".join(one.name for one in (*survey.people, *survey.lifts)))
        self._add_columns(survey)
        self.fields["right"].label = word("import-right", survey.kind)
        everybody = [(str(row.pk), row.name) for row in gym.lifters.all()]
        also = [(NEW, str(_("a new lifter")))] if survey.kind == "bodies" else []
        self._add_names("person", survey.people, everybody, also)
        self._add_names(
            "lift", survey.lifts, [*words("piece").items()] if survey.kind == "iron" else lift_choices()
        )
        for name in ("days",) if survey.kind != "sets" else ("length",):
            del self.fields[name]
        order, comma = survey.evidence.order, survey.evidence.decimal_comma
        self.fields["unit"].initial = survey.unit
        if "days" in self.fields:
            self.fields["days"].initial = "" if order is None else "day" if order else "month"
        if "length" in self.fields:
            self.fields["length"].initial = survey.length
        self.fields["mark"].initial = "" if comma is None else "comma" if comma else "point"
        self.fields["seen"].initial = self.shown

    def check(self) -> tuple[Finding, ...]:
        """What is still to be said before the table can be looked at."""
        said, missing = self.cleaned_data, self.survey.missing
        asked = {
            "import-columns": bool(missing),
            "import-unit": not said["unit"]
            and "unit" not in self.survey.columns
            and bool(set(self.survey.columns) & {"load", "mass"} - set(self.survey.over)),
            "import-length": "length" in said
            and not said["length"]
            and self.survey.evidence.bare_lengths > 0,
            "import-days": "days" in said and not said["days"],
            "import-decimal": not said["mark"],
            "import-people": not said["right"] or said["seen"] != self.shown,
        }
        fields = {
            "import-unit": "unit",
            "import-length": "length",
            "import-days": "days",
            "import-decimal": "mark",
            "import-people": "right",
        }
        numbers = {"columns": ", ".join(word("column", name) for name in missing)}
        return tuple(
            Finding(code=code, field=fields.get(code, ""), weight=Weight.REFUSE, numbers=numbers)
            for code, wrong in asked.items()
            if wrong
        )

    def matching(self) -> Matching:
        """What was said."""
        said = self.cleaned_data
        people = {one.name: said[_field("person", one)] for one in self.survey.people}
        return Matching(
            columns=self.survey.columns,
            unit=said["unit"],
            length=said.get("length", ""),
            over=self.survey.over,
            day_first=said.get("days") == "day",
            decimal_comma=said["mark"] == "comma",
            people={
                name: 0 if key == NEW else int(key) if key.isdecimal() else None
                for name, key in people.items()
            },
            lifts={one.name: said[_field("lift", one)].removeprefix(OUT) for one in self.survey.lifts},
            today=self.today,
        )

    @property
    def columns(self) -> list[Any]:
        """The fields that say which column is which."""
        return [self[name] for name in self.fields if name.startswith("column-")]

    @property
    def people(self) -> list[tuple[Named, Any]]:
        """Each name with its field."""
        return [(one, self[_field("person", one)]) for one in self.survey.people]

    @property
    def lifts(self) -> list[tuple[Named, Any]]:
        """Each lift with its field."""
        return [(one, self[_field("lift", one)]) for one in self.survey.lifts]

    def _add_columns(self, survey: Survey) -> None:
        choices = [
            ("", "–"),
            *(
                (str(n), text or str(_("column %(number)s") % {"number": n + 1}))
                for n, text in enumerate(survey.headings)
            ),
        ]
        for name in headings.columns_of(survey.kind):
            called = word("column", name)
            label = called[:1].upper() + called[1:]
            field = forms.ChoiceField(label=label, choices=choices, required=False)
            field.initial = str(survey.columns.get(name, ""))
            self.fields[f"column-{name}"] = field

    def _add_names(
        self,
        what: str,
        named: tuple[Named, ...],
        known: list[tuple[str, str]],
        also: Sequence[tuple[str, str]] = (),
    ) -> None:
        for one in named:
            mine = [pair for pair in known if pair[0] == one.key] if one.same else [*also, *known]
            field = forms.ChoiceField(label=one.name, choices=[(OUT, _("leave out")), *mine])
            field.initial = one.key or (also[0][0] if also else OUT)
            self.fields[_field(what, one)] = field


def posted_columns(data: Mapping[str, Any], count: int, kind: str) -> dict[str, int] | None:
    """The columns as they were chosen on the page; None where none was sent. A heading chosen twice counts for the first."""
    found: dict[str, int] = {}
    for name in headings.columns_of(kind):
        typed = str(data.get(f"column-{name}", ""))
        if typed.isdecimal() and len(typed) < 4 and int(typed) < count and int(typed) not in found.values():
            found[name] = int(typed)
    return found if any(key.startswith("column-") for key in data) else None


def _field(what: str, one: Named) -> str:
    return f"{what}-{_digest(one.name)}"


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "replace")).hexdigest()[:16]
