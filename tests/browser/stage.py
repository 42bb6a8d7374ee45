"""A gym with one lifter whose session has ten sets at the empty bar; made in a data folder before a server opens it.

Run as `python -m tests.browser.stage FOLDER`; prints the session's number.
"""

import os
import sys
from decimal import Decimal

TEN = 10


def _ready(folder: str) -> None:
    os.environ["DATA"] = folder
    os.environ["DJANGO_SETTINGS_MODULE"] = "floorward.config"
    import django
    from django.core.management import call_command

    django.setup()
    call_command("migrate", verbosity=0, database="default")


def make() -> None:
    from floorward.actions import gyms, sessions
    from tests.conftest import at
    from tests.people import a_gym, a_lifter, iron

    now = at("2026-11-23 18:00")
    gym = a_gym("Canal Street Iron", now)
    iron(gym)
    coach = gyms.add_staff(
        gym, name="Imke Torvald", sign_in_name="imke", role="owner", password="quiet lever arms"
    )
    lifter = a_lifter(gym, coach, now, name="Abel Norwood")
    session = sessions.open_session(lifter, by=coach, now=now)
    bare_pulls(session, sets=TEN, reps=5)
    sys.stdout.write(f"{session.pk}\n")


def bare_pulls(session, *, sets: int, reps: int) -> None:
    """A line of the session: pulls from the floor with the empty bar."""
    from floorward.storage.models import BarRow, Line

    Line.objects.create(
        session=session,
        order=0,
        role=Line.Role.FULL_RANGE,
        lift="deadlift",
        bar=BarRow.objects.get(gym=session.lifter.gym, mass=20),
        load=Decimal(20),
        unit="kg",
        sets=sets,
        reps=reps,
        height_mm=225,
    )


if __name__ == "__main__":
    _ready(sys.argv[1])
    make()
