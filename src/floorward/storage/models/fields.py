"""Columns that many rows share."""

from __future__ import annotations

from typing import Any

from django.db import models

from floorward.units import Unit


def units() -> list[tuple[str, str]]:
    """Kilograms or pounds."""
    return [(unit.value, unit.value) for unit in Unit]


def mass(**extra: Any) -> models.DecimalField[Any, Any]:
    """An exact mass in the unit of the row's own `unit` column."""
    return models.DecimalField(max_digits=9, decimal_places=4, **extra)


def language() -> models.CharField[Any, Any]:
    """The code of a language that somebody is spoken to in; empty where none was chosen."""
    return models.CharField(max_length=10, blank=True, default="")


def unit() -> models.CharField[Any, Any]:
    """The unit stamped on the iron."""
    return models.CharField(max_length=2, choices=units(), default=Unit.KG)


def pain(**extra: Any) -> models.PositiveSmallIntegerField[Any, Any]:
    """A pain score of 0 to 10; empty when it was not asked or not answered."""
    return models.PositiveSmallIntegerField(null=True, blank=True, **extra)


SET_UP = ("lift", "height_mm", "depth_deg", "box_mm", "belt", "straps", "shoes", "tempo", "pause", "bar_id")


class SetUpColumns(models.Model):
    """What fixes the start of a variation: the columns of `core.records.SetUp`, and the bar that was used."""

    lift = models.CharField(max_length=60)
    height_mm = models.PositiveIntegerField(default=0)
    depth_deg = models.SmallIntegerField(default=0)
    box_mm = models.PositiveIntegerField(default=0)
    belt = models.BooleanField(default=False)
    straps = models.BooleanField(default=False)
    shoes = models.CharField(max_length=40, blank=True)
    tempo = models.CharField(max_length=20, blank=True)
    pause = models.BooleanField(default=False)
    bar = models.ForeignKey(
        "storage.BarRow", null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        abstract = True


class Versioned(models.Model):
    """Counts its changes, so that a page opened before a colleague's change can be told apart."""

    version = models.PositiveIntegerField(default=1)

    class Meta:
        abstract = True
