"""The numbers of a height–load map as a table: for ears, for print, and for whoever wants to check the drawing."""

from collections.abc import Iterable

from floorward.language import unit_shown
from floorward.reports.drawings.loads import load_words
from floorward.reports.drawings.map_scale import HeightLoadMap, MapSet, Spot
from floorward.reports.drawings.svg import Drawing, clean, element
from floorward.reports.wording import sentence_for, word


def map_table(chart: HeightLoadMap) -> Drawing:
    """Two HTML tables: the sets in the order they were done, and the borders at each height (left out when there are none)."""
    heads = [
        word("map-table", code) for code in ("day", "load", "height", "repetitions", "pain", "acceptable")
    ]
    done = _table(word("map-table", "sets"), heads, (_set_row(s, chart) for s in chart.sets))
    return Drawing(done + _borders(chart) if chart.sets or chart.likely else "")


def _borders(chart: HeightLoadMap) -> str:
    if not (chart.sure and chart.likely and chart.unlikely):
        return ""
    heads = [word("map-table", code) for code in ("height", "sure", "likely", "unlikely")]
    rows = (
        [
            _height(height, chart),
            *(_up_to(at(border, height), chart) for border in (chart.sure, chart.likely, chart.unlikely)),
        ]
        for _, height in chart.likely
    )
    return _table(word("map-table", "borders"), heads, rows)


def at(border: tuple[Spot, ...], height_mm: float) -> float:
    """The load of a border at a height: the spot nearest to it."""
    return min(border, key=lambda spot: abs(spot[1] - height_mm))[0]


def _set_row(done: MapSet, chart: HeightLoadMap) -> list[str]:
    answer = word("map-table", "yes" if done.acceptable else "no")
    reps = str(done.reps) if done.reps else "–"
    return [
        str(done.day),
        _load(done.load, chart),
        f"{done.name}, {_height(done.height_mm, chart)}" if done.name else _height(done.height_mm, chart),
        reps,
        str(done.pain),
        answer,
    ]


def _up_to(load: float, chart: HeightLoadMap) -> str:
    return _load(load, chart) if load > 0 else "–"


def _load(load: float, chart: HeightLoadMap) -> str:
    return f"{load_words(load, chart.unit)} {unit_shown(chart.unit)}"


def _height(height_mm: float, chart: HeightLoadMap) -> str:
    if chart.as_measured:
        return sentence_for("drawn-box", {"cm": _tenth(height_mm / 10)})
    over_cm = (height_mm - chart.floor_mm) / 10
    return (
        sentence_for("drawn-height", {"cm": _tenth(over_cm)})
        if over_cm > 0
        else chart.floor_name or word("drawing", "floor")
    )


def _tenth(length_cm: float) -> str:
    return f"{round(length_cm, 1):g}"


def _table(caption: str, heads: Iterable[str], rows: Iterable[list[str]]) -> str:
    head = element("tr", *(element("th", clean(text), scope="col") for text in heads))
    body = [
        element(
            "tr", element("th", clean(row[0]), scope="row"), *(element("td", clean(cell)) for cell in row[1:])
        )
        for row in rows
    ]
    filled = element("tbody", *body) if body else ""
    return element(
        "table", element("caption", clean(caption)), element("thead", head), filled, class_="map-numbers"
    )
