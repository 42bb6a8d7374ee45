"""Whose a row is, read off the models, and which columns tell of somebody's health.

A table belongs to a lifter when it leads to one by references that go down with them; a table added tomorrow is found tomorrow.
"""

from collections.abc import Collection, Iterator
from typing import Any

from django.db import models

from floorward.storage import portable
from floorward.storage.models import Consent, DoneSet, Lifter, MorningCheck, Session, Trace
from floorward.storage.models.session import Decision

# whole tables, and columns of others; what is not named here is who somebody is and what they lift
HEALTH_TABLES = frozenset(
    {"Build", "Clearance", "Decision", "Episode", "MorningCheck", "Review", "Screening", "Search", "Trace"}
)
HEALTH_COLUMNS = {
    "Session": frozenset({"before", "after", "after_at", "episode_id"}),
    "DoneSet": frozenset({"pain", "acceptable", "spreading", "sore", "search_id"}),
}
TRACED: dict[str, type[models.Model]] = {
    "session": Session,
    "set": DoneSet,
    "morning": MorningCheck,
    "decision": Decision,
}


def path_of(model: type[models.Model]) -> str | None:
    """How a query gets from a row to its lifter, such as `session__lifter`; "" of the lifter's own table; None where it does not."""
    if model is Lifter:
        return ""
    ways = [(column.name, path_of(target)) for column, target in _leading_up(model)]
    found = ["__".join(filter(None, (name, further))) for name, further in ways if further is not None]
    return min(found, key=len, default=None)


def rows_of(lifter: Lifter, alias: str) -> dict[str, list[portable.Row]]:
    """Every row of this lifter, by table, as plain values."""
    found = {}
    for name, model in portable.tables().items():
        path = path_of(model)
        if path is not None:
            rows = model._default_manager.using(alias).filter(**{path or "pk": lifter.pk}).order_by("pk")  # noqa: SLF001
            found[name] = [portable.plain_row(row) for row in rows.iterator(chunk_size=portable.AT_A_TIME)]
    found["Trace"] = [portable.plain_row(row) for row in traces_of(lifter, alias).order_by("pk")]
    return found


def keys_of(name: str, lifters: Collection[Lifter], alias: str) -> frozenset[object]:
    """The keys of the rows of the table `name` that belong to one of these lifters."""
    if name == "Trace":
        return frozenset(key for one in lifters for key in traces_of(one, alias).values_list("pk", flat=True))
    model = portable.tables()[name]
    path = path_of(model)
    if path is None or not lifters:
        return frozenset()
    rows = model._default_manager.using(alias).filter(**{f"{path or 'pk'}__in": [one.pk for one in lifters]})  # noqa: SLF001
    return frozenset(rows.order_by().values_list("pk", flat=True))


def traces_of(lifter: Lifter, alias: str) -> "models.QuerySet[Trace]":
    """What was changed after the fact in rows of this lifter."""
    wanted = models.Q(pk__in=[])
    for subject, model in TRACED.items():
        own = model._default_manager.using(alias).filter(**{str(path_of(model)): lifter.pk})  # noqa: SLF001
        wanted |= models.Q(subject=subject, subject_id__in=own.values("pk"))
    return Trace.objects.using(alias).filter(wanted)


def without_health(name: str, row: portable.Row) -> portable.Row | None:
    """The row with its health columns empty; None if all of it tells of health."""
    if name in HEALTH_TABLES:
        return None
    hidden = HEALTH_COLUMNS.get(name, frozenset())
    return {column: None if column in hidden else value for column, value in row.items()}


def unagreed(alias: str) -> "models.QuerySet[Lifter]":
    """The lifters whose answers nobody may be shown: they never agreed, or took their consent back."""
    return Lifter.objects.using(alias).exclude(
        pk__in=Consent.objects.filter(withdrawn_at=None).values("lifter")
    )


def _leading_up(
    model: type[models.Model],
) -> Iterator[tuple["models.Field[Any, Any]", type[models.Model]]]:
    for column in model._meta.concrete_fields:  # noqa: SLF001 - Django's public way to a model's columns
        target, relation = column.related_model, column.remote_field
        if (
            isinstance(target, type)
            and target is not model
            and relation is not None
            and relation.on_delete is models.CASCADE
        ):
            yield column, target
