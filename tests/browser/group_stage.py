"""The gym of the stage with two more on the floor: Cole Ferris, whose session has three sets, and Ines Halloran, who answers each morning.

Run as `python -m tests.browser.group_stage FOLDER`; prints the numbers of Abel's and of Cole's session, and Ines's.
"""

import sys
from datetime import date
from decimal import Decimal

from tests.browser import stage


def make() -> None:
    from floorward.actions import sessions
    from floorward.storage.models import Episode, Gym, Screening, Staff
    from tests.conftest import at
    from tests.people import INES, a_lifter

    stage.make()
    now = at("2026-11-23 18:05")
    gym, coach = Gym.objects.get(), Staff.objects.get()
    cole = a_lifter(gym, coach, now, name="Cole Ferris")
    session = sessions.open_session(cole, by=coach, now=now)
    stage.bare_pulls(session, sets=3, reps=8)
    ines = a_lifter(gym, coach, now, name="Ines Halloran", **INES)
    episode = Episode.objects.create(
        lifter=ines,
        region="low-back",
        since=date(2026, 11, 20),
        started_at=now,
        started_by=coach,
        lift="deadlift",
        load=Decimal(90),
        usual_load=Decimal(90),
        pain=6,
    )
    Screening.objects.create(
        episode=episode, at=now, asked_by=coach, answers={}, outcome="go-on", locks="none"
    )
    sys.stdout.write(f"{session.pk}\n{ines.pk}\n")


if __name__ == "__main__":
    stage._ready(sys.argv[1])
    make()
