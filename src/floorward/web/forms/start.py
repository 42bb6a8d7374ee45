"""Opening one's own gym, and signing in."""

import secrets
from collections.abc import Mapping
from functools import cache
from importlib import resources
from typing import Any
from unicodedata import combining, normalize
from zoneinfo import available_timezones

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from floorward.storage.models import Staff
from floorward.units import Unit
from floorward.web.forms.asking import AskingForm

# no country is likelier than another, and a wrong one brings a wrong emergency number
CHOOSE = ("", _("Choose"))


def countries() -> list[tuple[str, str]]:
    """ISO 3166 codes and the names of the countries, in the reader's language."""
    return countries_in(get_language() or "en")


@cache
def countries_in(language: str) -> list[tuple[str, str]]:
    """Every code of the time-zone database with its name of the Unicode locale data, in the order of the alphabet."""
    from babel import Locale  # its data is read where a gym is opened, and nowhere else

    text = resources.files("tzdata").joinpath("zoneinfo/iso3166.tab").read_text(encoding="utf-8")
    rows = [line.split("\t") for line in text.splitlines() if line and not line.startswith("#")]
    names = Locale.parse(language, sep="-").territories
    return sorted(((code, names.get(code, name)) for code, name in rows), key=lambda row: unaccented(row[1]))


def unaccented(name: str) -> str:
    """A name as it is sorted: the letters without their marks, so that África stands among those with A."""
    return "".join(letter for letter in normalize("NFKD", name) if not combining(letter)).casefold()


@cache
def time_zones() -> list[tuple[str, str]]:
    """The names of all zones that a wall clock may keep."""
    return [
        (zone, zone.replace("_", " "))
        for zone in sorted(available_timezones())
        if "/" in zone and not zone.startswith("Etc/")
    ]


def checked_password(typed: Mapping[str, Any], name: str = "name") -> str:
    """The password among what was typed, if it is long enough, not a common one, and not the person's name.

    Raises:
        ValidationError: it is none of these.
    """
    about = Staff(name=typed.get(name) or "", sign_in_name=typed.get("sign_in_name") or "")
    validate_password(typed["password"], about)
    return str(typed["password"])


class OwnGymForm(AskingForm):
    """The gym and its owner."""

    code = forms.CharField(
        label=_("Code from the console"),
        max_length=20,
        help_text=_("Printed when Floorward started. It works once."),
    )
    name = forms.CharField(label=_("Name of the gym"), max_length=120)
    country = forms.ChoiceField(
        label=_("Country"),
        choices=lambda: [CHOOSE, *countries()],
        help_text=_("For the emergency number and local routes."),
    )
    emergency_number = forms.CharField(
        label=_("Emergency number"),
        max_length=20,
        required=False,
        help_text=_("Leave empty to take the country's usual one, then check it."),
    )
    time_zone = forms.ChoiceField(label=_("Time zone"), choices=lambda: [CHOOSE, *time_zones()])
    unit = forms.ChoiceField(
        label=_("Plates and loads in"),
        choices=[(u.value, u.value) for u in Unit],
        widget=forms.RadioSelect,
        initial="kg",
    )
    owner_name = forms.CharField(label=_("Your name"), max_length=80)
    sign_in_name = forms.CharField(label=_("Name to sign in with"), max_length=60)
    password = forms.CharField(
        label=_("Password"), widget=forms.PasswordInput, help_text=_("At least 10 characters.")
    )

    def __init__(self, *args: Any, code: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._code = code

    def clean_code(self) -> str:
        """The code must be this start's."""
        typed = str(self.cleaned_data["code"]).strip()
        if not self._code or not secrets.compare_digest(typed.encode(), self._code.encode()):
            raise forms.ValidationError(
                _("This is not the code the console printed. Look at the lines below 'floorward'.")
            )
        return typed

    def clean_password(self) -> str:
        """Long enough, not a common one, not the name."""
        return checked_password(self.cleaned_data, "owner_name")

    def gym(self) -> dict[str, Any]:
        """What the action takes."""
        return {name: value for name, value in self.cleaned_data.items() if name != "code"}


class SignInForm(AskingForm):
    """A name and a password."""

    sign_in_name = forms.CharField(label=_("Name"), max_length=60)
    password = forms.CharField(label=_("Password"), widget=forms.PasswordInput)


class CodeForm(AskingForm):
    """A code of the second key, from the phone or from paper."""

    code = forms.CharField(
        label=_("Code from your phone"),
        max_length=40,
        widget=forms.TextInput(attrs={"autocomplete": "one-time-code", "autofocus": True}),
        help_text=_("Six digits. Without the phone, one of the codes you keep on paper."),
    )


class FirstCodeForm(CodeForm):
    """The code that puts a second key in force; there is no paper yet."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["code"].help_text = _("Six digits.")
