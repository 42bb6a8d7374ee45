"""What is stored beside what was typed, after a colleague changed the same thing."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.http import HttpRequest, QueryDict

_LONGEST = 12


def beside(form: forms.Form, stored: Mapping[str, Any]) -> tuple[list[dict[str, str]], QueryDict]:
    """The fields that differ, in the words of the page, and what was typed, ready to be saved over the stored version."""
    typed = form.data.copy()  # type: ignore[attr-defined]
    rows = [
        {
            "label": str(field.label),
            "stored": said(field, stored.get(name)),
            "typed": said(field, form[name].data),
        }
        for name, field in form.fields.items()
        if name != "version"
    ]
    typed["version"] = str(stored["version"])
    return [row for row in rows if row["stored"] != row["typed"]], typed


def seen_version(request: HttpRequest) -> int:
    """The version that stood on the page which was sent; 0 where it carries none that can be."""
    seen = request.POST.get("version", "")
    return int(seen) if seen.isascii() and seen.isdecimal() and len(seen) < _LONGEST else 0


def said(field: forms.Field, value: Any) -> str:
    """A value as its field shows it: a choice by its words, a tick as yes or no."""
    if isinstance(field, forms.BooleanField):
        return "yes" if value in {True, "on", "True", "true"} else "no"
    if isinstance(field, forms.ModelChoiceField):
        found = (
            field.queryset.filter(pk=getattr(value, "pk", value) or None).first()
            if field.queryset is not None
            else None
        )
        return str(found) if found else ""
    if isinstance(field, forms.ChoiceField):
        return str(dict(field.choices).get(value, value if value is not None else ""))  # type: ignore[arg-type]
    return "" if value is None else str(value)
