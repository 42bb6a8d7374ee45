"""Receipts: what a phone kept while the server was away is taken once, however often it is sent."""

from datetime import datetime, timedelta

from floorward.storage.models import Receipt

KEPT_FOR = timedelta(days=60)  # longer than anybody leaves a phone in a bag with a session on it


def receipt_of(key: str) -> str | None:
    """Where the answer with this key led when it was taken; None if it was not yet."""
    return Receipt.objects.filter(key=key).values_list("leads_to", flat=True).first()


def take(key: str, leads_to: str, now: datetime) -> None:
    """Write down that the answer with this key is taken, and forget receipts that nobody will ask for again."""
    Receipt.objects.filter(at__lt=now - KEPT_FOR).delete()
    Receipt.objects.create(key=key, leads_to=leads_to, at=now)
