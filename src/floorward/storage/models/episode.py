"""Episodes of pain: screen answers, clearances and morning scores."""

from django.db import models

from floorward.core.records import ARM_REGIONS, Region
from floorward.core.sore_lifts import goes_by_pain
from floorward.storage.models.fields import Versioned, mass, pain, unit
from floorward.storage.models.gym import Staff
from floorward.storage.models.person import Lifter


class Episode(Versioned):
    """One spell of pain in one region, from first report to closed."""

    lifter = models.ForeignKey(Lifter, on_delete=models.CASCADE, related_name="episodes")
    previous = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.SET_NULL, related_name="later"
    )
    region = models.CharField(
        max_length=12, choices=[(name, name) for name in (*map(str, Region), *ARM_REGIONS)]
    )
    since = models.DateField()
    started_at = models.DateTimeField()
    started_by = models.ForeignKey(Staff, null=True, on_delete=models.SET_NULL, related_name="+")
    lift = models.CharField(max_length=60)
    load = mass()
    unit = unit()
    reps = models.PositiveSmallIntegerField(default=1)
    was_warm_up = models.BooleanField(default=False)
    pain = pain()
    usual_load = mass()
    belt = models.BooleanField(default=False)
    straps = models.BooleanField(default=False)
    shoes = models.CharField(max_length=40, blank=True)
    after_injury = models.BooleanField(default=False)
    limb_symptoms = models.BooleanField(default=False)
    eases = models.CharField(max_length=200, blank=True)
    worsens = models.CharField(max_length=200, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-started_at", "-id"]

    @property
    def modelled_region(self) -> Region | None:
        """The region, where mechanics speak of it."""
        return Region(self.region) if self.region in set(Region) else None

    @property
    def goes_by_pain(self) -> bool:
        """Whether mechanics say nothing of the sore region or lift."""
        return goes_by_pain(self.region, self.lift)


class Screening(models.Model):
    """The answers to the warning-sign questions, when they were asked and by whom, and what followed."""

    episode = models.ForeignKey(Episode, on_delete=models.CASCADE, related_name="screenings")
    at = models.DateTimeField()
    asked_by = models.ForeignKey(Staff, null=True, on_delete=models.SET_NULL, related_name="+")
    is_repeat = models.BooleanField(default=False)
    answers = models.JSONField()
    outcome = models.CharField(max_length=12)
    locks = models.CharField(max_length=8)
    reasons = models.JSONField(default=list)

    class Meta:
        ordering = ["-at", "-id"]


class Clearance(models.Model):
    """A clinician's word that lifts a lock: who (role and name), which day, and what they said."""

    screening = models.ForeignKey(Screening, on_delete=models.CASCADE, related_name="clearances")
    day = models.DateField()
    clinician_role = models.CharField(max_length=60)
    clinician_name = models.CharField(max_length=80)
    note = models.CharField(max_length=300, blank=True)
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(Staff, null=True, on_delete=models.SET_NULL, related_name="+")


class MorningCheck(models.Model):
    """The pain on waking of one day."""

    episode = models.ForeignKey(Episode, on_delete=models.CASCADE, related_name="mornings")
    day = models.DateField()
    score = pain()
    new_symptoms = models.CharField(
        max_length=6, choices=[(w, w) for w in ("no", "yes", "unsure")], default="no"
    )
    night_lost = models.BooleanField(default=False)
    unwell = models.BooleanField(default=False)
    sentence = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()
    entered_by = models.ForeignKey(Staff, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        ordering = ["-day"]
        constraints = [models.UniqueConstraint("episode", "day", name="one_morning_a_day")]


class Review(models.Model):
    """A review point that was held, or a call for help that was answered: what was said, and what the clock made of it."""

    episode = models.ForeignKey(Episode, on_delete=models.CASCADE, related_name="reviews")
    code = models.CharField(max_length=20)
    day = models.DateField()
    score = pain()
    lifts_blocked = models.BooleanField(null=True, blank=True)
    outcome = models.CharField(max_length=12)
    note = models.CharField(max_length=300, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(Staff, null=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        ordering = ["-day", "-id"]
        constraints = [models.UniqueConstraint("episode", "code", "day", name="one_review_of_a_code_and_day")]
