"""Logs set after set, each one twice as a phone that lost its answer would, and says which are stored: `python -m tests.storage.logger ROUND NUMBER`."""

import os
import sys
from decimal import Decimal

os.environ["DJANGO_SETTINGS_MODULE"] = "floorward.config"


def log(round_: str, number: str) -> None:
    import django

    django.setup()
    for count in range(1_000_000):
        name = f"{round_}-{number}-{count}"
        assert until_stored(number, name) == until_stored(number, name)
        print(name, flush=True)  # noqa: T201 - read by the test


def until_stored(number: str, name: str) -> int:
    """The key of the set of this name, logged by the action a page calls; again as long as the server is away."""
    from django.db import DatabaseError, connection
    from django.utils import timezone

    from floorward.actions.done_sets import SetReport, log_set
    from floorward.storage.troubles import AWAY, LOCKED, code_of

    report = SetReport(kind="work", load=Decimal(60), unit="kg", reps=5, pain=1, client_id=name)
    while True:
        try:
            return log_set(line_of(number), report, by=None, now=timezone.now()).row.pk
        except DatabaseError as error:
            if code_of(error) not in {AWAY, LOCKED}:
                raise
            connection.close()


def line_of(number: str):
    from floorward.storage.models import Line, Session

    session = Session.objects.order_by("pk").first()
    assert session is not None
    bench = {"role": "usual", "lift": "bench-press", "load": 60, "sets": 3, "reps": 5}
    return Line.objects.get_or_create(session=session, order=int(number), defaults=bench)[0]


if __name__ == "__main__":
    log(*sys.argv[1:])
