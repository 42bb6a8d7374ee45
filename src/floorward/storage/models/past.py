"""What was brought in from other tables: each import, and the sets that came with it."""

from django.db import models

from floorward.storage.models.fields import mass, unit
from floorward.storage.models.gym import Gym, Staff
from floorward.storage.models.person import Lifter


class Import(models.Model):
    """One file that was brought in, or waits to be. `kept` is the file itself while it waits, and empty afterwards."""

    class State(models.TextChoices):
        """Where it stands."""

        OPEN = "open", "open"
        TAKEN = "taken", "taken"
        UNDONE = "undone", "undone"

    gym = models.ForeignKey(Gym, on_delete=models.CASCADE, related_name="imports")
    kind = models.CharField(max_length=8, choices=[("sets", "sets"), ("bodies", "bodies"), ("iron", "iron")])
    name = models.CharField(max_length=120)
    state = models.CharField(max_length=8, choices=State.choices, default=State.OPEN)
    kept = models.TextField(blank=True)
    count = models.PositiveIntegerField(default=0)
    at = models.DateTimeField()
    by = models.ForeignKey(Staff, null=True, on_delete=models.SET_NULL, related_name="+")
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-at", "-id"]


class PastSet(models.Model):
    """Sets alike of one day from a training log kept elsewhere: no pain, no plan, only what was lifted."""

    source = models.ForeignKey(Import, on_delete=models.CASCADE, related_name="past_sets")
    lifter = models.ForeignKey(Lifter, on_delete=models.CASCADE, related_name="past_sets")
    day = models.DateField()
    lift = models.CharField(max_length=60)
    load = mass()
    unit = unit()
    reps = models.PositiveSmallIntegerField()
    rpe = models.DecimalField(max_digits=3, decimal_places=1, null=True, blank=True)
    sets = models.PositiveIntegerField()

    class Meta:
        ordering = ["day", "id"]
        indexes = [models.Index(fields=["lifter", "day"])]


class Brought(models.Model):
    """A lifter or a piece of equipment that an import added or changed, with its columns before and after; `was` is empty of what is new."""

    source = models.ForeignKey(Import, on_delete=models.CASCADE, related_name="brought")
    lifter = models.ForeignKey(
        Lifter, null=True, blank=True, on_delete=models.CASCADE, related_name="brought"
    )
    shelf = models.CharField(max_length=8)
    number = models.PositiveBigIntegerField()
    was = models.JSONField(null=True)
    became = models.JSONField()

    class Meta:
        ordering = ["id"]
