"""Lifters, what they agreed to, and their best sets."""

from django.db import models

from floorward.core.records import Sex
from floorward.storage.models.fields import Versioned, language, mass, unit, units
from floorward.storage.models.gym import Gym, Staff


class Lifter(Versioned):
    """A person who trains here. Lengths in metres, mass in kilograms; empty where nothing was measured."""

    gym = models.ForeignKey(Gym, on_delete=models.CASCADE, related_name="lifters")
    coach = models.ForeignKey(Staff, null=True, blank=True, on_delete=models.SET_NULL, related_name="lifters")
    name = models.CharField(max_length=80)
    born_year = models.PositiveSmallIntegerField()
    sex = models.CharField(max_length=10, choices=[(s.value, s.value) for s in Sex], default=Sex.UNDECLARED)
    stature_m = models.FloatField()
    mass_kg = models.FloatField()
    span_m = models.FloatField(null=True, blank=True)
    crotch_m = models.FloatField(null=True, blank=True)
    sitting_height_m = models.FloatField(null=True, blank=True)
    knee_height_m = models.FloatField(null=True, blank=True)
    sleeve_m = models.FloatField(null=True, blank=True)
    unit = models.CharField(max_length=2, choices=units(), default="kg")
    language = language()
    contest = models.CharField(max_length=80, blank=True)
    contest_day = models.DateField(null=True, blank=True)
    conventional_required = models.BooleanField(default=False)
    sumo_allowed = models.BooleanField(default=True)
    conditioning_minutes = models.PositiveSmallIntegerField(default=0)
    grip_sets = models.PositiveSmallIntegerField(default=0)
    added_at = models.DateTimeField()
    erasure_asked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name", "id"]

    def __str__(self) -> str:
        return self.name


class Assignment(models.Model):
    """A coach who works with a lifter in pain, and so sees the health answers."""

    lifter = models.ForeignKey(Lifter, on_delete=models.CASCADE, related_name="assignments")
    staff = models.ForeignKey(Staff, on_delete=models.CASCADE, related_name="assignments")
    since = models.DateTimeField()
    by = models.ForeignKey(Staff, null=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        ordering = ["since", "id"]
        constraints = [models.UniqueConstraint("lifter", "staff", name="one_assignment_of_a_coach")]


class BestSet(models.Model):
    """A recent best set of a lift; `source` is the import that it came with, empty where a coach wrote it down."""

    lifter = models.ForeignKey(Lifter, on_delete=models.CASCADE, related_name="best_sets")
    lift = models.CharField(max_length=60)
    load = mass()
    unit = unit()
    reps = models.PositiveSmallIntegerField()
    rpe = models.DecimalField(max_digits=3, decimal_places=1, null=True, blank=True)
    day = models.DateField()
    source = models.ForeignKey(
        "storage.Import", null=True, blank=True, on_delete=models.CASCADE, related_name="best_sets"
    )

    class Meta:
        ordering = ["lift", "-day", "-load"]


class MeasuredStart(Versioned):
    """Angles that a coach measured at the start or bottom of one set-up [deg]: the newest word of each, until taken back."""

    lifter = models.ForeignKey(Lifter, on_delete=models.CASCADE, related_name="measured_starts")
    lift = models.CharField(max_length=60)
    height_mm = models.PositiveIntegerField(default=0)
    depth_deg = models.SmallIntegerField(default=0)
    box_mm = models.PositiveIntegerField(default=0)
    knee_deg = models.FloatField(null=True, blank=True)
    trunk_deg = models.FloatField(null=True, blank=True)
    day = models.DateField()
    by = models.ForeignKey(Staff, null=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        ordering = ["lift", "height_mm", "box_mm", "depth_deg"]
        constraints = [
            models.UniqueConstraint(
                "lifter", "lift", "height_mm", "depth_deg", "box_mm", name="one_measure_of_a_start"
            )
        ]


class Consent(models.Model):
    """An explicit, dated yes to keeping health answers, by the lifter or (under 18) a guardian."""

    lifter = models.ForeignKey(Lifter, on_delete=models.CASCADE, related_name="consents")
    given_by = models.CharField(max_length=8, choices=[("lifter", "lifter"), ("guardian", "guardian")])
    guardian_name = models.CharField(max_length=80, blank=True)
    wording_version = models.CharField(max_length=20)
    share_with_clinician = models.BooleanField(default=False)
    given_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    recorded_by = models.ForeignKey(Staff, null=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        ordering = ["-given_at"]


class PersonalLink(models.Model):
    """A lifter's own door: today's card and the morning entry, nothing else."""

    lifter = models.ForeignKey(Lifter, on_delete=models.CASCADE, related_name="links")
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    opened_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at"]
