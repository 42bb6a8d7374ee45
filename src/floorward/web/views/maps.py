"""The height–load map of a lifter, a sheet for each implement."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from floorward.actions.map_page import MapPage, map_page
from floorward.language import weight
from floorward.web.lookup import lifter_of
from floorward.web.now import now


def height_load(request: HttpRequest, lifter_id: int) -> HttpResponse:
    """One sheet with one spot chosen; which ones is in the address."""
    lifter = lifter_of(request, lifter_id)
    view = map_page(
        lifter,
        now(),
        lift=request.GET.get("lift", ""),
        row=_number(request.GET.get("row", "")),
        load=_number(request.GET.get("load", "")),
    )
    shown = {"lifter": lifter, "view": view, "chosen": view.chosen, "page": "lifters", "tab": "progress"}
    return render(request, "maps/map.html", {**shown, "moves": _moves(view)})


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 6 else None


def _moves(view: MapPage) -> dict[str, object]:
    """What the page's script moves by."""
    return {
        "rows": [
            {
                "mm": row.level_mm,
                "at": row.start,
                "name": row.built.inside,
                "key": row.built.key,
                "sure": row.sure,
                "unlikely": row.unlikely,
                "oneIn": row.one_in,
            }
            for row in view.rows
        ],
        "loads": [float(load) for load in view.loads],
        "read": [weight(load, view.unit) for load in view.loads],
        "scales": [
            {
                "left": scale.left,
                "right": scale.right,
                "top": scale.top,
                "bottom": scale.bottom,
                "mostLoad": scale.most_load,
                "floorMm": scale.floor_mm,
                "topMm": scale.top_mm,
            }
            for scale in view.scales
        ],
    }
