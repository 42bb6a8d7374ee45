"""Lifters with their measures, and iron and wood, brought in from a table: weighed against what is there, taken whole, undone.

What a table says of somebody or something that is there already changes it; what it says word for word already is left alone. Undoing
puts back what nobody touched since, and leaves the rest.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db.models import Model

from floorward.actions import iron
from floorward.actions.lifters import add_lifter
from floorward.errors import Refused
from floorward.reports.wording import word
from floorward.storage import portable
from floorward.storage.models import Brought, Gym, Import, Lifter, Staff
from floorward.storage.place import atomic
from floorward.units import plain

LIFTERS = "lifters"
# what a table may speak of, apart from the name
TOLD = frozenset(
    {
        *("born_year", "sex", "stature_m", "mass_kg"),
        *("span_m", "crotch_m", "sitting_height_m", "knee_height_m", "sleeve_m"),
        *("kind", "mass", "unit", "pairs", "diameter_mm", "thickness_mm", "height_mm"),
        *("handle_low_mm", "handle_high_mm", "sleeve_mm"),
    }
)
CODED = {"kind": "bar-kind", "sex": "sex"}  # what stands there as a code, and the words for it
TIED = ("sessions", "episodes", "consents", "links", "best_sets", "past_sets", "measured_starts")


SHELVES = ("bars", "plates", "collars", "blocks", "boxes")


@dataclass(frozen=True, slots=True, kw_only=True)
class There:
    """What a gym has before a table is read: its lifters by number, its pieces by shelf."""

    lifters: Mapping[int, Lifter]
    pieces: Mapping[str, Sequence[Any]]


def there_in(gym: Gym) -> There:
    """Read once for all lines."""
    return There(
        lifters={row.pk: row for row in gym.lifters.all()},
        pieces={shelf: tuple(getattr(gym, shelf).all()) for shelf in SHELVES},
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What a line says of a row: its columns as they should be.

    Attributes:
        line: of the table.
        shelf: lifters, bars, plates, collars, blocks or boxes.
        same: tells this row from others; two lines with the same are about one row.
        name: what to call it.
        row: the row that is there; None makes a new one.
        values: the columns that the table speaks of.
    """

    line: int
    shelf: str
    same: tuple[object, ...]
    name: str
    row: Any
    values: Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A wish that changes something; `before` holds its columns as they are, None of a new row."""

    wish: Wish
    before: Mapping[str, Any] | None
    after: Mapping[str, Any]

    @property
    def told(self) -> list[tuple[str, Any, Any]]:
        """Each column that a table may speak of and that would change, with what stands there and what would."""
        return [
            (name, _short(name, (self.before or {}).get(name)), _short(name, new))
            for name, new in self.after.items()
            if name in TOLD and new not in {None, ""}
        ]


@dataclass(slots=True, kw_only=True)
class Weighed:
    """What taking the wishes would do.

    Attributes:
        known: lines that say what is there already; `again` are lines that say the same as another line.
        clashing: lines that say something else than another line about the same, each with the other's number.
    """

    new: list[Change] = field(default_factory=list)
    changed: list[Change] = field(default_factory=list)
    known: int = 0
    again: int = 0
    clashing: list[tuple[int, int]] = field(default_factory=list)


def weigh(wishes: Iterable[Wish]) -> Weighed:
    """What taking the wishes would do; nothing is written."""
    found = Weighed()
    seen: dict[tuple[str, tuple[object, ...]], Wish] = {}
    for wish in wishes:
        first = seen.setdefault((wish.shelf, wish.same), wish)
        if first is not wish:
            if _plain(wish.shelf, first.values) == _plain(wish.shelf, wish.values):
                found.again += 1
            else:
                found.clashing.append((wish.line, first.line))
            continue
        change = _change(wish)
        if change is None:
            found.known += 1
        elif change.before is None:
            found.new.append(change)
        else:
            found.changed.append(change)
    return found


def take_rows(gym: Gym, weighed: Weighed, source: Import, *, by: Staff | None, now: datetime) -> Import:
    """Write what was weighed, all of it or nothing; `source` is the import that waited for it, or a new one that is not stored yet.

    Raises:
        Refused: `import-nothing` if nothing is new, `import-over` if `source` or a row went meanwhile.
    """
    with atomic():
        if source.pk is None:
            source.save()
        elif not Import.objects.select_for_update().filter(pk=source.pk, state=Import.State.OPEN).exists():
            raise Refused("import-over")
        changes = [*weighed.new, *weighed.changed]
        if not changes:
            raise Refused("import-nothing")
        for change in changes:
            row = _write(gym, change, by=by, now=now)
            theirs = row if change.wish.shelf == LIFTERS else None
            Brought.objects.create(
                source=source,
                lifter=theirs,
                shelf=change.wish.shelf,
                number=row.pk,
                was=change.before,
                became=change.after,
            )
        source.count, source.state, source.kept, source.at = len(changes), Import.State.TAKEN, "", now
        source.save()
        return source


def put_back(source: Import) -> int:
    """Put back what an import added or changed where nobody touched it since; how much was left as it is.

    To be called within a transaction.
    """
    left = 0
    for one in source.brought.order_by("-id"):
        rows = _model(one.shelf)._default_manager.select_for_update()  # noqa: SLF001 - Django's public way to a model's rows
        row: Any = rows.filter(pk=one.number, gym=source.gym_id).first()
        if row is not None and not (_now(row, one.became) == one.became and _restore(row, one)):
            left += 1
    source.brought.all().delete()
    return left


def _restore(row: Any, one: Brought) -> bool:
    if one.was is not None:
        _set(row, one.was)
    elif one.shelf == LIFTERS:
        if any(getattr(row, tie).exists() for tie in TIED):
            return False
        row.delete()
    else:
        try:
            iron.remove(row)
        except Refused:
            return False
    return True


def _change(wish: Wish) -> Change | None:
    after = _plain(wish.shelf, wish.values)
    if wish.row is None:
        return Change(wish=wish, before=None, after=after)
    before = _now(wish.row, after)
    differs = [name for name, new in after.items() if not _equal(before[name], new)]
    if not differs:
        return None
    return Change(
        wish=wish,
        before={name: before[name] for name in differs},
        after={name: after[name] for name in differs},
    )


def _short(name: str, value: Any) -> Any:
    """A value as it is read: a code in words, a number with its unit and without the digits that the unit's conversion left."""
    if name in CODED and value:
        return word(CODED[name], str(value))
    unit = name.rpartition("_")[2]
    after = f" {unit}" if unit in {"m", "mm", "kg"} else ""
    if isinstance(value, float):
        return f"{value:.3f}".rstrip("0").rstrip(".") + after
    exact = isinstance(value, str) and value.replace(".", "", 1).isdigit()
    return f"{plain(Decimal(value)) if exact else value}{after}" if value is not None else None


def _equal(one: Any, other: Any) -> bool:
    both = isinstance(one, float | int) and isinstance(other, float | int)
    return abs(one - other) < 1e-6 if both else bool(one == other)


def _write(gym: Gym, change: Change, *, by: Staff | None, now: datetime) -> Any:
    wish, values = change.wish, _values(change.wish.shelf, change.after)
    if wish.row is None:
        if wish.shelf != LIFTERS:
            return iron.add(gym, wish.shelf, values)
        return add_lifter(gym, coach=by if by and by.may_coach else None, by=by, now=now, **values)
    row = _model(wish.shelf)._default_manager.select_for_update().filter(pk=wish.row.pk, gym=gym).first()  # noqa: SLF001
    if row is None or _now(row, change.after) != change.before:
        raise Refused("import-over")
    _set(row, change.after)
    return row


def _set(row: Any, stored: Mapping[str, Any]) -> None:
    shelf = (
        LIFTERS
        if isinstance(row, Lifter)
        else next(key for key, kind in iron.KINDS.items() if isinstance(row, kind))
    )
    for name, value in _values(shelf, stored).items():
        setattr(row, name, value)
    row.version += 1
    row.save()


def _model(shelf: str) -> type[Model]:
    return Lifter if shelf == LIFTERS else iron.KINDS[shelf]


def _plain(shelf: str, values: Mapping[str, Any]) -> dict[str, Any]:
    """Columns as they are kept: what a row made of them would say."""
    made = _model(shelf)(**values)
    for name in values:
        column: Any = made._meta.get_field(name)  # noqa: SLF001 - Django's public way to a model's columns
        setattr(made, name, column.to_python(values[name]))
    return {name: _rounded(made, name, value) for name, value in _now(made, values).items()}


def _rounded(made: Model, name: str, value: Any) -> Any:
    """Exact decimals with as many places as the database gives back."""
    places = getattr(made._meta.get_field(name), "decimal_places", None)  # noqa: SLF001
    return value if places is None or value is None else f"{float(value):.{places}f}"


def _now(row: Model, names: Iterable[str]) -> dict[str, Any]:
    stored = portable.plain_row(row)
    return {name: stored[name] for name in names}


def _values(shelf: str, stored: Mapping[str, Any]) -> dict[str, Any]:
    columns = _model(shelf)._meta  # noqa: SLF001
    return {name: columns.get_field(name).to_python(value) for name, value in stored.items()}  # type: ignore[union-attr]
