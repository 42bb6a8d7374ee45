"""Logs set after set, each one twice as a phone that lost its answer would, and says which are stored: `python -m tests.storage.logger ROUND NUMBER`."""

import os
import sys
from decimal import Decimal

os.environ["DJANGO_SETTINGS_MODULE"] = "floorward.config"


def log(round_: str, number: str) -> None:
    import django

    django.setup()
    from django.utils import timezone

    from floorward.actions.done_sets import SetReport, log_set
    from floorward.storage.models import Line, Session

    session = Session.objects.order_by("pk").first()
    assert session is not None
    line, _ = Line.objects.get_or_create(
        session=session,
        order=int(number),
        defaults={"role": "usual", "lift": "bench-press", "load": 60, "sets": 3, "reps": 5},
    )
    for count in range(1_000_000):
        name = f"{round_}-{number}-{count}"
        report = SetReport(kind="work", load=Decimal(60), unit="kg", reps=5, pain=1, client_id=name)
        first = log_set(line, report, by=None, now=timezone.now())
        again = log_set(line, report, by=None, now=timezone.now())
        assert again.row.pk == first.row.pk
        print(name, flush=True)  # noqa: T201 - read by the test


if __name__ == "__main__":
    log(*sys.argv[1:])
