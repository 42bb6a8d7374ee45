"""A second key for signing in: a code that changes every half minute (RFC 6238), and codes on paper for the day the phone is lost.

The secret is sealed with the installation's key, so that a database alone does not give it away. A code opens once: it is not taken
again within its half minute, nor after.
"""

import base64
import hashlib
import hmac
import secrets
from datetime import datetime

import pyotp
from cryptography.fernet import Fernet, InvalidToken
from django.conf import settings

from floorward.errors import Refused
from floorward.storage.models import RecoveryCode, SecondKey, Staff
from floorward.storage.place import atomic
from floorward.tables import value

STEP_S = 30
EITHER_SIDE = 1  # a phone's clock may be half a minute off
ISSUER = "Floorward"


def key_of(staff: Staff) -> SecondKey | None:
    """The second key in force, or None."""
    return SecondKey.objects.filter(staff=staff).exclude(confirmed_at=None).first()


def begin(staff: Staff, now: datetime) -> str:
    """A new secret for a phone, in force once `confirm`ed; a key in force stays so until then.

    Raises:
        Refused: `second-key-there` if one is in force.
    """
    if key_of(staff) is not None:
        raise Refused("second-key-there")
    secret = pyotp.random_base32()
    SecondKey.objects.update_or_create(staff=staff, defaults={"secret": _sealed(secret), "made_at": now})
    return secret


def waiting_secret(staff: Staff) -> str | None:
    """The secret that was begun and not confirmed yet."""
    row = SecondKey.objects.filter(staff=staff, confirmed_at=None).first()
    return None if row is None else _opened(row.secret)


def address_of(staff: Staff, secret: str) -> str:
    """What a phone's code app reads."""
    return pyotp.TOTP(secret).provisioning_uri(name=staff.sign_in_name, issuer_name=ISSUER)


def confirm(staff: Staff, code: str, now: datetime) -> tuple[str, ...]:
    """Put the key in force, if `code` shows that the phone has it; the codes for paper, which are shown this once.

    Raises:
        Refused: `code-wrong`.
    """
    with atomic():
        row = SecondKey.objects.select_for_update().filter(staff=staff, confirmed_at=None).first()
        if row is None or not _takes(row, code, now):
            raise Refused("code-wrong")
        row.confirmed_at = now
        row.save()
        staff.recovery_codes.all().delete()
        codes = tuple(_new_code() for _ in range(value("doors", "recovery")))
        RecoveryCode.objects.bulk_create(RecoveryCode(staff=staff, code_hash=_hash(code)) for code in codes)
    return codes


def opens(staff: Staff, code: str, now: datetime) -> bool:
    """Whether `code` opens the door of `staff`, from the phone or from paper; it does so once."""
    with atomic():
        row = SecondKey.objects.select_for_update().filter(staff=staff).exclude(confirmed_at=None).first()
        if row is not None and _takes(row, code, now):
            row.save()
            return True
        paper = staff.recovery_codes.filter(code_hash=_hash(code), used_at=None)
        return bool(paper.update(used_at=now))


def remove(staff: Staff) -> None:
    """No second key is asked for any longer."""
    with atomic():
        SecondKey.objects.filter(staff=staff).delete()
        staff.recovery_codes.all().delete()


def _takes(row: SecondKey, code: str, now: datetime) -> bool:
    """Whether it is a code of this moment that was not used; it is then."""
    secret, typed = _opened(row.secret), "".join(code.split())
    step = int(now.timestamp()) // STEP_S
    for near in range(step - EITHER_SIDE, step + EITHER_SIDE + 1):
        expected = pyotp.TOTP(secret).at(near * STEP_S)
        if near > row.last_step and hmac.compare_digest(expected.encode(), typed.encode()):
            row.last_step = near
            return True
    return False


def _new_code() -> str:
    return "-".join(secrets.token_hex(2) for _ in range(4))


def _hash(code: str) -> str:
    plain = "".join(letter for letter in code.lower() if letter.isalnum())
    return hmac.new(settings.SECRET_KEY.encode(), b"recovery\0" + plain.encode(), hashlib.sha256).hexdigest()


def _seal() -> Fernet:
    return Fernet(
        base64.urlsafe_b64encode(
            hashlib.sha256(b"floorward.second-key\0" + settings.SECRET_KEY.encode()).digest()
        )
    )


def _sealed(secret: str) -> str:
    return _seal().encrypt(secret.encode()).decode()


def _opened(sealed: str) -> str:
    """The secret; under another installation's key none, so that no code fits and only paper opens."""
    try:
        return _seal().decrypt(sealed.encode()).decode()
    except InvalidToken:
        return pyotp.random_base32()
