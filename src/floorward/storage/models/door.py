"""What guards the doors: tries that failed, second keys, and the codes that stand in for a lost one."""

from django.db import models

from floorward.storage.models.gym import Staff


class Knock(models.Model):
    """One try at a door that did not open. `key` is a keyed hash, so that neither a name nor an address stands here."""

    key = models.CharField(max_length=64)
    at = models.DateTimeField(db_index=True)

    class Meta:
        indexes = [models.Index(fields=["key", "at"])]


class SecondKey(models.Model):
    """A colleague's second key: a secret shared with a phone, sealed with the installation's key. In force once confirmed."""

    staff = models.OneToOneField(Staff, on_delete=models.CASCADE, related_name="second_key")
    secret = models.CharField(max_length=200)
    made_at = models.DateTimeField()
    confirmed_at = models.DateTimeField(null=True, blank=True)
    last_step = models.BigIntegerField(default=0)


class RecoveryCode(models.Model):
    """A code that opens once in place of the phone; only its hash is kept."""

    staff = models.ForeignKey(Staff, on_delete=models.CASCADE, related_name="recovery_codes")
    code_hash = models.CharField(max_length=64)
    used_at = models.DateTimeField(null=True, blank=True)
