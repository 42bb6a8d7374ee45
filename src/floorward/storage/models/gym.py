"""The gym, its staff and its iron."""

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.utils.crypto import salted_hmac

from floorward.core.records import BarKind
from floorward.storage.models.fields import Versioned, language, mass, unit, units


class Gym(Versioned):
    """A gym and its protocol: what its coaches agreed to do alike."""

    name = models.CharField(max_length=120)
    country = models.CharField(max_length=2)
    emergency_number = models.CharField(max_length=20)
    time_zone = models.CharField(max_length=60)
    unit = models.CharField(max_length=2, choices=units(), default="kg")
    language = models.CharField(max_length=10, default="en")
    is_demo = models.BooleanField(default=False)
    ceiling_finding = models.PositiveSmallIntegerField(default=3)
    ceiling_set = models.PositiveSmallIntegerField(default=5)
    after_max = models.PositiveSmallIntegerField(default=5)
    forward_percent = models.PositiveSmallIntegerField(default=5)
    rung_percent = models.PositiveSmallIntegerField(default=10)
    profile = models.CharField(max_length=12, default="steady")
    protocol_version = models.PositiveIntegerField(default=1)
    opened_at = models.DateTimeField()

    def __str__(self) -> str:
        return self.name


class StaffManager(BaseUserManager["Staff"]):
    """Finds staff by the name they sign in with."""

    def get_by_natural_key(self, username: str | None) -> "Staff":
        """The person who signs in as `username`, whatever the case of its letters."""
        return self.get(sign_in_name__iexact=username)


class Staff(AbstractBaseUser):
    """An owner, coach or assistant of a gym, who signs in."""

    class Role(models.TextChoices):
        """What a member of staff may do: an owner also changes the protocol and the staff; an assistant only logs."""

        OWNER = "owner", "owner"
        COACH = "coach", "coach"
        ASSISTANT = "assistant", "assistant"

    gym = models.ForeignKey(Gym, on_delete=models.CASCADE, related_name="staff")
    sign_in_name = models.CharField(max_length=60, unique=True)
    name = models.CharField(max_length=80)
    role = models.CharField(max_length=10, choices=Role.choices, default=Role.COACH)
    is_active = models.BooleanField(default=True)
    language = language()
    unit = models.CharField(max_length=2, choices=units(), blank=True, default="")

    USERNAME_FIELD = "sign_in_name"
    REQUIRED_FIELDS = ["name"]
    objects = StaffManager()

    def __str__(self) -> str:
        return self.name

    def _get_session_auth_hash(self, secret: str | None = None) -> str:
        """What a session is bound to: a new password or another role ends every session there is."""
        said = f"{self.password}\0{self.role}"
        return salted_hmac("floorward.session", said, secret=secret, algorithm="sha256").hexdigest()

    @property
    def is_owner(self) -> bool:
        """Whether this person may change the protocol and the staff."""
        return self.role == self.Role.OWNER

    @property
    def may_coach(self) -> bool:
        """Whether this person may plan, and be assigned to lifters."""
        return self.role in {self.Role.OWNER, self.Role.COACH}


class BarRow(Versioned):
    """A bar of the gym."""

    gym = models.ForeignKey(Gym, on_delete=models.CASCADE, related_name="bars")
    name = models.CharField(max_length=60)
    kind = models.CharField(
        max_length=14, choices=[(k.value, k.value) for k in BarKind], default=BarKind.STRAIGHT
    )
    mass = mass()
    unit = unit()
    handle_low_mm = models.SmallIntegerField(default=0)
    handle_high_mm = models.SmallIntegerField(null=True, blank=True)
    sleeve_mm = models.PositiveIntegerField(default=415)

    class Meta:
        ordering = ["kind", "-mass", "name"]
        constraints = [models.UniqueConstraint("gym", "name", name="one_bar_of_a_name")]

    def __str__(self) -> str:
        return self.name


class PlateRow(Versioned):
    """A size of plate and the pairs in stock."""

    gym = models.ForeignKey(Gym, on_delete=models.CASCADE, related_name="plates")
    mass = mass()
    unit = unit()
    pairs = models.PositiveSmallIntegerField()
    diameter_mm = models.PositiveIntegerField(default=450)
    thickness_mm = models.PositiveIntegerField(default=30)
    colour = models.CharField(max_length=7, blank=True)

    class Meta:
        ordering = ["unit", "-mass", "-diameter_mm"]


class CollarRow(Versioned):
    """A pair of collars; the mass is that of one."""

    gym = models.ForeignKey(Gym, on_delete=models.CASCADE, related_name="collars")
    mass = mass()
    unit = unit()

    class Meta:
        ordering = ["unit", "mass"]


class BlockRow(Versioned):
    """Blocks or mats to stand plates on; pairs count one for each side."""

    gym = models.ForeignKey(Gym, on_delete=models.CASCADE, related_name="blocks")
    name = models.CharField(max_length=60)
    thickness_mm = models.DecimalField(max_digits=6, decimal_places=2)
    pairs = models.PositiveSmallIntegerField(default=1)

    class Meta:
        ordering = ["-thickness_mm", "name"]


class PinsRow(Versioned):
    """Safety pins of a rack."""

    gym = models.ForeignKey(Gym, on_delete=models.CASCADE, related_name="pins")
    first_mm = models.PositiveIntegerField()
    spacing_mm = models.PositiveIntegerField()
    holes = models.PositiveSmallIntegerField(default=20)


class BoxRow(Versioned):
    """A box to sit to or step on."""

    gym = models.ForeignKey(Gym, on_delete=models.CASCADE, related_name="boxes")
    name = models.CharField(max_length=60)
    height_mm = models.PositiveIntegerField()

    class Meta:
        ordering = ["height_mm"]
