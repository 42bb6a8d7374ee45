"""One's own door, and what an owner changes about a colleague."""

from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.utils.translation import gettext_lazy as _

from floorward import language
from floorward.core.findings import Finding, Weight
from floorward.reports.wording import words
from floorward.storage.models import Staff
from floorward.web.forms.asking import AskingForm
from floorward.web.forms.gym import ROLES
from floorward.web.forms.rights import LanguageForm
from floorward.web.speech import languages


class SpeechForm(LanguageForm):
    """How pages speak to whoever is signed in."""

    unit = forms.ChoiceField(
        label=_("Loads and heights in"),
        choices=[("", _("the gym's")), ("kg", _("kg and cm")), ("lb", _("lb and inches"))],
        widget=forms.RadioSelect,
        required=False,
        help_text=_("Plates and bars keep the unit that is stamped on them."),
    )

    of_gym = forms.ChoiceField(
        label=_("Language of the gym"),
        choices=lambda: languages()[1:],
        widget=forms.RadioSelect,
        required=False,
        help_text=_("Spoken where nobody has chosen a language and the browser asks for another than these."),
    )

    def __init__(self, *args: Any, staff: Staff, **kwargs: Any) -> None:
        kwargs.setdefault(
            "initial", {"language": staff.language, "unit": staff.unit, "of_gym": staff.gym.language}
        )
        super().__init__(*args, **kwargs)
        if not staff.is_owner:
            del self.fields["of_gym"]
        if len(language.OFFERED) == 1:
            for name in {"language", "of_gym"} & set(self.fields):
                self.fields[name].widget = forms.HiddenInput()


class _OwnPassword(AskingForm):
    """Asks for the password that its owner has now."""

    now = forms.CharField(label=_("The password you have now"), widget=forms.PasswordInput)

    def __init__(self, *args: Any, staff: Staff, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.staff = staff

    def check(self) -> tuple[Finding, ...]:
        """It is the one."""
        if self.staff.has_usable_password() and not self.staff.check_password(self.cleaned_data["now"]):
            return (Finding(code="password-not-old", field="now", weight=Weight.REFUSE),)
        return ()


class PasswordForm(_OwnPassword):
    """A new password for the old."""

    new = forms.CharField(
        label=_("The new one"), widget=forms.PasswordInput, help_text=_("At least 10 characters.")
    )

    def clean_new(self) -> str:
        """Long enough, not a common one, not the name."""
        validate_password(self.cleaned_data["new"], self.staff)
        return str(self.cleaned_data["new"])


class RemoveKeyForm(_OwnPassword):
    """Whoever takes the second key away knows the password."""


class PersonForm(AskingForm):
    """A colleague, changed by an owner."""

    name = forms.CharField(label=_("Name"), max_length=80)
    role = forms.ChoiceField(
        label=_("Role"),
        choices=lambda: list(words("role").items()),
        widget=forms.RadioSelect,
        help_text=ROLES,
    )
    password = forms.CharField(
        label=_("A new password"),
        widget=forms.PasswordInput,
        required=False,
        help_text=_("Only if they have forgotten theirs. At least 10 characters. Give it to them in person."),
    )
    drop_second_key = forms.BooleanField(
        label=_("They lost their second key: ask no longer for it"), required=False
    )

    def __init__(self, *args: Any, staff: Staff, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.staff = staff

    def clean_password(self) -> str:
        """None, or a good one."""
        typed = str(self.cleaned_data["password"])
        if typed:
            validate_password(typed, self.staff)
        return typed


class LeaveForm(AskingForm):
    """A colleague has left the gym."""

    take_links_back = forms.BooleanField(
        label=_("Also take back their lifters' links: somebody else then hands out new ones"), required=False
    )
