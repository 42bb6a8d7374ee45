"""A gym with two lifters whose search this evening found 95 kg to train with, each with a session to be built.

Run as `python -m tests.browser.building_stage FOLDER`; prints the sessions' numbers.
"""

import sys
from decimal import Decimal

from tests.browser.stage import _ready

BESTS = (
    ("deadlift", "200", 3),
    ("bench-press", "110", 5),
    ("chest-supported-row", "75", 8),
    ("leg-curl", "60", 10),
    ("triceps-extension", "35", 10),
)


def make() -> None:
    from django.test import Client

    from floorward.actions import gyms
    from floorward.storage.models import BestSet
    from tests.conftest import at
    from tests.people import a_gym, a_lifter, iron
    from tests.web.evening import accepted

    now = at("2026-11-23 18:00")
    gym = a_gym("Canal Street Iron", now)
    iron(gym)
    coach = gyms.add_staff(
        gym, name="Imke Torvald", sign_in_name="imke", role="owner", password="quiet lever arms"
    )
    client = Client(SERVER_NAME="localhost")
    client.force_login(coach, backend="django.contrib.auth.backends.ModelBackend")
    sessions = []
    for name in ("Abel Norwood", "Milo Norwood"):
        lifter = a_lifter(gym, coach, now, name=name)
        for lift, load, reps in BESTS:
            day = at("2026-10-20 18:00").date()
            BestSet.objects.create(
                lifter=lifter, lift=lift, load=Decimal(load), unit="kg", reps=reps, day=day
            )
        accepted(client, lifter)
        client.post(f"/lifters/{lifter.pk}/session")
        sessions.append(str(lifter.sessions.get().pk))
    sys.stdout.write(" ".join(sessions) + "\n")


if __name__ == "__main__":
    _ready(sys.argv[1])
    make()
