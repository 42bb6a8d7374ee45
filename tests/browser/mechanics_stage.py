"""A gym with one lifter who bears the empty bar from blocks and not from the floor; made before a server opens the folder.

Run as `python -m tests.browser.mechanics_stage FOLDER`; prints the lifter's number.
"""

import sys

from tests.browser.stage import _ready


def make() -> None:
    from django.test import Client

    from floorward.actions import gyms
    from tests.conftest import at
    from tests.people import a_gym, a_lifter, iron
    from tests.web.evening import begin, log, screened

    now = at("2026-11-23 18:00")
    gym = a_gym("Canal Street Iron", now)
    iron(gym)
    coach = gyms.add_staff(
        gym, name="Imke Torvald", sign_in_name="imke", role="owner", password="quiet lever arms"
    )
    lifter = a_lifter(gym, coach, now, name="Abel Norwood")
    client = Client(SERVER_NAME="localhost")
    client.force_login(coach, backend="django.contrib.auth.backends.ModelBackend")
    search = begin(client, screened(client, lifter), direction="up")
    for pain, acceptable in (("5", "no"), ("5", "no"), ("3", "yes")):
        log(client, search, "20", pain, acceptable)
    sys.stdout.write(f"{lifter.pk}\n")


if __name__ == "__main__":
    _ready(sys.argv[1])
    make()
