"""What was changed after the fact: undone sets, moved sets, edited scores, entries for somebody else."""

from django.db import models

from floorward.storage.models.gym import Gym, Staff


class Trace(models.Model):
    """One change to something already recorded: who, when, what it was before."""

    gym = models.ForeignKey(Gym, on_delete=models.CASCADE, related_name="traces")
    at = models.DateTimeField()
    by = models.ForeignKey(Staff, null=True, on_delete=models.SET_NULL, related_name="+")
    what = models.CharField(max_length=40)
    subject = models.CharField(max_length=40)
    subject_id = models.BigIntegerField()
    before = models.JSONField(default=dict)

    class Meta:
        ordering = ["-at", "-id"]
