"""Lines of a table of people or of iron, read by the forms that a person would fill in: what a page refuses, a table refuses.

What a page would ask about (a build or a bar that is hardly ever seen) is a remark, to be looked at before the table is taken.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Any, BinaryIO

from floorward.actions.import_rows import LIFTERS, There, Weighed, Wish, there_in, weigh
from floorward.core.cells import Wrong, length_text, mass_text, number_of, odd_cell, split_unit, wrong_cell
from floorward.core.findings import Finding
from floorward.core.headings import folded, measured, sex_of
from floorward.core.past_sets import Matching, cell
from floorward.core.records import BarKind
from floorward.reports.wording import sentence, sentence_for, word
from floorward.storage.models import Gym
from floorward.storage.sheets import Limits, lines_of
from floorward.units import Mass, Unit, parse_length_mm, parse_mass, plain
from floorward.web.forms.gym import FORMS, piece_values
from floorward.web.forms.lifters import LifterForm, lifter_values

ROWS = Limits(bytes_most=5_000_000, unfolded_most=60_000_000, lines_most=1000)
WHOLE = frozenset({"born", "count", "pairs"})
# the form's field of each column, by what the line is about
FIELDS: Mapping[str, Mapping[str, str]] = {
    "lifters": {
        "born": "born_year",
        "sex": "sex",
        "stature": "stature_m",
        "mass": "mass",
        "span": "span_m",
        "crotch": "crotch_m",
        "sitting": "sitting_height_m",
        "knee": "knee_height_m",
        "sleeve": "sleeve_m",
    },
    "bars": {
        "name": "name",
        "mass": "mass",
        "low": "handle_low_mm",
        "high": "handle_high_mm",
        "sleeve": "sleeve_mm",
    },
    "plates": {
        "mass": "mass",
        "count": "count",
        "pairs": "count",
        "diameter": "diameter_mm",
        "thickness": "thickness_mm",
    },
    "collars": {"mass": "mass"},
    "blocks": {"name": "name", "thickness": "thickness", "count": "pairs", "pairs": "pairs"},
    "boxes": {"name": "name", "height": "height_mm"},
}


@dataclass(slots=True, kw_only=True)
class RowsRead:
    """What a table of rows comes to; `problems` and `remarks` are sentences with their lines, `wrong` counts all problems."""

    lines: int = 0
    left_out: int = 0
    wishes: list[Wish] = field(default_factory=list)
    problems: list[tuple[int, str]] = field(default_factory=list)
    remarks: list[tuple[int, str]] = field(default_factory=list)
    weighed: Weighed = field(default_factory=Weighed)

    @property
    def wrong(self) -> int:
        """Lines that cannot be read."""
        return len({line for line, _ in self.problems})


def read_rows(kind: str, gym: Gym, file: BinaryIO, matching: Matching) -> RowsRead:
    """Every line as it would be typed into its form, and what taking them would do; nothing is written.

    Raises:
        Refused: `file-…` where the table cannot be read.
    """
    found, what = RowsRead(), {"bodies": _person, "iron": _piece}[kind]
    reader = partial(what, gym=gym, there=there_in(gym), matching=matching)
    with lines_of(file, ROWS) as lines:
        next(lines, None)
        for number, cells in lines:
            found.lines += 1
            said = {name: cell(cells, matching, name) for name in matching.columns}
            if any(said.values()):
                _read(found, number, said, reader)
            else:
                found.left_out += 1
    found.weighed = weigh(found.wishes)
    for line, other in found.weighed.clashing:
        found.problems.append((line, sentence_for("row-otherwise", {"line": other})))
    found.problems.sort()
    return found


Typed = tuple[Any, str, Any] | Finding | None  # the filled form, the shelf and the row that is there
Reader = Callable[[Mapping[str, str]], Typed]


def _read(found: RowsRead, number: int, said: Mapping[str, str], reader: Reader) -> None:
    read = odd_cell(said) or reader(said)
    if read is None:
        found.left_out += 1
    elif isinstance(read, Finding):
        found.problems.append((number, said_of(read)))
    else:
        form, shelf, row = read
        found.remarks += [(number, sentence(one)) for one in _asked(form)]
        if form.is_valid():
            given = {
                name: FIELDS[shelf][name] for name, text in said.items() if text and name in FIELDS[shelf]
            }
            found.wishes.append(
                _wish(form, number, shelf, row, {*given.values(), *({"kind"} if shelf == "bars" else ())})
            )
        else:
            found.problems += [
                (number, f"{_label(form, name)}{text}")
                for name, texts in form.errors.items()
                for text in texts
                if text
            ]


def said_of(finding: Finding) -> str:
    """The sentence of a finding about a cell, with the column's own word."""
    return sentence_for(finding.code, {**finding.numbers, "column": word("column", finding.field)})


def _label(form: Any, name: str) -> str:
    return f"{form.fields[name].label}: " if name in form.fields else ""


def _asked(form: Any) -> list[Finding]:
    """What the form would ask, confirmed at once."""
    asked: list[Finding] = []
    while not form.is_valid() and form.questions:
        asked += form.questions
        form.data = {**form.data, "confirmed": [one.code for one in asked]}
        form.questions, form._errors = [], None  # noqa: SLF001 - Django's own way to look at a form anew
    return asked


def _texts(
    said: Mapping[str, str], fields: Mapping[str, str], matching: Matching
) -> dict[str, Any] | Finding:
    """What to type into the fields: masses and lengths with their unit, whole numbers without marks."""
    typed: dict[str, Any] = {}
    for column, name in fields.items():
        text = said.get(column, "")
        if not text:
            continue
        made = _text(column, text, said, matching)
        if isinstance(made, Wrong):
            return wrong_cell(made.code, column, text)
        typed[name] = made
    return typed


def _text(column: str, text: str, said: Mapping[str, str], matching: Matching) -> str | Wrong:
    if column in measured("mass"):
        return _mass(text, said, matching)
    if column in measured("length"):
        return length_text(text, matching.over.get(column, "") or matching.length, matching.decimal_comma)
    if column in WHOLE:
        value = number_of(text, matching.decimal_comma)
        if isinstance(value, Wrong) or value != int(value):
            return Wrong("cell-no-whole-number")
        return str(int(value))
    return sex_of(text) if column == "sex" else text


def _mass(text: str, said: Mapping[str, str], matching: Matching) -> str | Wrong:
    own = said.get("unit", "")
    unit = split_unit(f"0 {own}")[1] if own else matching.over.get("mass", "") or matching.unit
    return Wrong("cell-no-unit") if own and not unit else mass_text(text, unit, matching.decimal_comma)


def _person(said: Mapping[str, str], *, gym: Gym, there: There, matching: Matching) -> Typed:
    if not said["lifter"]:
        return wrong_cell("cell-empty", "lifter", "")
    number = matching.people.get(said["lifter"])
    if number is None:
        return None
    row = there.lifters.get(number)
    if number and row is None:
        return wrong_cell("cell-nobody", "lifter", said["lifter"])
    typed = _texts(said, FIELDS[LIFTERS], matching)
    if isinstance(typed, Finding):
        return typed
    new = {"name": said["lifter"], "unit": gym.unit, "sex": "undeclared", "sumo_allowed": True}
    stands = {**lifter_values(row), "coach": ""} if row else new
    return LifterForm(_filled({**stands, **typed}), gym=gym, today=matching.today), LIFTERS, row


def _piece(said: Mapping[str, str], *, gym: Gym, there: There, matching: Matching) -> Typed:
    if not said["piece"]:
        return wrong_cell("cell-empty", "piece", "")
    kind = matching.lifts.get(said["piece"], "")
    if not kind:
        return None
    shelf = "bars" if kind in set(BarKind) else kind
    typed = _texts(said, FIELDS[shelf], matching)
    if isinstance(typed, Finding):
        return typed
    if "name" in FIELDS[shelf] and "name" not in typed:
        typed["name"] = said["piece"]
    if shelf == "bars":
        typed["kind"] = kind
    typed |= _counted(shelf, said, typed)
    row = _same_piece(shelf, typed, there.pieces[shelf], Unit(gym.unit))
    stands = piece_values(row) if row else _usual(shelf)
    form = FORMS[shelf](_filled({**stands, **typed}), gym=gym, row=row)
    return form, shelf, row


def _usual(shelf: str) -> dict[str, Any]:
    """What the form of a new piece begins with."""
    return {name: field.initial for name, field in FORMS[shelf].base_fields.items()}


def _counted(shelf: str, said: Mapping[str, str], typed: Mapping[str, Any]) -> dict[str, str]:
    """Plates are counted one by one, blocks in pairs, whichever a table does."""
    if shelf == "plates" and said.get("pairs"):
        return {"count": str(int(typed["count"]) * 2)}
    if shelf == "blocks" and said.get("count") and not said.get("pairs"):
        return {"pairs": str(int(typed["pairs"]) // 2)}
    return {}


def _same_piece(shelf: str, typed: Mapping[str, Any], rows: Sequence[Any], unit: Unit) -> Any:
    """The piece that is there already: of this name, or of this mass (and diameter, where several have it)."""
    if shelf not in {"plates", "collars"}:
        return next((row for row in rows if folded(row.name) == folded(typed["name"])), None)
    mass = parse_mass(str(typed.get("mass", "")), unit)
    alike = [row for row in rows if mass == Mass(row.mass, Unit(row.unit)) and mass.unit == row.unit]
    if shelf == "plates" and "diameter_mm" in typed:
        diameter = parse_length_mm(typed["diameter_mm"], "mm")
        alike = [row for row in alike if diameter == row.diameter_mm]
    return alike[0] if len(alike) == 1 else None


def _same(shelf: str, row: Any, columns: Mapping[str, Any]) -> tuple[object, ...]:
    """What tells a row from others of its shelf."""
    if row is not None:
        return (row.pk,)
    names = {"plates": ("mass", "unit", "diameter_mm"), "collars": ("mass", "unit")}.get(shelf)
    return tuple(columns[name] for name in names) if names else (folded(columns["name"]),)


def _wish(form: Any, number: int, shelf: str, row: Any, given: set[str]) -> Wish:
    columns = form.about() if shelf == LIFTERS else form.columns()
    columns = {name: value for name, value in columns.items() if name != "coach"}
    spoken = {
        "mass_kg" if shelf == LIFTERS else "mass": "mass",
        "pairs": "count",
        "thickness_mm": "thickness",
    }
    values = {
        name: value
        for name, value in columns.items()
        if row is None or given & {name, spoken.get(name, name)}
    }
    if row is not None and "mass" in values:
        values["unit"] = columns["unit"]
    return Wish(
        line=number,
        shelf=shelf,
        same=_same(shelf, row, columns),
        name=_called(shelf, columns),
        row=row,
        values=values,
    )


def _called(shelf: str, columns: Mapping[str, Any]) -> str:
    if "name" in columns:
        return str(columns["name"])
    return f"{plain(columns['mass'])} {columns['unit']} {word('shelf', shelf)}"


def _filled(typed: Mapping[str, Any]) -> dict[str, Any]:
    """Without columns that are empty: a form reads no value there, and not the word None."""
    return {name: value for name, value in typed.items() if value is not None}
