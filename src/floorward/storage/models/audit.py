"""Who saw or changed whose health answers, and who was erased. Rows are only ever added: the database refuses to delete one, or to change anything
in it but the number of a lifter who was erased, to 0.
"""

from django.db import models


class AuditEntry(models.Model):
    """One look or change: numbers and a kind, never an answer. Staff and lifter are plain numbers, so that nothing cascades.

    Staff number 0 is the lifter, by their own link; lifter number 0 is somebody who was erased.
    """

    gym_number = models.BigIntegerField()
    lifter_number = models.BigIntegerField()
    staff_number = models.BigIntegerField()
    at = models.DateTimeField()
    kind = models.CharField(max_length=12)
    changed = models.BooleanField(default=False)

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [models.Index(fields=["lifter_number", "at"]), models.Index(fields=["gym_number", "at"])]


class Erased(models.Model):
    """A lifter who was erased, as a mark that a row of an older backup can be compared with; it tells nobody's name."""

    mark = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["id"]
