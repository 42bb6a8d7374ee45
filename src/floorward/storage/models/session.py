"""Sessions: what was planned, what was done, what was decided."""

from django.db import models

from floorward.storage.models.episode import Episode
from floorward.storage.models.fields import SetUpColumns, Versioned, mass, pain, unit
from floorward.storage.models.gym import CollarRow, Staff
from floorward.storage.models.person import Lifter


class Session(Versioned):
    """One visit to the gym floor. `day` is the training day: a session that runs past midnight keeps its evening."""

    lifter = models.ForeignKey(Lifter, on_delete=models.CASCADE, related_name="sessions")
    episode = models.ForeignKey(
        Episode, null=True, blank=True, on_delete=models.CASCADE, related_name="sessions"
    )
    day = models.DateField()
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    before = pain()
    after = pain()
    after_at = models.DateTimeField(null=True, blank=True)
    made_by = models.ForeignKey(Staff, null=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        ordering = ["-day", "-started_at"]
        indexes = [
            models.Index(fields=["lifter", "day"]),
            models.Index(fields=["episode", "day", "started_at"]),
            models.Index(fields=["day"], name="sessions_not_over", condition=models.Q(ended_at=None)),
        ]


class Search(SetUpColumns):
    """A search for an accepted load: its manner and what it started from. The tests are its done sets.

    With no `manner` a plain ladder leads, from the end that `direction` names; else the tolerance model does.

    Loads are in the unit of the bar. Ceiling and rung are those of the gym's protocol on that day.
    """

    session = models.ForeignKey(Session, on_delete=models.CASCADE, related_name="searches")
    direction = models.CharField(max_length=4, choices=[("down", "down"), ("up", "up")])
    manner = models.CharField(
        max_length=8, blank=True, choices=[(w, w) for w in ("usual", "precise", "gentle")]
    )
    rest_pain = pain()
    hurt_load = mass()
    usual_load = mass()
    ceiling = models.PositiveSmallIntegerField()
    rung_percent = models.PositiveSmallIntegerField()
    collar = models.ForeignKey(CollarRow, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    lower_start_agreed = models.BooleanField(default=False)
    ended_at = models.DateTimeField(null=True, blank=True)
    started_at = models.DateTimeField()

    class Meta:
        ordering = ["-started_at", "-id"]


class Line(SetUpColumns, Versioned):
    """One line of a session's plan."""

    class Role(models.TextChoices):
        """Why a line is in the plan."""

        FULL_RANGE = "full-range", "full range"
        VARIATION = "variation", "variation"
        USUAL = "usual", "as usual"

    session = models.ForeignKey(Session, on_delete=models.CASCADE, related_name="lines")
    order = models.PositiveSmallIntegerField()
    role = models.CharField(max_length=10, choices=Role.choices)
    collar = models.ForeignKey(CollarRow, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    load = mass()
    unit = unit()
    sets = models.PositiveSmallIntegerField()
    reps = models.PositiveSmallIntegerField()
    target_rpe = models.DecimalField(max_digits=3, decimal_places=1, null=True, blank=True)
    cue = models.CharField(max_length=120, blank=True)
    first_time = models.BooleanField(default=False)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["order", "id"]


class DoneSet(SetUpColumns):
    """One set as it was done. An undone set stays, marked."""

    class Kind(models.TextChoices):
        """What the set was for."""

        WARM_UP = "warm-up", "warm-up"
        TEST = "test", "test"
        WORK = "work", "work"

    session = models.ForeignKey(Session, on_delete=models.CASCADE, related_name="done_sets")
    line = models.ForeignKey(Line, null=True, blank=True, on_delete=models.SET_NULL, related_name="done_sets")
    search = models.ForeignKey(Search, null=True, blank=True, on_delete=models.CASCADE, related_name="tests")
    kind = models.CharField(max_length=8, choices=Kind.choices)
    sore = models.BooleanField(default=False)
    load = mass()
    unit = unit()
    side = models.CharField(max_length=120, blank=True, default="")
    reps = models.PositiveSmallIntegerField()
    target_reps = models.PositiveSmallIntegerField(null=True, blank=True)
    rpe = models.DecimalField(max_digits=3, decimal_places=1, null=True, blank=True)
    pain = pain()
    acceptable = models.BooleanField(null=True, blank=True)
    spreading = models.BooleanField(default=False)
    at = models.DateTimeField()
    logged_by = models.ForeignKey(Staff, null=True, on_delete=models.SET_NULL, related_name="+")
    client_id = models.CharField(max_length=40, null=True, blank=True, unique=True)
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["at", "id"]
        indexes = [
            models.Index(fields=["session", "undone_at"]),
            # all that the morning's lists read of a sore session; the last two are there so that no row need be looked up
            models.Index(
                fields=["session", "kind", "lift", "pain", "sore", "undone_at"],
                name="sore_sets",
                condition=models.Q(sore=True, undone_at=None),
            ),
            models.Index(
                fields=["session", "at"],
                name="spreading_sets",
                condition=models.Q(spreading=True, undone_at=None),
            ),
        ]


class Build(Versioned):
    """What a session is built from, and what was said when it was built.

    `aim` is empty where the lifter's own is taken. `pins` are settled lines as numbers by exercise; `said` are codes and numbers; `as_built` and `before` are lines as they stood,
    the latter with the wishes, for taking the last change back.
    """

    session = models.OneToOneField(Session, on_delete=models.CASCADE, related_name="build")
    minutes = models.PositiveSmallIntegerField()
    sessions_left = models.PositiveSmallIntegerField(default=1)
    busy = models.JSONField(default=list)
    bans = models.JSONField(default=list)
    pins = models.JSONField(default=list)
    aim = models.CharField(max_length=10, blank=True, default="")
    said = models.JSONField(default=list)
    as_built = models.JSONField(default=list)
    before = models.JSONField(null=True)


class Decision(models.Model):
    """What was proposed for a lift after a session, what the coach took, and why if another."""

    episode = models.ForeignKey(Episode, on_delete=models.CASCADE, related_name="decisions")
    session = models.ForeignKey(Session, on_delete=models.CASCADE, related_name="decisions")
    lift = models.CharField(max_length=60)
    rule = models.CharField(max_length=6)
    numbers = models.JSONField(default=dict)
    proposed_change = models.CharField(max_length=8)
    proposed_load = mass(null=True)
    proposed_height_mm = models.PositiveIntegerField(default=0)
    proposed_sets = models.PositiveIntegerField(default=0)
    change = models.CharField(max_length=8)
    load = mass(null=True)
    unit = unit()
    height_mm = models.PositiveIntegerField(default=0)
    sets = models.PositiveIntegerField(default=0)
    reason = models.CharField(max_length=300, blank=True)
    protocol_version = models.PositiveIntegerField()
    at = models.DateTimeField()
    by = models.ForeignKey(Staff, null=True, on_delete=models.SET_NULL, related_name="+")
    outdated = models.BooleanField(default=False)

    class Meta:
        ordering = ["-at", "-id"]
        constraints = [models.UniqueConstraint("session", "lift", name="one_decision_a_lift_and_session")]
