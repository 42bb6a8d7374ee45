"""Lifters: who they are, what they agreed to, what they lift."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from floorward.actions.access import assign
from floorward.actions.versions import take_changes
from floorward.core.days import age_years
from floorward.errors import Refused
from floorward.storage.models import BestSet, Consent, Gym, Lifter, Staff
from floorward.storage.place import atomic

CONSENT_WORDING = "2026-2"
ADULT_YEARS = 18


def add_lifter(
    gym: Gym, *, coach: Staff | None, now: datetime, by: Staff | None = None, **about: Any
) -> Lifter:
    """A new lifter of this gym, assigned to the coach who trains them and to the one who adds them."""
    with atomic():
        lifter = Lifter.objects.create(gym=gym, coach=coach, added_at=now, **about)
        assign(lifter, [one for one in {coach, by} if one is not None and one.may_coach], by=by, now=now)
        return lifter


def change_lifter(lifter: Lifter, *, seen_version: int, changes: Mapping[str, Any]) -> Lifter:
    """The lifter with `changes`.

    Raises:
        Refused: `changed-meanwhile` if a colleague changed them since `seen_version`.
    """
    with atomic():
        row = Lifter.objects.select_for_update().get(pk=lifter.pk)
        return take_changes(row, seen_version=seen_version, changes=changes)


def change_language(lifter: Lifter, code: str) -> None:
    """Speak to a lifter in another language; empty: in their browser's."""
    lifter.language = code
    lifter.save(update_fields=["language"])


def needs_guardian(lifter: Lifter, today: date) -> bool:
    """Whether somebody else must consent: by the year of birth alone, so a year of doubt counts as under age."""
    return age_years(lifter.born_year, today) <= ADULT_YEARS


def record_consent(
    lifter: Lifter, *, given_by: str, guardian_name: str, share_with_clinician: bool, by: Staff, now: datetime
) -> Consent:
    """A dated yes to keeping health answers.

    Raises:
        Refused: `guardian-needed` if the lifter may be under 18 and no guardian is named.
    """
    if needs_guardian(lifter, now.date()) and (given_by != "guardian" or not guardian_name.strip()):
        raise Refused("guardian-needed", name=lifter.name)
    return Consent.objects.create(
        lifter=lifter,
        given_by=given_by,
        guardian_name=guardian_name,
        wording_version=CONSENT_WORDING,
        share_with_clinician=share_with_clinician,
        given_at=now,
        recorded_by=by,
    )


def withdraw_consent(lifter: Lifter, *, now: datetime) -> None:
    """From now on nothing about health is kept or shown for this lifter."""
    lifter.consents.filter(withdrawn_at=None).update(withdrawn_at=now)


def consent_of(lifter: Lifter) -> Consent | None:
    """The consent in force, or None."""
    return lifter.consents.filter(withdrawn_at=None).first()


def add_best_set(lifter: Lifter, **best: Any) -> BestSet:
    """A recent best set."""
    return BestSet.objects.create(lifter=lifter, **best)
