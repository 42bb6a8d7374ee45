"""Who saw or changed whose health answers. Rows are only ever added: the database refuses to change or delete one."""

from django.db import models


class AuditEntry(models.Model):
    """One look or change: numbers and a kind, never an answer. Staff and lifter are plain numbers, so that nothing cascades."""

    gym_number = models.BigIntegerField()
    lifter_number = models.BigIntegerField()
    staff_number = models.BigIntegerField()
    at = models.DateTimeField()
    kind = models.CharField(max_length=12)
    changed = models.BooleanField(default=False)

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [models.Index(fields=["lifter_number", "at"]), models.Index(fields=["gym_number", "at"])]
