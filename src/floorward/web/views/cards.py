"""The session's card: as a page, as an A5 PDF, and behind the lifter's own link."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string

from floorward.actions.cards import card_of
from floorward.actions.sessions import planned_today
from floorward.reports.card import Card, CardLine, called, card_pdf, change_words
from floorward.reports.drawings.code import qr_code
from floorward.reports.drawings.sleeve import plates_on_sleeve
from floorward.storage.models import Lifter
from floorward.web.lookup import session_of
from floorward.web.now import now
from floorward.web.speech import for_lifter, speaking
from floorward.web.views.links import by_link


def card(request: HttpRequest, session_id: int) -> HttpResponse:
    """The card as a page: the card in the lifter's language, the page around it in the visitor's."""
    row = session_of(request, session_id)
    with speaking(for_lifter(row.lifter), row.lifter.unit):
        shown = _shown(card_of(row, now()))
        body = render_to_string("sessions/card_body.html", {**shown, "show_why": True}, request)
    return render(
        request, "sessions/card.html", {**shown, "body": body, "session": row, "lifter": row.lifter}
    )


def pdf(request: HttpRequest, session_id: int) -> HttpResponse:
    """The card on A5, in the lifter's language."""
    row = session_of(request, session_id)
    with speaking(for_lifter(row.lifter), row.lifter.unit):
        made = card_pdf(card_of(row, now()))
    response = HttpResponse(made, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="card-{row.day:%Y-%m-%d}-{row.pk}.pdf"'
    return response


@by_link
def own_card(request: HttpRequest, lifter: Lifter, *, token: str) -> HttpResponse:
    """Today's card behind the lifter's link; no other day's, and no history."""
    row = planned_today(lifter, now())
    shown = _shown(card_of(row, now(), with_code=False)) if row is not None else {}
    return render(request, "sessions/own_card.html", {**shown, "lifter": lifter, "token": token})


def _shown(made: Card) -> dict[str, Any]:
    lines = [
        {
            "line": line,
            "sleeve": _sleeve(made, line),
            "changes": [change_words(one) for one in line.handling],
        }
        for line in made.lines
    ]
    return {
        "card": made,
        "called": called(made.name),
        "lines": lines,
        "code": qr_code(made.code_address) if made.code_address else "",
    }


def _sleeve(made: Card, line: CardLine) -> str:
    if line.plates is None:
        return ""
    return plates_on_sleeve(line.plates, made.unit, labels=False, px_per_mm=0.15)
