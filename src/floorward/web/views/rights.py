"""A lifter's own data: what is held, all of it to take away, the consent taken back, everything erased."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from floorward import language
from floorward.actions import rights
from floorward.actions.lifters import change_language, withdraw_consent
from floorward.actions.mornings import first_name
from floorward.errors import Refused
from floorward.reports.wording import sentence_for
from floorward.storage.models import Lifter
from floorward.web.forms.rights import EraseForm, LanguageForm, YearForm
from floorward.web.lookup import lifter_of, staff_of
from floorward.web.now import now
from floorward.web.views.links import by_link


@by_link
def own_data(request: HttpRequest, lifter: Lifter, *, token: str) -> HttpResponse:
    """What is held of the lifter who holds the link, and what they may do about it."""
    return _own_page(request, lifter, token)


@by_link
@require_POST
def own_language(request: HttpRequest, lifter: Lifter, *, token: str) -> HttpResponse:
    """The language that the lifter is spoken to in from now on."""
    form = LanguageForm(request.POST)
    if form.is_valid():
        change_language(lifter, form.cleaned_data["language"])
    return redirect("own-data", token)


@by_link
@require_POST
def own_archive(request: HttpRequest, lifter: Lifter, *, token: str) -> HttpResponse:
    """All of it in one file."""
    form = YearForm(request.POST)
    if not _is_known(form, lifter, token):
        return _own_page(request, lifter, token, take=form)
    return _file(rights.archive_of(lifter, with_health=True), "my-training.zip")


@by_link
@require_POST
def own_withdraw(_: HttpRequest, lifter: Lifter, *, token: str) -> HttpResponse:
    """The lifter takes the consent back."""
    withdraw_consent(lifter, now=now())
    return redirect("own-data", token)


@by_link
@require_POST
def own_asking(request: HttpRequest, lifter: Lifter, *, token: str) -> HttpResponse:
    """The lifter asks that everything be erased, or asks no longer."""
    if "take_back" in request.POST:
        rights.take_back_asking(lifter)
    else:
        rights.ask_erasure(lifter, now())
    return redirect("own-data", token)


@by_link
@require_POST
def own_erase(request: HttpRequest, lifter: Lifter, *, token: str) -> HttpResponse:
    """The lifter, who has asked already, says it a second time and knows the year."""
    form = YearForm(request.POST)
    if lifter.erasure_asked_at is None or not _is_known(form, lifter, token):
        return _own_page(request, lifter, token, erase=form)
    rights.erase(lifter, by=None, now=now())
    return render(request, "links/erased.html")


def archive(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """All of a lifter's rows in one file, for a coach who sees them anyhow."""
    return _file(
        rights.archive_of(lifter_of(request, lifter_id), with_health=True), f"lifter-{lifter_id}.zip"
    )


def erase(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """An owner erases a lifter."""
    lifter = lifter_of(request, lifter_id)
    form = EraseForm(request.POST or None, lifter_name=lifter.name)
    if request.method == "POST" and form.is_valid():
        rights.erase(lifter, by=staff_of(request), now=now())
        messages.success(request, sentence_for("erased", {}))
        return redirect("lifters")
    page = {"lifter": lifter, "form": form, "back": reverse("lifter", args=[lifter.pk]), "page": "lifters"}
    return render(request, "lifters/erase.html", page, status=422 if request.method == "POST" else 200)


def _own_page(request: HttpRequest, lifter: Lifter, token: str, **forms: YearForm) -> HttpResponse:
    page: dict[str, Any] = {
        "lifter": lifter,
        "token": token,
        "first_name": first_name(lifter),
        "held": rights.held_of(lifter),
        "speech": LanguageForm(initial={"language": lifter.language}) if len(language.OFFERED) > 1 else None,
        "take": forms.get("take") or YearForm(auto_id="take_%s"),
        "erase": forms.get("erase") or YearForm(auto_id="erase_%s"),
    }
    return render(request, "links/data.html", page, status=422 if forms else 200)


def _is_known(form: YearForm, lifter: Lifter, token: str) -> bool:
    if not form.is_valid():
        return False
    try:
        rights.known_by_year(lifter, form.cleaned_data["born_year"], door=token, now=now())
    except Refused as refusal:
        form.add_error("born_year", sentence_for(refusal.code, refusal.numbers))
        return False
    return True


def _file(content: bytes, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type="application/zip")
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
